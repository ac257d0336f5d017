// The controls of the player, in a bar at the bottom of the window.
"use strict";

(() => {
  const FASTER = [["0", "no"], ["2", "2 %"], ["5", "5 %"], ["10", "10 %"]]; // of the tempo
  const MOST_HALF_STEPS = 12;
  const LOUDNESS_STEP = 5; // percent

  function made(kind, properties, ...children) {
    const element = Object.assign(document.createElement(kind), properties);
    element.append(...children);
    return element;
  }

  function labelled(text, control, ...after) {
    return made("label", {}, `${text} `, control, ...after);
  }

  function ticked(text, properties = {}) {
    const control = made("input", { type: "checkbox", ...properties });
    return { control, label: made("label", {}, control, ` ${text}`) };
  }

  function slider(properties) {
    return made("input", { type: "range", ...properties });
  }

  function button(text, className) {
    return made("button", { type: "button", textContent: text, className });
  }

  function optionsOf(values) {
    return values.map(([value, text]) => made("option", { value, textContent: text }));
  }

  // Returns the bar, and its controls by name.
  function playerBar() {
    const loop = ticked("Loop"), metronome = ticked("Metronome"), count = ticked("Count-in");
    const controls = {
      play: button("Play", "play"), slowly: button("Slowly", "quietly"),
      stop: button("Stop", "quietly"), more: button("More", "quietly"),
      way: made("select", {}), loop: loop.control,
      measures: made("input", {
        type: "text", size: 6, placeholder: "all", autocomplete: "off", spellcheck: false }),
      tempo: slider({ step: 1 }), tempoShown: made("output", {}),
      metronome: metronome.control, count: count.control,
      faster: made("select", {}, ...optionsOf(FASTER)),
      halfSteps: made("input", {
        type: "number", min: -MOST_HALF_STEPS, max: MOST_HALF_STEPS, value: 0 }),
      melody: slider({ max: 100, step: LOUDNESS_STEP, value: 100 }),
      chords: slider({ max: 100, step: LOUDNESS_STEP, value: 0 }),
      chordsLabel: made("span", {}),
      size: slider({ min: 60, max: 240, step: 10, value: 100 }),
      name: made("p", { className: "name" }),
    };
    controls.slowly.setAttribute("aria-label", "Play slowly");
    controls.more.setAttribute("aria-expanded", "false");
    controls.more.setAttribute("aria-controls", "player-more");
    controls.wayLabel = labelled("Hear", controls.way);
    controls.measuresLabel = labelled("Measures", controls.measures);
    controls.chordsField = made("label", {}, controls.chordsLabel, " ", controls.chords);
    const panel = made("div", { id: "player-more", className: "more", hidden: true },
      metronome.label, count.label,
      labelled("Faster with each loop", controls.faster),
      labelled("Half-steps higher (as a capo) or lower", controls.halfSteps),
      labelled("Melody", controls.melody), controls.chordsField,
      labelled("Size of the music", controls.size));
    const often = [
      controls.wayLabel, controls.measuresLabel, loop.label, made("span", { className: "tempo" },
        labelled("Tempo", controls.tempo), controls.tempoShown)];
    const main = made("div", { className: "main" },
      controls.play, controls.slowly, controls.stop, controls.more);
    const telephone = matchMedia("(max-width: 30rem)"); // there the bar is one row of buttons
    const arrange = () => (telephone.matches ? panel.prepend(...often) : main.append(...often));
    telephone.addEventListener("change", arrange);
    arrange();
    controls.more.onclick = () => {
      panel.hidden = !panel.hidden;
      controls.more.setAttribute("aria-expanded", String(!panel.hidden));
    };
    keepSize(controls.size);
    const bar = made("section", { className: "player-bar", hidden: true },
      controls.name, main, panel);
    bar.setAttribute("aria-label", "Player");
    return { bar, controls };
  }

  const SIZE = "melodex-music-size"; // key in the browser's local storage; the value is in percent

  function kept(name) { // a browser may forbid local storage
    try {
      return localStorage.getItem(name);
    } catch {
      return null;
    }
  }

  function keepSize(size) {
    const show = () => {
      const { style } = document.documentElement;
      style.setProperty("--music-size", size.valueAsNumber / 100);
      size.setAttribute("aria-valuetext", `${size.value} %`);
    };
    size.value = kept(SIZE) ?? size.value;
    show();
    size.oninput = () => {
      show();
      try {
        localStorage.setItem(SIZE, size.value);
      } catch { /* the size is not remembered */ }
    };
  }

  // Returns whether the space bar acts on an element itself; elsewhere it controls the player.
  function takesSpace(element) {
    return element.closest?.(
      "input, textarea, select, button, summary, a, [contenteditable], [role=grid]") !== null;
  }

  Object.assign(window.melodexPlayer, { made, button, optionsOf, playerBar, takesSpace });
})();
