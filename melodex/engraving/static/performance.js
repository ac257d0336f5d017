// Play a piece and highlight the notes that sound.
//
// A timer regularly schedules the next notes on the audio clock, which determines all times;
// highlighting follows the same clock.
"use strict";

(() => {
  const { RELEASE } = window.melodexPlayer;
  const LOOK_AHEAD = 0.15; // seconds; notes are scheduled this long before they sound
  const WAKE_UP = 25; // milliseconds between runs of the timer
  const LEAD = 0.1; // seconds from a click on Play to the first sound

  let context = null; // one audio context for the page
  const outputs = {}; // a gain node for each layer

  function outputOf(layer, loudness) {
    if (!outputs[layer]) {
      outputs[layer] = context.createGain();
      outputs[layer].connect(context.destination);
    }
    outputs[layer].gain.value = loudness;
    return outputs[layer];
  }

  async function clockRuns() {
    context ??= new AudioContext();
    await context.resume();
  }

  class Performance {
    // settings: { secondsPerQuarter(), loops(), loudness(layer), turned(), ended() }
    constructor(piece, settings, from = null) { // from: where to resume, in quarter notes
      this.piece = piece;
      this.settings = settings;
      const events = from === null
        ? [...piece.lead, ...piece.events] : piece.events.filter((event) => event.at >= from);
      this.queue = events;
      this.next = 0;
      this.rate = settings.secondsPerQuarter();
      const quarters = from ?? Math.min(0, events[0]?.at ?? 0); // grace notes may come before 0
      this.anchor = { seconds: context.currentTime + LEAD, quarters };
      this.sources = new Set();
      this.seen = []; // { start, end, ids } of the notes scheduled
      this.marked = new Map();
      this.timer = setInterval(() => this.schedule(), WAKE_UP);
      this.schedule();
      this.follow();
    }

    secondsAt(quarters) {
      return this.anchor.seconds + (quarters - this.anchor.quarters) * this.rate;
    }

    quartersAt(seconds) {
      return this.anchor.quarters + (seconds - this.anchor.seconds) / this.rate;
    }

    changeTempo() {
      const now = context.currentTime + LOOK_AHEAD;
      this.anchor = { seconds: now, quarters: this.quartersAt(now) };
      this.rate = this.settings.secondsPerQuarter();
    }

    schedule() {
      for (;;) {
        if (this.next === this.queue.length && !this.beginAgain()) break;
        const event = this.queue[this.next];
        const start = this.secondsAt(event.at);
        if (start > context.currentTime + LOOK_AHEAD) return;
        this.next += 1;
        const loudness = this.settings.loudness(event.layer);
        if (loudness > 0) this.sound(event, start, outputOf(event.layer, loudness));
      }
      if (context.currentTime > this.secondsAt(this.piece.length) + RELEASE) this.stop();
    }

    sound(event, start, output) {
      const end = this.secondsAt(event.at + event.length);
      const begin = Math.max(start, context.currentTime);
      const source = window.melodexPlayer.strike(context, event, begin, end, output);
      this.sources.add(source);
      source.onended = () => this.sources.delete(source);
      this.seen.push({ start, end, ids: event.ids });
    }

    beginAgain() {
      if (!this.settings.loops() || !this.piece.events.length) return false;
      this.anchor = { seconds: this.secondsAt(this.piece.length), quarters: 0 };
      this.settings.turned();
      this.rate = this.settings.secondsPerQuarter();
      this.queue = this.piece.events;
      this.next = 0;
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
        if (this.marked.get(element) !== note) continue; // another note has highlighted it since
        this.marked.delete(element);
        element.classList.remove("sounding");
      }
    }

    loudnessChanged() {
      for (const layer of Object.keys(outputs)) outputOf(layer, this.settings.loudness(layer));
    }

    pause() { // returns where to resume, in quarter notes
      const reached = Math.max(0, this.quartersAt(context.currentTime));
      this.silence();
      return Math.min(reached, this.piece.length);
    }

    stop() {
      this.silence();
      this.settings.ended();
    }

    silence() {
      clearInterval(this.timer);
      cancelAnimationFrame(this.frame);
      for (const source of this.sources) source.stop();
      for (const element of this.marked.keys()) element.classList.remove("sounding");
    }
  }

  // Scrolls without animation if the user prefers that. The player bar covers part of the window.
  function bringIntoView(element) {
    const isStill = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const { top, bottom } = element.getBoundingClientRect();
    const bar = document.querySelector(".player-bar");
    if (top < 0 || bottom > (bar ? bar.getBoundingClientRect().top : innerHeight)) {
      element.scrollIntoView({ block: "center", behavior: isStill ? "auto" : "smooth" });
    }
  }

  Object.assign(window.melodexPlayer, { Performance, clockRuns, bringIntoView });
})();
