// Plays the music of a page on a plucked string, and shows the note that sounds.
//
// Each <div class="player"> holds a JSON list of notes (see sound.py); this script builds its
// controls beside it. The string is Karplus and Strong's: a burst of noise runs round a delay line
// as long as the note's period and loses its edge on the way (Computer Music Journal 7.2, 1983),
// tuned between samples by an all-pass filter (Jaffe and Smith, in the same issue).
"use strict";

(() => {
  const LOOK_AHEAD = 0.15; // seconds; notes are handed to the audio clock so long before they sound
  const WAKE_UP = 25; // milliseconds between looks
  const LEAD = 0.1; // seconds from a click on Play to the first sound
  const RELEASE = 0.09; // seconds, time constant of a string that is let go
  const LOUD = 0.35, SOFT = 0.22, GLIDE = 0.12; // struck or not; seconds of a slide or a choke
  const RING = 2.2; // seconds of a string's sound that are worth keeping
  const SLOWEST = 40, FASTEST = 120, TEMPO_STEP = 5; // percent
  const CLICK_PITCHES = [96, 91]; // of the count-in: the first beat, the others

  // ---- the string ------------------------------------------------------------------------------

  function noise(count) { // the same each time, so that a note always sounds alike; its mean is 0
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
    const delay = Math.floor(period - 0.6); // the averaging below delays by half a sample more
    const between = period - 0.5 - delay; // 0.1 to 1.1 samples are left to the all-pass filter
    const turn = (1 - between) / (1 + between);
    const keep = 0.001 ** (period / rate / (0.9 + 40 / pitch)); // to a thousandth in 1 to 2 seconds
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

  const kept = new WeakMap(); // of each audio context, the sounds it has used

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

  function glide(rate, event, start, end) { // a slide comes from a pitch, a choke goes to one
    const from = event.from || 0, to = event.to || 0; // half-steps
    rate.setValueAtTime(2 ** (from / 12), start);
    if (from || to) rate.exponentialRampToValueAtTime(2 ** (to / 12), Math.min(start + GLIDE, end));
  }

  function strike(context, event, start, end) {
    const source = context.createBufferSource(), gain = context.createGain();
    const pan = context.createStereoPanner();
    source.buffer = soundOf(context, event.kind, event.pitch);
    pan.pan.value = event.pan;
    gain.gain.setValueAtTime(event.soft ? SOFT : LOUD, start);
    glide(source.playbackRate, event, start, end);
    gain.gain.setTargetAtTime(0, end, RELEASE);
    source.connect(gain).connect(pan).connect(context.destination);
    source.start(start);
    source.stop(end + 8 * RELEASE);
    return source;
  }

  // ---- what is played --------------------------------------------------------------------------

  function eventsOf(track, begin, halfSteps, pan) {
    return track.notes.map(([onset, length, pitch, ids, leftHand]) => (
      { ...leftHand, kind: pluck, at: begin + onset, length, pitch: pitch + halfSteps, ids, pan }));
  }

  const WAYS = { // times in quarter notes
    first: ([one]) => ({ events: eventsOf(one, 0, 0, 0), length: one.length }),
    second: ([, two]) => ({ events: eventsOf(two, 0, 0, 0), length: two.length }),
    after: ([one, two], beat) => ({
      events: [...eventsOf(one, 0, 0, 0), ...eventsOf(two, one.length + beat, 0, 0)],
      length: one.length + beat + two.length + beat,
    }),
    together: ([one, two]) => { // the notes that answer each other meet, in the first one's key
      const late = Math.max(0, two.meets - one.meets), early = Math.max(0, one.meets - two.meets);
      const events = [
        ...eventsOf(one, late, 0, -0.6), ...eventsOf(two, early, two.halfStepsToFirst, 0.6)];
      return {
        events: events.sort((a, b) => a.at - b.at),
        length: Math.max(late + one.length, early + two.length),
      };
    },
  };

  function countIn(track, beat) { // a measure of clicks, and the beats before a pickup
    const clicks = [], beats = Math.max(1, Math.round(track.measure / beat));
    const length = beats * beat + track.pickup;
    for (let at = 0; at < length - 1e-6; at += beat) {
      const pitch = CLICK_PITCHES[Math.round(at / beat) % beats === 0 ? 0 : 1];
      clicks.push({ kind: click, at: at - length, length: 0.05, pitch, ids: [], pan: 0 });
    }
    return clicks;
  }

  // ---- playing ---------------------------------------------------------------------------------

  let context = null, playing = null; // one clock for the page; one player at a time

  class Performance {
    constructor(piece, settings) {
      this.piece = piece; // { events, length, lead: clicks }
      this.settings = settings; // { secondsPerQuarter(), loops(), ended() }
      this.queue = [...piece.lead, ...piece.events];
      this.next = 0;
      this.turn = 0; // how many times it has been played through
      this.rate = settings.secondsPerQuarter();
      this.anchor = { seconds: context.currentTime + LEAD, quarters: this.queue[0].at };
      this.sources = new Set();
      this.seen = []; // { start, end, ids } of what has been handed to the clock
      this.marked = new Map();
      this.timer = setInterval(() => this.hand(), WAKE_UP);
      this.hand();
      this.follow();
    }

    secondsAt(quarters) {
      return this.anchor.seconds + (quarters - this.anchor.quarters) * this.rate;
    }

    changeTempo() {
      const now = context.currentTime + LOOK_AHEAD;
      const quarters = this.anchor.quarters + (now - this.anchor.seconds) / this.rate;
      this.anchor = { seconds: now, quarters };
      this.rate = this.settings.secondsPerQuarter();
    }

    hand() {
      for (;;) {
        if (this.next === this.queue.length && !this.beginAgain()) break;
        const event = this.queue[this.next];
        const at = event.at + this.turn * this.piece.length;
        const start = this.secondsAt(at);
        if (start > context.currentTime + LOOK_AHEAD) return;
        const end = this.secondsAt(at + event.length);
        const source = strike(context, event, Math.max(start, context.currentTime), end);
        this.sources.add(source);
        source.onended = () => this.sources.delete(source);
        this.seen.push({ start, end, ids: event.ids });
        this.next += 1;
      }
      const over = this.secondsAt((this.turn + 1) * this.piece.length);
      if (context.currentTime > over + RELEASE) this.stop();
    }

    beginAgain() {
      if (!this.settings.loops()) return false;
      this.queue = this.piece.events;
      this.next = 0;
      this.turn += 1;
      return true;
    }

    follow() {
      const heard = context.currentTime - (context.outputLatency || 0);
      for (const note of this.seen) {
        if (note.start > heard) continue;
        if (note.end <= heard) this.unmark(note);
        else if (!note.elements) this.mark(note);
      }
      this.seen = this.seen.filter((note) => note.end > heard);
      this.frame = requestAnimationFrame(() => this.follow());
    }

    mark(note) {
      note.elements = note.ids.map((id) => document.getElementById(id)).filter(Boolean);
      for (const element of note.elements) {
        this.marked.set(element, note);
        element.classList.add("sounding");
      }
      if (note.elements.length) bringIntoView(note.elements[0]);
    }

    unmark(note) {
      for (const element of note.elements || []) {
        if (this.marked.get(element) !== note) continue; // struck again since
        this.marked.delete(element);
        element.classList.remove("sounding");
      }
    }

    stop() {
      clearInterval(this.timer);
      cancelAnimationFrame(this.frame);
      for (const source of this.sources) source.stop();
      for (const element of this.marked.keys()) element.classList.remove("sounding");
      playing = null;
      this.settings.ended();
    }
  }

  function bringIntoView(element) {
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const { top, bottom } = element.getBoundingClientRect();
    if (top < 0 || bottom > innerHeight) {
      element.scrollIntoView({ block: "center", behavior: "smooth" });
    }
  }

  // ---- controls --------------------------------------------------------------------------------

  function made(kind, properties, ...children) {
    const element = Object.assign(document.createElement(kind), properties);
    element.append(...children);
    return element;
  }

  function choice(type, name, value, text, checked) {
    const input = made("input", { type, name, value, checked });
    return { input, label: made("label", {}, input, ` ${text}`) };
  }

  function build(player, number) {
    const music = JSON.parse(player.querySelector("script").textContent);
    const button = made("button", { type: "button", textContent: "Play" });
    button.setAttribute("aria-label", `Play ${music.name}`);
    const tempo = made("input", {
      type: "range", min: SLOWEST, max: FASTEST, step: TEMPO_STEP, value: 100 });
    const shown = made("output", {}, "100 %");
    const loop = choice("checkbox", "loop", "", "Loop", false);
    const count = choice("checkbox", "count", "", "Count-in", false);
    const ways = music.tracks.length < 2 ? [] : [
      choice("radio", `way-${number}`, "after", "one after the other", true),
      choice("radio", `way-${number}`, "together", "together", false),
      choice("radio", `way-${number}`, "first", music.tracks[0].label, false),
      choice("radio", `way-${number}`, "second", music.tracks[1].label, false),
    ];
    const settings = {
      secondsPerQuarter: () => 6000 / (music.tempo * tempo.valueAsNumber),
      loops: () => loop.input.checked,
      ended: () => { button.textContent = "Play"; },
    };
    const piece = () => {
      const way = ways.find((each) => each.input.checked)?.input.value || "first";
      const leading = music.tracks[way === "second" ? 1 : 0];
      const lead = count.input.checked ? countIn(leading, music.beat) : [];
      return { ...WAYS[way](music.tracks, music.beat), lead };
    };
    let performance = null;
    const mine = () => playing !== null && playing === performance;
    button.onclick = async () => {
      const wasMine = mine();
      playing?.stop();
      if (wasMine) return;
      context ??= new AudioContext();
      await context.resume();
      performance = playing = new Performance(piece(), settings);
      button.textContent = "Stop";
    };
    tempo.oninput = () => {
      shown.value = `${tempo.value} %`;
      if (mine()) performance.changeTempo();
    };
    for (const way of ways) way.input.onchange = () => { if (mine()) performance.stop(); };
    player.setAttribute("role", "group");
    player.setAttribute("aria-label", `Player of ${music.name}`);
    player.append(
      button, made("span", { className: "tempo" }, made("label", {}, "Tempo ", tempo), shown),
      loop.label, count.label,
      ...ways.map((way) => way.label));
  }

  function begin() {
    document.querySelectorAll("div.player").forEach(build);
  }

  window.melodexPlayer = { pluck, strike, eventsOf }; // for whoever checks the sound
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
