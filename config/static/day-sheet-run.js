"use strict";
/* The run screen: one decision at a time, kept on the device first and sent from there. */

(() => {
  const STEPS = [
    ["mass"], ["aimed_kmh"], ["wind_mps", "gust_mps", "surface"], ["outcome"], ["cones"], ["measured_kmh"],
    ["roll_deg", "wheel_lift", "driver_stops"], ["remark"],
  ];
  const NEEDED = { mass: "Choose the mass.", aimed_kmh: "Choose a speed that is open.", surface: "Choose the surface.", outcome: "Choose the result." };
  const RANGES = { wind_mps: [0, 60, "m/s"], gust_mps: [0, 80, "m/s"], measured_kmh: [0, 200, "km/h"], roll_deg: [0, 60, "°"] };
  const UNDO_MS = 60000;

  entryForms();
  const screen = document.querySelector("[data-run-screen]");
  if (!screen) return;
  const form = screen.querySelector("form.page-form");
  const why = document.querySelector("[data-why]");
  const course = screen.querySelector("[data-tap-course]");
  const photo = screen.querySelector("[data-photo]");
  const actions = form.querySelector(".actions");
  const record = actions.querySelector("button.next");
  const TYPED = `day-sheet-typed-${form.closest("[data-day]").dataset.day}`;
  // What is typed is kept on the device here: the page's own keeping needs reception.
  for (const name of form.getAttributeNames().filter((name) => name.startsWith("hx-"))) form.removeAttribute(name);
  ownKeeping(form);
  let step = 0;

  const part = (name) => form.querySelector(`#div_id_${name}`);
  const value = (name) => (form.elements[name] instanceof RadioNodeList ? form.elements[name].value : form.elements[name]?.value) || "";
  const chosen = () => [...form.querySelectorAll("input[name=cones]:checked")].map((box) => box.value);
  const make = (tag, facts) => Object.assign(document.createElement(tag), facts);

  const next = make("button", { type: "button", className: "next", textContent: "Next" });
  const back = make("button", { type: "button", textContent: "Back" });
  const told = make("p", { className: "told" });
  const wrong = make("p", { className: "invalid-feedback" });
  told.setAttribute("role", "status");
  wrong.setAttribute("role", "alert");
  actions.prepend(back);
  actions.append(next);
  actions.before(wrong);
  form.before(told);
  part("remark").after(photo);
  part("cones").prepend(course);
  part("cones_moved").hidden = true;

  function data() {
    return {
      mass: value("mass"), aimed_kmh: value("aimed_kmh"), wind_mps: value("wind_mps"), gust_mps: value("gust_mps"),
      surface: value("surface"), outcome: value("outcome"), cones: value("outcome") === "cones" ? chosen() : [],
      cones_moved: "", measured_kmh: value("measured_kmh"), roll_deg: value("roll_deg"),
      wheel_lift: form.elements.wheel_lift.checked ? "on" : "", driver_stops: form.elements.driver_stops.checked ? "on" : "",
      remark: value("remark"),
    };
  }

  const shown = () => STEPS.map((names, index) => index).filter((index) => STEPS[index][0] !== "cones" || value("outcome") === "cones");

  function fault(names) {
    for (const name of names) {
      if (NEEDED[name] && !value(name)) return NEEDED[name];
      if (RANGES[name] && value(name).trim()) {
        const [low, high, unit] = RANGES[name], typed = dayLadder.number(value(name));
        if (!Number.isFinite(typed) || typed < low || typed > high) return `“${value(name)}” is not usable. Allowed: ${low} to ${high} ${unit}.`;
      }
    }
    if (names[0] === "cones" && !chosen().length) return "Tap the cones that moved, or tick their numbers.";
    return "";
  }

  function draw() {
    const visible = shown();
    if (!visible.includes(step)) step = visible.find((index) => index > step);
    for (const names of STEPS) for (const name of names) part(name).hidden = !STEPS[step].includes(name);
    for (const set of form.querySelectorAll(".page-form > fieldset, fieldset")) {
      if (!set.closest(".mb-3")) set.hidden = !STEPS[step].some((name) => set.contains(part(name)));
    }
    const last = step === visible.at(-1);
    photo.hidden = !last;
    course.hidden = STEPS[step][0] !== "cones";
    back.hidden = step === visible[0];
    next.hidden = last;
    record.hidden = !last;
    wrong.textContent = "";
  }

  function go(by) {
    const visible = shown();
    step = visible[Math.min(visible.length - 1, Math.max(0, visible.indexOf(step) + by))];
    draw();
    part(STEPS[step][0]).querySelector("input:not([type=hidden]), select, textarea")?.focus({ preventScroll: true });
  }

  function today(zone) {
    return new Intl.DateTimeFormat("en-CA", { timeZone: zone }).format(new Date());
  }

  /* Which speeds are open, from the server's history and what this device has not sent. */
  async function open() {
    const state = daySync.state();
    const steps = dayLadder.withWaiting(state, await daySync.waiting());
    const mass = steps.find((one) => one.mass === value("mass"));
    const said = (one) => [make("p", { textContent: one.reason }), ...(one.cautions ?? []).map((text) => make("p", { className: "caution", textContent: text }))];
    why.replaceChildren(...steps.flatMap(said));
    const blocked = state.closed || (today(state.zone) !== state.date && `This day is booked for ${state.date}, not for today.`)
      || (mass && mass.waits.length && `Runs wait for: ${mass.waits.map((item) => item.text).join("; ")}`);
    const select = form.elements.aimed_kmh;
    const typed = select.value;
    const speeds = mass && !blocked ? dayLadder.speeds(state, mass.next) : [];
    select.replaceChildren(...speeds.map((speed) => new Option(`${speed} km/h`, speed)));
    if (speeds.includes(Number(typed))) select.value = typed;
    if (blocked) why.prepend(make("p", { className: "state not-met", textContent: blocked }));
    return speeds;
  }

  function remember() {
    localStorage.setItem(TYPED, JSON.stringify({ step, data: data() }));
  }

  function recall() {
    const kept = JSON.parse(localStorage.getItem(TYPED) || "null");
    if (!kept) return;
    for (const [name, typed] of Object.entries(kept.data)) {
      const field = form.elements[name];
      if (name === "cones") for (const box of form.querySelectorAll("input[name=cones]")) box.checked = typed.includes(box.value);
      else if (field instanceof RadioNodeList) for (const radio of field) radio.checked = radio.value === typed;
      else if (field?.type === "checkbox") field.checked = typed === "on";
      else if (field && typed) field.value = typed;
    }
    step = kept.step;
    told.textContent = "What you had typed is still here.";
  }

  function tap(event) {
    const cone = event.target.closest("[data-cone]");
    if (!cone) return;
    const box = form.querySelector(`input[name=cones][value="${cone.dataset.cone}"]`);
    box.checked = !box.checked;
    mark();
    remember();
  }

  function mark() {
    for (const cone of course.querySelectorAll("[data-cone]")) cone.classList.toggle("moved", chosen().includes(cone.dataset.cone));
  }

  async function submit(event) {
    event.preventDefault();
    if (record.hidden || record.disabled) return;
    const visible = shown();
    for (const index of visible) {
      const said = fault(STEPS[index]);
      if (said) {
        step = index;
        draw();
        wrong.textContent = said;
        return;
      }
    }
    record.disabled = true;
    const entered = data();
    const sent_as = await daySync.add("run", entered);
    const picture = photo.querySelector("input").files[0];
    if (picture) await daySync.add("photo", { run: sent_as, blob: picture });
    localStorage.removeItem(TYPED);
    fresh(entered.mass);
    undoable(sent_as, entered);
    await daySync.show();
    await daySync.send();
    await open();
    record.disabled = false;
  }

  function fresh(mass) {
    form.reset();
    for (const box of form.querySelectorAll("input:checked")) box.checked = false;
    for (const name of ["wind_mps", "gust_mps", "measured_kmh", "roll_deg", "remark"]) form.elements[name].value = "";
    for (const radio of form.elements.mass) radio.checked = radio.value === mass;
    photo.querySelector("input").value = "";
    mark();
    step = 0;
    draw();
  }

  function undoable(sent_as, entered) {
    told.textContent = `Kept: ${entered.aimed_kmh} km/h, ${entered.outcome}. `;
    const button = make("button", { type: "button", className: "plain", textContent: "Undo this run" });
    const stopped = setTimeout(() => button.remove(), UNDO_MS);
    button.addEventListener("click", async () => {
      clearTimeout(stopped);
      button.remove();
      await daySync.add("undo", { run: sent_as });
      told.textContent = "Undone. It stays readable on the sheet.";
      await daySync.send();
      await open();
    });
    told.append(button);
  }

  next.addEventListener("click", async () => {
    const said = fault(STEPS[step]);
    if (said) {
      wrong.textContent = said;
      return;
    }
    if (STEPS[step][0] === "mass" && !(await open()).length) {
      wrong.textContent = "No speed is open at this mass now.";
      return;
    }
    go(1);
  });
  back.addEventListener("click", () => go(-1));
  course.addEventListener("click", tap);
  form.addEventListener("submit", submit);
  form.addEventListener("input", remember);
  form.addEventListener("change", () => { mark(); open(); });
  document.addEventListener("day-sheet-sent", (event) => {
    const kept = event.detail.filter((one) => one.state === "kept" || /does not count/.test(one.text || ""));
    if (kept.length) told.append(make("span", { textContent: ` ${kept.map((one) => one.text).join(" ")}` }));
    open();
  });
  recall();
  mark();
  draw();
  daySync.started.then(open);

  /* The site keeps what is typed into its forms and holds them back without a connection; these are taken here. */
  function ownKeeping(form) {
    for (const name of form.getAttributeNames().filter((name) => name.startsWith("data-kept"))) form.removeAttribute(name);
  }

  /* Checks, loading and the stop: the same way, form by form. */
  function entryForms() {
    for (const form of document.querySelectorAll("form[data-entry], [data-entry-form] form.page-form")) {
      ownKeeping(form);
      form.addEventListener("submit", async (event) => {
        event.preventDefault();
        const kind = form.dataset.entry || form.closest("[data-entry-form]").dataset.entryForm;
        if (!named(form)) return;
        if (await checked(form)) await take(form, kind);
      });
    }
  }

  /* An instrument that is not booked has to be named beside its tick. */
  function named(form) {
    for (const note of form.querySelectorAll("[data-must-with]")) {
      const tick = form.querySelector(`input[value="${note.dataset.mustWith}"]`);
      note.setCustomValidity(tick?.checked && !note.value.trim() ? "Write down which instrument, and until when its calibration holds." : "");
    }
    return form.reportValidity();
  }

  /* With reception the server's own form answers, mistakes and all. */
  async function checked(form) {
    if (!navigator.onLine) return true;
    try {
      await fetch("/day-sheet-worker.js", { method: "HEAD", cache: "no-store" });
    } catch {
      return true;
    }
    form.submit();
    return false;
  }

  async function take(form, kind) {
    const data = {};
    for (const [name, typed] of new FormData(form)) {
      if (name === "csrfmiddlewaretoken") continue;
      data[name] = name in data ? [].concat(data[name], typed) : typed;
    }
    if (kind === "loading") data.mass = form.closest("[data-mass]").dataset.mass;
    await daySync.add(kind, data, data.sent_as);
    await daySync.show();
    form.replaceChildren(Object.assign(document.createElement("p"), { className: "state met", textContent: "Kept on this device. It is sent when there is reception." }));
  }
})();
