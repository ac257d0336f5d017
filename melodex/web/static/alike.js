// The picture of close songs: the song that is pointed at, or has the focus, is shown with its own
// arcs, and those at their other ends are named. Without this script all arcs look alike.
"use strict";

function show(line) {
  const picture = line?.closest(".alike") ?? document.querySelector(".alike");
  if (!picture) return;
  const lines = [...picture.querySelectorAll("[data-line]")];
  const near = new Set();
  picture.querySelectorAll("[data-ends]").forEach((arc) => {
    const ends = arc.dataset.ends.split(" ");
    const isOwn = Boolean(line) && ends.includes(line.dataset.line);
    arc.classList.toggle("own", isOwn);
    if (isOwn) ends.forEach((end) => near.add(end));
  });
  picture.classList.toggle("shows-one", Boolean(line));
  lines.forEach((each) => each.classList.toggle("own", near.has(each.dataset.line)));
  const names = lines.filter((each) => each !== line && near.has(each.dataset.line))
    .map((each) => each.textContent.trim());
  picture.querySelector(".near-to").textContent = line
    ? `${line.textContent.trim()} is close to ${names.join(", ")}.` : "";
}

const lineOf = (event) => event.target.closest?.(".alike [data-line]") ?? null;
document.addEventListener("pointerover", (event) => {
  const line = lineOf(event);
  if (line || event.target.closest?.(".arcs") === null) show(line);
});
document.addEventListener("focusin", (event) => show(lineOf(event)));
document.querySelectorAll(".clickable").forEach((words) => (words.hidden = false));
