"use strict";
/* The run screen: what may be driven, what was seen, and the record of it on the device. */

(() => {
  const screen = document.querySelector("[data-run-screen]");
  if (!screen) return;
  const STEPS = [
    ["mass"], ["aimed_kmh"], ["wind_mps", "gust_mps", "surface"], ["outcome"], ["cones"], ["measured_kmh"],
    ["roll_deg", "wheel_lift", "driver_stops"], ["remark"],
  ];
  const NEEDED = { mass: "Choose the mass.", aimed_kmh: "Choose a speed that is open.", surface: "Choose the surface.", outcome: "Choose the result." };
  const form = screen.querySelector("form.page-form");
  const why = document.querySelector("[data-why]"), course = screen.querySelector("[data-tap-course]"), photo = screen.querySelector("[data-photo]");
  // What is typed is kept on the device here: the page's own keeping needs reception.
  for (const name of form.getAttributeNames().filter((name) => /^(hx-|data-kept)/.test(name))) form.removeAttribute(name);

  const value = (name) => (form.elements[name] instanceof RadioNodeList ? form.elements[name].value : form.elements[name]?.value) || "";
  const ticked = (name) => (form.elements[name].checked ? "on" : "");
  const typed = dayTyped(form);
  const remember = () => typed.remember(steps.now(), data());
  const cones = dayCones(form, course, remember);

  function data() {
    return {
      mass: value("mass"), aimed_kmh: value("aimed_kmh"), wind_mps: value("wind_mps"), gust_mps: value("gust_mps"),
      surface: value("surface"), outcome: value("outcome"), cones: value("outcome") === "cones" ? cones.chosen() : [],
      cones_moved: "", measured_kmh: value("measured_kmh"), roll_deg: value("roll_deg"),
      wheel_lift: ticked("wheel_lift"), driver_stops: ticked("driver_stops"), remark: value("remark"),
    };
  }

  function fault(names) {
    for (const name of names) {
      if (NEEDED[name] && !value(name)) return NEEDED[name];
      const said = dayFields.range(name, value(name));
      if (said) return said;
    }
    return names[0] === "cones" && !cones.chosen().length ? "Tap the cones that moved, or tick their numbers." : "";
  }

  const steps = daySteps(form, {
    steps: STEPS,
    fault,
    skips: (names) => names[0] === "cones" && value("outcome") !== "cones",
    before: async (names) => (names[0] === "mass" && !(await open()).length ? "No speed is open at this mass now." : ""),
    shown,
  });
  const { part, make } = steps;
  const wind = dayWind(form, part("wind_mps"), remember);
  const soFar = make("p", { className: "so-far" }), summary = make("dl", { className: "facts summary", hidden: true });
  form.prepend(soFar);
  part("remark").after(photo, summary);
  part("cones").prepend(course);
  part("cones_moved").hidden = true;

  function shown(names, last) {
    const known = STEPS.indexOf(names) > 1 && value("aimed_kmh");
    soFar.textContent = known ? `${nameOf(value("mass"))}, aimed at ${value("aimed_kmh")} km/h` : "";
    photo.hidden = summary.hidden = !last;
    course.hidden = names[0] !== "cones";
    wind.show(names[0] === "wind_mps");
    if (last) summary.replaceChildren(...daySummary(daySync.state(), data()));
  }

  const nameOf = (mass) => daySync.state().masses.find((one) => one.mass === mass)?.name || "";

  /* Which speeds are open, from the server's history and what this device has not sent. */
  async function open() {
    const state = daySync.state(), entries = await daySync.waiting(), all = dayAhead.steps(state, entries);
    const mass = all.find((one) => one.mass === value("mass"));
    const blocked = dayAhead.closed(state, entries) || (mass && mass.waits.length && `Runs wait for: ${dayAhead.inShort(mass.waits).join("; ")}`);
    const about = mass ? [mass] : all;
    why.replaceChildren(...about.flatMap((one) => [make("p", { className: one.stopped ? "caution" : "", textContent: one.reason }), ...one.cautions.map((text) => make("p", { className: "caution", textContent: text }))]));
    if (blocked) why.prepend(make("p", { className: "state not-met", textContent: blocked }));
    const select = form.elements.aimed_kmh, chosen = select.value, speeds = mass && !blocked ? dayLadder.speeds(state, mass.next) : [];
    select.replaceChildren(...speeds.map((speed) => new Option(`${speed} km/h`, speed)));
    if (speeds.includes(Number(chosen))) select.value = chosen;
    return speeds;
  }

  async function submit(event) {
    event.preventDefault();
    if (steps.record.disabled || !steps.ready()) return;
    steps.record.disabled = true;
    tell("");
    try {
      await record(data(), photo.querySelector("input").files[0]);
    } catch (error) {
      tell(error.said || `Not kept: ${error.message}`);
    }
    daySync.send();
    await open();
    steps.record.disabled = false;
  }

  /* The run first: once it is kept the form is empty, so that nobody writes it down twice for a photo that failed. */
  async function record(entered, picture) {
    const sent_as = await daySync.add("run", entered);
    typed.forget(entered.mass);
    fresh(entered.mass);
    dayUndo.offer(sent_as, `${entered.aimed_kmh} km/h, ${entered.outcome}`);
    if (picture) await daySync.add("photo", { run: sent_as, blob: picture });
  }

  const notKept = make("p", { className: "state not-met", hidden: true });
  notKept.setAttribute("role", "alert");
  form.before(notKept);

  function tell(text) {
    notKept.textContent = text;
    notKept.hidden = !text;
  }

  function fresh(mass) {
    form.reset();
    for (const box of form.querySelectorAll("input:checked")) box.checked = false;
    for (const name of ["wind_mps", "gust_mps", "measured_kmh", "roll_deg", "remark"]) form.elements[name].value = "";
    for (const radio of form.elements.mass) radio.checked = radio.value === mass;
    photo.querySelector("input").value = "";
    cones.mark();
    steps.show(0);
    window.scrollTo(0, 0);
  }

  async function renew() {
    await open();
    await wind.offer();
  }

  function recall() {
    const kept = typed.kept();
    // A page from the store may have been made for the other mass.
    if (typed.asked) for (const radio of form.elements.mass) radio.checked = radio.value === typed.asked;
    if (!kept) return steps.draw();
    typed.fill(kept);
    steps.show(kept.step);
    form.before(make("p", { className: "kept", textContent: "What you had typed is still here." }));
  }

  form.addEventListener("submit", submit);
  form.addEventListener("input", remember);
  form.addEventListener("change", () => { cones.mark(); open(); });
  document.addEventListener("day-sheet-changed", renew);
  recall();
  cones.mark();
  daySync.started.then(renew);
})();
