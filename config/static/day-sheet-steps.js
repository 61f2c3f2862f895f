"use strict";
/* One decision at a time: which part of the run's form is on the screen. */

const daySteps = (form, { steps, skips, fault, before, shown }) => {
  const actions = form.querySelector(".actions");
  const record = actions.querySelector("button.next");
  const part = (name) => form.querySelector(`#div_id_${name}`);
  const make = (tag, facts) => Object.assign(document.createElement(tag), facts);
  const next = make("button", { type: "button", className: "next", textContent: "Next" });
  const back = make("button", { type: "button", textContent: "Back" });
  const wrong = make("p", { className: "invalid-feedback" });
  let now = 0;

  wrong.setAttribute("role", "alert");
  actions.prepend(back);
  actions.append(next);
  actions.before(wrong);

  const visible = () => steps.map((names, index) => index).filter((index) => !skips(steps[index]));

  function draw() {
    const open = visible();
    if (!open.includes(now)) now = open.find((index) => index > now);
    for (const names of steps) for (const name of names) part(name).hidden = !steps[now].includes(name);
    for (const set of form.querySelectorAll("fieldset")) {
      if (!set.closest(".mb-3")) set.hidden = !steps[now].some((name) => set.contains(part(name)));
    }
    const last = now === open.at(-1);
    back.hidden = now === open[0];
    next.hidden = last;
    record.hidden = !last;
    wrong.textContent = "";
    shown(steps[now], last);
  }

  function show(index, said = "") {
    now = index;
    draw();
    wrong.textContent = said;
  }

  function go(by) {
    const open = visible();
    show(open[Math.min(open.length - 1, Math.max(0, open.indexOf(now) + by))]);
    part(steps[now][0]).querySelector("input:not([type=hidden]), select, textarea")?.focus({ preventScroll: true });
    form.scrollIntoView({ block: "start" });
  }

  next.addEventListener("click", async () => {
    const said = fault(steps[now]) || (await before(steps[now]));
    if (said) wrong.textContent = said;
    else go(1);
  });
  back.addEventListener("click", () => go(-1));

  /* The first thing that is wrong anywhere is shown where it is mended. */
  function ready() {
    const index = visible().find((index) => fault(steps[index]));
    if (index === undefined) return !record.hidden;
    show(index, fault(steps[index]));
    return false;
  }

  return { part, make, record, draw, show, ready, now: () => now };
};
