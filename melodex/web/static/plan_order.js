// A plan is re-ordered without the page being loaded again: every move is sent and saved at once,
// the focus and the scroll position stay, and the evaluation fills in when it is done. Songs can be
// dragged as well. Without this script the same buttons send the form.
"use strict";

const LOOK_AGAIN = 1000; // milliseconds

async function pageOf(response) {
  return new DOMParser().parseFromString(await response.text(), "text/html");
}

function replacePart(id, page) {
  const now = page.getElementById(id);
  if (now) document.getElementById(id).replaceWith(document.adoptNode(now));
}

async function send(form, button) {
  const sent = new FormData(form, button);
  const response = await fetch(form.action, { method: "POST", body: new URLSearchParams(sent) });
  if (!response.ok) return form.submit(); // the server's own page says what was wrong
  const page = await pageOf(response);
  const top = window.scrollY;
  replacePart("quality", page);
  replacePart("plan", page);
  begin();
  window.scrollTo(0, top);
  return undefined;
}

function focusAgain(value) {
  const song = value.split(":").slice(1).join(":");
  const same = [...document.querySelectorAll("[name=move]")].filter((each) =>
    each.value.endsWith(`:${song}`),
  );
  const button = same.find((each) => each.value === value && !each.disabled);
  (button || same.find((each) => !each.disabled))?.focus({ preventScroll: true });
}

async function fillIn() {
  if (!document.getElementById("evaluating")) return;
  const page = await fetch(location.pathname).then(pageOf).catch(() => null);
  if (page && !page.getElementById("evaluating")) {
    replacePart("quality", page);
    page.querySelectorAll("[data-facts]").forEach((facts) => {
      const here = document.querySelector(`[data-facts="${CSS.escape(facts.dataset.facts)}"]`);
      if (here) here.replaceChildren(...facts.childNodes);
    });
    return;
  }
  setTimeout(fillIn, LOOK_AGAIN);
}

function moveBefore(form, dragged, target) {
  const place = (item) => item.querySelector("input[type=number]");
  const before = Number(place(target).value);
  const goesDown = Number(place(dragged).value) < before;
  place(dragged).value = before + (goesDown ? 0.5 : -0.5);
  return send(form, null);
}

function begin() {
  const form = document.getElementById("order");
  if (!form) return;
  let dragged = null;
  form.addEventListener("submit", async (event) => {
    if (event.submitter?.name !== "move") return;
    event.preventDefault();
    await send(form, event.submitter);
    focusAgain(event.submitter.value);
  });
  form.querySelectorAll("li[data-song]").forEach((item) => {
    const heading = item.querySelector("h2");
    heading.draggable = true;
    heading.addEventListener("dragstart", (event) => {
      dragged = item;
      event.dataTransfer.effectAllowed = "move";
    });
    item.addEventListener("dragover", (event) => {
      if (dragged) event.preventDefault();
    });
    item.addEventListener("drop", (event) => {
      event.preventDefault();
      if (dragged && dragged !== item) moveBefore(form, dragged, item);
      dragged = null;
    });
  });
  fillIn();
}

begin();
