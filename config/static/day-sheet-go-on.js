"use strict";
/* Whether there is something to decide at this mass, as this phone knows it: the stored page is older. */

(() => {
  const box = document.querySelector("[data-go-on]");
  if (!box) return;
  const part = (name) => box.querySelector(`[data-${name}]`);

  async function draw() {
    const state = daySync.state(), entries = await daySync.waiting();
    const step = dayAhead.steps(state, entries).find((one) => one.mass === box.dataset.mass);
    part("why").textContent = step.reason;
    part("contested").hidden = !state.contested;
    const form = part("entry-form");
    if (form?.querySelector("form")) form.hidden = !step.stopped || state.contested;
    part("not-stopped").hidden = step.stopped;
  }

  document.addEventListener("day-sheet-changed", draw);
  draw();
})();
