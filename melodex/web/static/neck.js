// The neck: every place picked sounds, and is added to the lick as tab. Arrow keys move along the
// neck, so that it is one stop of the Tab key and not sixty.
"use strict";

const neck = document.getElementById("neck");
const lick = document.getElementById("text");
const form = document.getElementById("form");
const value = document.getElementById("value");
const picked = document.getElementById("picked");
const STEPS = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };

function placeAt(row, column) {
  return neck.querySelector(`tbody tr:nth-child(${row + 1}) td:nth-of-type(${column + 1}) button`);
}

function comeTo(button) {
  neck.querySelectorAll("[data-place]").forEach((each) => (each.tabIndex = -1));
  button.tabIndex = 0;
}

function words() {
  return lick.value.split(/\s+/).filter(Boolean);
}

function show() {
  const places = new Set(words().map((word) => word.split(":").slice(0, 2).join(":")));
  neck.querySelectorAll("[data-place]").forEach((each) => {
    const is = form.value === "tab" && places.has(each.dataset.place);
    each.classList.toggle("picked", is);
    each.setAttribute("aria-pressed", String(is));
  });
}

const SECONDS = 1; // that a picked string rings
let clock = null;

async function sound(pitch) {
  const { pluck, strike } = window.melodexPlayer;
  clock ??= new AudioContext();
  await clock.resume();
  const now = clock.currentTime;
  strike(clock, { kind: pluck, pitch, pan: 0 }, now, now + SECONDS);
}

function pick(button) {
  const before = form.value === "tab" ? words() : [];
  form.value = "tab";
  lick.value = [...before, `${button.dataset.place}:${value.value}`].join(" ");
  picked.textContent = `Picked so far: ${lick.value}`;
  sound(Number(button.dataset.pitch));
  show();
}

neck.addEventListener("click", (event) => {
  const button = event.target.closest("[data-place]");
  if (!button) return;
  comeTo(button);
  pick(button);
});

neck.addEventListener("keydown", (event) => {
  const button = event.target.closest("[data-place]");
  const step = STEPS[event.key];
  if (!button || !step) return;
  event.preventDefault();
  const cell = button.closest("td");
  let row = cell.parentElement.sectionRowIndex;
  let column = cell.cellIndex - 1;
  let next = null;
  do {
    row += step[0];
    column += step[1];
    if (row < 0 || column < 0 || row > 4 || column > 12) return;
    next = placeAt(row, column);
  } while (!next);
  comeTo(next);
  next.focus();
});

document.getElementById("take-back").addEventListener("click", () => {
  lick.value = words().slice(0, -1).join(" ");
  picked.textContent = lick.value ? `Picked so far: ${lick.value}` : "Nothing is picked.";
  show();
});

neck.hidden = false;
comeTo(placeAt(0, 0));
show();
