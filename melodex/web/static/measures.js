// Measures are chosen by a click on the music as well; the ticks below it say the same.
"use strict";

const ticks = [...document.querySelectorAll("input[name=measure]")];

function show() {
  const chosen = ticks.filter((tick) => tick.checked).map((tick) => Number(tick.value));
  const first = Math.min(...chosen);
  const last = Math.max(...chosen);
  document.querySelectorAll("[data-measure]").forEach((measure) => {
    const number = Number(measure.dataset.measure);
    measure.classList.toggle("chosen", first <= number && number <= last);
  });
}

document.querySelectorAll("[data-measure]").forEach((measure) => {
  measure.addEventListener("click", () => {
    const tick = ticks.find((each) => each.value === measure.dataset.measure);
    tick.checked = !tick.checked;
    show();
  });
});
ticks.forEach((tick) => tick.addEventListener("change", show));
document.querySelectorAll(".clickable").forEach((words) => (words.hidden = false));
show();
