// The page's player. Each <div class="player"> holds the notes of one piece as JSON (see sound.py);
// a single bar plays the piece selected last. Range and tempo are kept in the page's address:
// #measures=6-8&tempo=80, preceded by piece=3 if the page has several pieces.
"use strict";

(() => {
  const shared = window.melodexPlayer;
  const { Performance, clockRuns, pieceOf } = shared;
  const SLOWEST = 0.3, FASTEST = 1.5, SLOWLY = 0.6; // factors of the music's own tempo
  const RANGE = /^\s*(\d+)\s*(?:[-–]\s*(\d+)\s*)?$/;

  class Player {
    constructor(places) {
      this.pieces = places.map((place) => ({
        place, music: JSON.parse(place.querySelector("script").textContent) }));
      const { bar, controls } = shared.playerBar();
      this.bar = bar;
      this.controls = controls;
      this.performance = null;
      this.pausedAt = null; // quarter notes
      this.range = null; // [first, last] as written
      this.listen();
      if (this.pieces.length > 1) this.pieces.forEach((piece) => this.addButton(piece));
      document.body.append(bar);
      this.take(this.pieces[0]);
      if (this.pieces.length === 1) this.appear();
    }

    // ---- selecting a piece ---------------------------------------------------------------------

    take(piece) {
      if (piece === this.piece) return;
      this.stop();
      const { controls } = this, { music } = piece;
      this.piece = piece;
      this.range = null;
      this.pausedAt = null;
      const ways = music.tracks.length < 2 ? [["first", ""]] : [
        ["after", "one after the other"], ["together", "together"],
        ["first", music.tracks[0].label], ["second", music.tracks[1].label]];
      controls.way.replaceChildren(...shared.optionsOf(ways));
      controls.wayLabel.hidden = ways.length < 2;
      controls.name.textContent = music.name;
      controls.name.hidden = this.pieces.length === 1; // already on the page
      const own = this.ownTempo();
      Object.assign(controls.tempo, {
        min: Math.round(own * SLOWEST), max: Math.round(own * FASTEST), value: Math.round(own) });
      this.showTempo();
      this.wayChanged();
      this.ended();
    }

    ownTempo() { // beats a minute
      return this.piece.music.tempo / this.piece.music.beat;
    }

    track() { // the one that sounds alone; null where a pair sounds
      const { way } = this.controls;
      if (way.value === "after" || way.value === "together") return null;
      return this.piece.music.tracks[way.value === "second" ? 1 : 0];
    }

    wayChanged() {
      const { controls } = this, track = this.track();
      const withChords = (track ? [track] : this.piece.music.tracks)
        .filter(({ chords }) => chords.length);
      const areEstimated = withChords.some(({ chordsEstimated }) => chordsEstimated);
      controls.measuresLabel.hidden = track === null;
      controls.chordsField.hidden = !withChords.length;
      controls.chordsLabel.textContent = areEstimated ? "Estimated chords" : "Chords";
    }

    settings() {
      const { controls } = this;
      const shares = { melody: controls.melody, chords: controls.chords };
      return {
        secondsPerQuarter: () => 60 / (controls.tempo.valueAsNumber * this.piece.music.beat),
        loops: () => controls.loop.checked,
        loudness: (layer) => {
          if (layer === "metronome") return Number(controls.metronome.checked);
          return shares[layer] ? shares[layer].valueAsNumber / 100 : 1;
        },
        turned: () => this.raiseTempo(),
        ended: () => this.ended(),
      };
    }

    raiseTempo() {
      const { tempo, faster } = this.controls;
      const step = Math.max(1, Math.round((this.ownTempo() * Number(faster.value)) / 100));
      if (faster.value !== "0") tempo.value = Math.min(this.goal, tempo.valueAsNumber + step);
      this.showTempo();
    }

    // ---- playing -------------------------------------------------------------------------------

    async begin() {
      await clockRuns();
      const { controls } = this, from = this.pausedAt;
      this.performance?.silence();
      this.pausedAt = null;
      // Loops speed up to the music's own tempo, or if they start there to the maximum.
      const own = Math.round(this.ownTempo());
      this.goal = controls.tempo.valueAsNumber < own ? own : Number(controls.tempo.max);
      const piece = pieceOf(this.piece.music, {
        way: controls.way.value, range: this.range, halfSteps: controls.halfSteps.valueAsNumber || 0,
        countsIn: controls.count.checked });
      this.performance = new Performance(piece, this.settings(), from);
      this.showState("Pause");
    }

    toggle() {
      if (!this.performance) {
        this.appear();
        return this.begin();
      }
      this.pausedAt = this.performance.pause();
      this.performance = null;
      return this.showState("Resume");
    }

    stop() {
      this.pausedAt = null;
      if (this.performance) this.performance.stop();
      else if (this.piece) this.ended();
    }

    ended() {
      this.performance = null;
      if (this.pausedAt === null) this.showState("Play");
    }

    changed() { // restarts the music if it is playing
      this.pausedAt = null;
      if (this.performance) this.begin();
      else this.ended();
    }

    showState(word) {
      const { play, stop } = this.controls;
      play.textContent = word;
      play.setAttribute("aria-label", `${word} ${this.piece.music.name}`);
      stop.disabled = word === "Play";
      for (const { inline, music } of this.pieces) {
        if (!inline) continue;
        const shown = music === this.piece.music ? word : "Play";
        inline.textContent = shown;
        inline.setAttribute("aria-label", `${shown} ${music.name}`);
      }
    }

    showTempo() {
      const { tempo, tempoShown } = this.controls;
      const share = Math.round((100 * tempo.valueAsNumber) / this.ownTempo());
      tempoShown.value = tempo.value;
      tempoShown.title = `${share} % of the music's own tempo`;
      tempo.setAttribute("aria-valuetext", `${tempo.value} beats a minute, ${share} %`);
    }

    // ---- controls ------------------------------------------------------------------------------

    addButton(piece) {
      piece.inline = shared.button("Play", "");
      piece.inline.onclick = () => {
        if (piece !== this.piece) {
          this.stop();
          shared.choose(null, null);
          this.take(piece);
        }
        this.toggle();
      };
      piece.place.classList.add("built");
      piece.place.append(piece.inline);
    }

    listen() {
      const { controls } = this;
      controls.play.onclick = () => this.toggle();
      controls.stop.onclick = () => this.stop();
      controls.slowly.onclick = () => {
        controls.tempo.value = Math.round(this.ownTempo() * SLOWLY);
        this.tempoChanged();
        if (!this.performance) this.begin();
      };
      controls.tempo.oninput = () => this.tempoChanged();
      controls.measures.onchange = () => this.readRange();
      controls.way.onchange = () => {
        shared.choose(null, null);
        this.wayChanged();
        this.changed();
      };
      controls.halfSteps.onchange = () => this.changed();
      for (const each of [controls.melody, controls.chords, controls.metronome]) {
        each.oninput = () => this.performance?.loudnessChanged();
      }
      document.addEventListener("measures-chosen", ({ detail }) => this.takeRange(detail));
      document.addEventListener("keydown", (event) => {
        const isOurs = event.key === " " && !event.repeat && !event.defaultPrevented
          && !event.ctrlKey && !event.altKey && !event.metaKey && !shared.takesSpace(event.target);
        if (!isOurs) return;
        event.preventDefault();
        this.toggle();
      });
      new ResizeObserver(() => { // so that the bar never covers the focused element
        const { style } = document.documentElement;
        style.setProperty("--player-height", `${this.bar.offsetHeight}px`);
      }).observe(this.bar);
    }

    appear() {
      this.bar.hidden = false;
    }

    tempoChanged() {
      this.showTempo();
      this.performance?.changeTempo();
      this.writeAddress();
    }

    readRange() {
      const { measures } = this.controls, track = this.track();
      const typed = measures.value.trim(), found = RANGE.exec(typed);
      const numbers = track.measures.map(([number]) => number);
      const range = found && [found[1], found[2] ?? found[1]].map(Number).sort((a, b) => a - b);
      const exists = range && numbers.some((each) => range[0] <= each && each <= range[1]);
      const last = Math.max(...numbers);
      measures.setCustomValidity(typed === "" || exists ? "" : `Write measures as 6-8 or 6, from ${
        Math.min(...numbers)} to ${last}, or leave this empty for all.`);
      if (measures.reportValidity()) shared.choose(track.picture, typed === "" ? null : range);
    }

    takeRange({ picture, range }) {
      const { controls } = this;
      const isHere = ({ music }) => music.tracks.some((track) => track.picture === picture);
      const piece = range && (isHere(this.piece) ? this.piece : this.pieces.find(isHere));
      if (range && !piece) return;
      if (piece) {
        this.take(piece);
        const way = piece.music.tracks[0].picture === picture ? "first" : "second";
        if (controls.way.value !== way) controls.way.value = way;
        this.wayChanged();
        this.appear();
      }
      this.range = range;
      if (range) controls.loop.checked = true;
      controls.measures.setCustomValidity("");
      controls.measures.value = range ? [...new Set(range)].join("-") : "";
      this.changed();
      this.writeAddress();
    }

    // ---- the address ---------------------------------------------------------------------------

    writeAddress() {
      const { tempo } = this.controls, parts = [];
      const number = this.pieces.indexOf(this.piece) + 1;
      if (this.range) parts.push(`measures=${[...new Set(this.range)].join("-")}`);
      if (tempo.valueAsNumber !== Math.round(this.ownTempo())) parts.push(`tempo=${tempo.value}`);
      if (this.range && this.track() === this.piece.music.tracks[1]) parts.unshift("part=2");
      if (parts.length && number > 1) parts.unshift(`piece=${number}`);
      const address = new URL(location.href);
      address.hash = parts.join("&");
      if (parts.length || location.hash.includes("=")) history.replaceState(null, "", address);
    }

    readAddress() {
      const sent = new URLSearchParams(location.hash.slice(1));
      const piece = this.pieces[Number(sent.get("piece") ?? 1) - 1];
      const found = RANGE.exec(sent.get("measures") ?? ""), tempo = Number(sent.get("tempo"));
      if (!piece || !(found || tempo)) return;
      this.take(piece);
      this.appear();
      if (tempo) {
        this.controls.tempo.value = tempo;
        this.showTempo();
      }
      if (!found) return;
      const { picture } = piece.music.tracks[sent.get("part") === "2" ? 1 : 0] ?? {};
      const range = [found[1], found[2] ?? found[1]].map(Number).sort((a, b) => a - b);
      shared.choose(picture, range);
      const first = document.querySelector(".music .chosen");
      if (first) shared.bringIntoView(first);
    }
  }

  function begin() {
    const places = [...document.querySelectorAll("div.player")];
    if (!places.length) return;
    const player = new Player(places);
    player.readAddress();
    window.addEventListener("hashchange", () => player.readAddress());
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
