// Two places that change without the page being loaded again: how far work is, and results that
// take longer than the page itself. Without JavaScript the one reloads and the other is a link.
"use strict";

const PAUSE = 1000; // milliseconds

async function partOf(address, id) {
  const response = await fetch(address);
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  return page.getElementById(id);
}

async function follow(progress) {
  const now = await partOf(location.href, "progress").catch(() => progress);
  if (!now) {
    location.reload(); // it has ended
    return;
  }
  progress.replaceChildren(...now.cloneNode(true).childNodes);
  setTimeout(follow, PAUSE, progress);
}

async function fill(section) {
  const link = section.querySelector("a");
  section.setAttribute("aria-busy", "true");
  const found = await partOf(section.dataset.fill, "filled").catch(() => null);
  section.removeAttribute("aria-busy");
  if (!found) return;
  found.querySelectorAll(".clickable").forEach((words) => (words.hidden = false));
  link.parentElement.replaceWith(document.adoptNode(found));
}

const progress = document.getElementById("progress");
if (progress) setTimeout(follow, PAUSE, progress);

const seen = new IntersectionObserver((entries) => {
  for (const entry of entries.filter((each) => each.isIntersecting)) {
    seen.unobserve(entry.target);
    fill(entry.target);
  }
});
document.querySelectorAll("[data-fill]").forEach((section) => seen.observe(section));
