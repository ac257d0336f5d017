// Select a range of measures by two clicks on the music: its first measure and its last.
//
// The document then gets a "measures-chosen" event with the detail { picture, range }: the name of
// the picture, and [first, last] or null.
"use strict";

(() => {
  let chosen = { picture: null, range: null };
  let isHalf = false; // whether the next click completes the range

  function choose(picture, range) {
    isHalf = false;
    const before = JSON.stringify(chosen);
    chosen = { picture, range };
    if (JSON.stringify(chosen) === before) return;
    document.querySelectorAll(".music [data-measure]").forEach((measure) => {
      const number = Number(measure.dataset.measure);
      const isInRange = range !== null && pictureOf(measure) === picture
        && range[0] <= number && number <= range[1];
      measure.classList.toggle("chosen", isInRange);
    });
    document.dispatchEvent(new CustomEvent("measures-chosen", { detail: chosen }));
  }

  function pictureOf(measure) {
    return measure.closest("[data-picture]")?.dataset.picture;
  }

  document.addEventListener("click", (event) => {
    const measure = event.target.closest?.(".music [data-measure]");
    if (!measure) return;
    const number = Number(measure.dataset.measure), picture = pictureOf(measure);
    const completes = isHalf && picture === chosen.picture;
    const [begin] = completes ? chosen.range : [number];
    choose(picture, [Math.min(begin, number), Math.max(begin, number)]);
    isHalf = !completes;
  });

  document.documentElement.classList.add("choosable");
  window.melodexPlayer.choose = choose;
})();
