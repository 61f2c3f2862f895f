"use strict";
/* For a minute the run written down last can be taken back, on every page of the day. */

const dayUndo = (() => {
  const UNDO_MS = 60000;
  const KEY = `day-sheet-undo-${daySync.here.day}-${daySync.here.user}`;
  const place = document.querySelector("[data-undo]");
  let over = null;

  function offer(sent_as, text) {
    localStorage.setItem(KEY, JSON.stringify({ sent_as, text, until: Date.now() + UNDO_MS }));
    show();
  }

  function show() {
    const last = JSON.parse(localStorage.getItem(KEY) || "null");
    clearTimeout(over);
    place.replaceChildren();
    if (!last || last.until <= Date.now()) return;
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Undo this run" });
    button.addEventListener("click", () => undo(last));
    place.append(`Kept: ${last.text}. `, button);
    over = setTimeout(show, last.until - Date.now());
  }

  async function undo({ sent_as }) {
    localStorage.removeItem(KEY);
    await daySync.add("undo", { run: sent_as });
    show();
    place.append("Undone. It stays readable on the sheet.");
    daySync.send();
  }

  show();
  return { offer };
})();
