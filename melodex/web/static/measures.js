// Measures are chosen by clicks on the music as well; the ticks below it say the same.
"use strict";

const ticks = [...document.querySelectorAll("input[name=measure]")];

function tickedRange() {
  const chosen = ticks.filter((tick) => tick.checked).map((tick) => Number(tick.value));
  return chosen.length ? [Math.min(...chosen), Math.max(...chosen)] : null;
}

function show() {
  window.melodexPlayer.choose("song", tickedRange());
}

document.addEventListener("measures-chosen", ({ detail: { range } }) => {
  if (JSON.stringify(tickedRange()) === JSON.stringify(range)) return;
  ticks.forEach((tick) => (tick.checked = Boolean(range) && range.includes(Number(tick.value))));
});
ticks.forEach((tick) => tick.addEventListener("change", show));
document.querySelectorAll(".clickable").forEach((words) => (words.hidden = false));
// An address that names measures for the player has chosen already.
if (tickedRange() && !location.hash.includes("measures=")) show();
