// Fields that take a song's title suggest titles while one is typed.
"use strict";

const WAIT = 150; // milliseconds without a key, so that a quick typist asks once

function suggestTitles(field, number) {
  const list = document.createElement("datalist");
  list.id = `titles-${number}`;
  field.after(list);
  field.setAttribute("list", list.id);
  field.autocomplete = "off";
  let timer = 0;
  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      const typed = field.value.trim();
      if (!typed) return;
      const response = await fetch(`/titles?words=${encodeURIComponent(typed)}`);
      if (!response.ok || field.value.trim() !== typed) return;
      const options = (await response.json()).map((name) => new Option("", name));
      list.replaceChildren(...options);
    }, WAIT);
  });
}

document.querySelectorAll("input[data-titles]").forEach(suggestTitles);
