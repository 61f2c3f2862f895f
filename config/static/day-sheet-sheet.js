"use strict";
/* The day sheet as it stands with what this phone has not sent: a stored page knows nothing of it. */

(() => {
  const sections = [...document.querySelectorAll("section.mass[data-mass]")];
  const boxes = [...document.querySelectorAll("form[data-entry=check] input[name=check]")];
  const climb = document.querySelector("[data-climb]");
  if (!sections.length && !boxes.length && !climb) return;
  const make = (tag, facts, ...inside) => {
    const made = Object.assign(document.createElement(tag), facts);
    made.append(...inside);
    return made;
  };

  function rungs(section, step) {
    for (const rung of section.querySelectorAll("[data-speed]")) {
      const speed = Number(rung.dataset.speed);
      if (!step.passed && step.next === null) continue;
      const state = step.passed || speed < step.next ? "done" : speed === step.next ? "now" : "later";
      rung.className = `state ${state}`;
      rung.lastElementChild.textContent = state === "now" ? "open" : state;
    }
  }

  function why(step) {
    const text = step.reason.replace(/^[^:]*: /, ""), said = `${text[0].toUpperCase()}${text.slice(1)}`;
    const word = step.passed ? ["state met", "Passed"] : step.stopped ? ["state not-met", "Stopped"] : null;
    return word ? [make("span", { className: word[0], textContent: word[1] }), `: ${step.stopped ? text : said}`] : [said];
  }

  function act(section, step, closed) {
    if (step.passed || closed || !daySync.here.may_record) return [];
    if (step.stopped) {
      const decide = section.dataset.decide;
      return decide ? [make("p", { className: "thumb" }, make("a", { className: "button next", href: decide, textContent: "Decide how to go on" }))] : [];
    }
    if (step.waits.length) {
      return [make("p", { className: "pale", textContent: "Runs wait for:" }), make("ul", { className: "small" }, ...dayAhead.inShort(step.waits).map((textContent) => make("li", { textContent })))];
    }
    const link = make("a", { className: "button next", href: section.dataset.record, textContent: `Record a run: ${step.next} km/h or below` });
    return [make("p", { className: "thumb" }, link)];
  }

  function tick(entries) {
    const waiting = new Map(entries.filter((entry) => entry.kind === "check").flatMap((entry) => [].concat(entry.data.check).map((key) => [key, entry])));
    for (const box of boxes.filter((box) => waiting.has(box.value))) {
      box.checked = box.disabled = true;
      const note = document.getElementById(`note_${box.value}`);
      if (note) [note.value, note.disabled] = [waiting.get(box.value).data[note.name] || "", true];
      box.closest(".tick").title = "Kept on this device, not sent yet";
    }
  }

  async function draw() {
    const entries = await daySync.waiting(), state = daySync.state();
    tick(entries);
    if (!entries.length && state.at === daySync.here.at) return;
    const closed = dayAhead.closed(state, entries), steps = dayAhead.steps(state, entries);
    climb?.replaceChildren(...steps.map((step) => make("li", { textContent: step.reason })));
    for (const step of steps) {
      const section = sections.find((one) => one.dataset.mass === step.mass);
      if (!section) continue;
      rungs(section, step);
      section.querySelector("[data-why-mass]").replaceChildren(...why(step));
      section.querySelector("[data-act]").replaceChildren(...act(section, step, closed));
    }
  }

  document.addEventListener("day-sheet-changed", draw);
  draw();
})();
