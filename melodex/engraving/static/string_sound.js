// Synthesise a plucked string and a click, and schedule them on the audio clock.
//
// The string is Karplus and Strong's: a burst of noise circulates in a delay line as long as the
// note's period and is low-pass filtered on the way (Computer Music Journal 7.2, 1983); an all-pass
// filter tunes it between samples (Jaffe and Smith, in the same issue).
"use strict";

window.melodexPlayer = {}; // shared by the player's files, and inspected by tests

(() => {
  const RELEASE = 0.09; // seconds: time constant of a released string
  const LOUD = 0.35, SOFT = 0.22, GLIDE = 0.12; // gains; seconds of a slide or choke
  const RING = 2.2; // seconds of a string's sound that are audible

  function noise(count) { // always the same, so that equal notes sound equal; mean 0
    let seed = 20011;
    const values = Float32Array.from({ length: count }, () => {
      seed = (seed * 16807) % 2147483647;
      return seed / 1073741823.5 - 1;
    });
    const mean = values.reduce((sum, value) => sum + value, 0) / count;
    return values.map((value) => value - mean);
  }

  function pluck(pitch, rate, seconds = RING) {
    const period = rate / (440 * 2 ** ((pitch - 69) / 12));
    const delay = Math.floor(period - 0.6); // averaging adds half a sample of delay
    const between = period - 0.5 - delay; // all-pass delay, 0.1 to 1.1 samples
    const turn = (1 - between) / (1 + between);
    const keep = 0.001 ** (period / rate / (0.9 + 40 / pitch)); // decay by 60 dB in 1 to 2 seconds
    const line = noise(delay);
    const sound = new Float32Array(Math.floor(rate * seconds));
    let place = 0, before = 0, passedIn = 0, passedOut = 0;
    for (let n = 0; n < sound.length; n += 1) {
      const now = line[place];
      const averaged = keep * 0.5 * (now + before);
      before = now;
      passedOut = turn * averaged + passedIn - turn * passedOut;
      passedIn = averaged;
      line[place] = passedOut;
      sound[n] = passedOut;
      place = place + 1 === delay ? 0 : place + 1;
    }
    return sound;
  }

  function click(pitch, rate) {
    const step = (2 * Math.PI * 440 * 2 ** ((pitch - 69) / 12)) / rate;
    const sound = new Float32Array(Math.floor(rate * 0.06));
    return sound.map((_, n) => Math.sin(step * n) * Math.exp((-n / rate) * 90));
  }

  const kept = new WeakMap(); // sounds already made, by audio context

  function soundOf(context, kind, pitch) {
    if (!kept.has(context)) kept.set(context, new Map());
    const sounds = kept.get(context), name = kind.name + pitch;
    if (!sounds.has(name)) {
      const samples = kind(pitch, context.sampleRate);
      const buffer = context.createBuffer(1, samples.length, context.sampleRate);
      buffer.copyToChannel(samples, 0);
      sounds.set(name, buffer);
    }
    return sounds.get(name);
  }

  function glide(rate, event, start, end) { // slides start off pitch, chokes end off it
    const from = event.from || 0, to = event.to || 0; // half-steps
    rate.setValueAtTime(2 ** (from / 12), start);
    if (from || to) rate.exponentialRampToValueAtTime(2 ** (to / 12), Math.min(start + GLIDE, end));
  }

  function strike(context, event, start, end, output = context.destination) {
    const source = context.createBufferSource(), gain = context.createGain();
    const pan = context.createStereoPanner();
    source.buffer = soundOf(context, event.kind, event.pitch);
    pan.pan.value = event.pan;
    gain.gain.setValueAtTime(event.soft ? SOFT : LOUD, start);
    glide(source.playbackRate, event, start, end);
    gain.gain.setTargetAtTime(0, end, RELEASE);
    source.connect(gain).connect(pan).connect(output);
    source.start(start);
    source.stop(end + 8 * RELEASE);
    return source;
  }

  Object.assign(window.melodexPlayer, { RELEASE, pluck, click, strike });
})();
