"use strict";
/* Telling plainly what is not sent, and what did not go into the sheet as it was written. */

(() => {
  const KINDS = { run: "Run", undo: "Undo", check: "Checks", loading: "Loading", stop: "Stop", photo: "Photo", statement: "Driver’s statement", release: "Decision to go on" };
  const unsent = document.querySelector("[data-not-sent]");
  const aside = document.querySelector("[data-aside]");
  const make = (tag, facts, ...inside) => {
    const made = Object.assign(document.createElement(tag), facts);
    made.append(...inside);
    return made;
  };

  function button(text, act) {
    const made = make("button", { type: "button", textContent: text });
    made.addEventListener("click", act);
    return made;
  }

  function line({ kind, at, data }) {
    const clock = new Date(at).toLocaleTimeString("en-AU", { hour: "2-digit", minute: "2-digit" });
    const what = kind === "run" ? `: ${data.mass === "tm1" ? "Test Mass 1" : "Test Mass 2"}, ${data.aimed_kmh} km/h, ${data.outcome}` : "";
    return `${clock} ${KINDS[kind] || kind}${what}`;
  }

  async function drop(entry) {
    await dayStore.remove(entry.place);
    daySync.changed();
  }

  /* A refused photo is nowhere else: it goes only by somebody's own hand. */
  function item(entry) {
    if (!entry.refused) return make("li", { textContent: line(entry) });
    const save = make("a", { href: URL.createObjectURL(entry.data.blob), download: "photo-of-a-run", textContent: "Save it on this device" });
    return make("li", {}, `${line(entry)} is not taken: ${entry.refused} `, save, " ", button("Throw it away", () => drop(entry)));
  }

  async function showUnsent() {
    const all = await dayStore.entries(), entries = await daySync.waiting();
    const open = entries.filter((entry) => !entry.refused).length, others = all.length - entries.length;
    const problem = daySync.problem();
    unsent.hidden = !all.length && !problem;
    const lines = entries.map(item);
    if (others) lines.push(make("li", { textContent: `${others} of other days or other people: open their sheet to send them.` }));
    const title = open ? `Not sent yet: ${open}. Kept on this device. ${problem}` : problem || "Kept on this device";
    // The run screen needs its height: a list opens itself only for what asks for a hand.
    const unfolded = unsent.querySelector("details")?.open || entries.some((entry) => entry.refused) || !open;
    unsent.replaceChildren(make("details", { open: unfolded }, make("summary", { textContent: title }), make("ul", {}, ...lines)));
    if (open) unsent.append(button("Send now", daySync.send));
  }

  async function showAside() {
    const words = await daySync.told();
    aside.hidden = !words.length;
    if (aside.hidden) return aside.replaceChildren();
    const said = (word) => `${line(word)}: ${word.aside ? "kept aside for the engineer, not on the sheet. " : ""}${word.text}`;
    const read = button("I have read this", async () => {
      for (const word of words) await dayStore.heard(word.sent_as);
      daySync.changed();
    });
    aside.replaceChildren(make("p", { textContent: "Not taken as you wrote it" }), make("ul", {}, ...words.map((word) => make("li", { textContent: said(word) }))), read);
  }

  /* One drawing after the other: two at once would both append. */
  let drawn = Promise.resolve();
  document.addEventListener("day-sheet-changed", () => { drawn = drawn.then(showUnsent).then(showAside); });
  daySync.changed();
})();
