"use strict";
/* Where each mass stands with what this phone has not sent yet put on top of what the server said. */

const dayAhead = (() => {
  const FEW_CHECKS = 3;

  /* As vehicles/fields.py: a comma stands between thousands and nowhere else, 0,9 is no number. */
  const PLAIN = /^[-+]?(?:(?:[1-9]\d{0,2}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+)$/;

  function number(text) {
    const value = String(text ?? "").replace(/\s*kg\s*$/, "").trim();
    if (value === "") return null;
    return PLAIN.test(value) ? Number(value.replace(/,/g, "")) : NaN;
  }

  function alarms(state, data) {
    const found = [], roll = number(data.roll_deg), measured = number(data.measured_kmh), aimed = Number(data.aimed_kmh);
    if (data.wheel_lift) found.push("a wheel lifted");
    if (roll !== null && roll > state.roll_deg) found.push(`the body rolled ${roll}°, beyond the ${state.roll_deg}° that are set`);
    if (data.driver_stops) found.push("the driver does not want to go on");
    if (measured !== null && measured - aimed > state.overspeed_kmh) found.push(`${measured} km/h were driven with ${aimed} km/h aimed at`);
    return found;
  }

  /* Why a run under these conditions proves nothing. */
  function provesNothing(state, data) {
    const wind = number(data.wind_mps), gust = number(data.gust_mps), found = [];
    if (wind === null) found.push("the wind was not measured");
    else if (wind > state.wind_mps) found.push(`wind ${wind} m/s is over the limit of ${state.wind_mps} m/s`);
    if (gust !== null && gust > state.gust_mps) found.push(`a gust of ${gust} m/s is over the limit of ${state.gust_mps} m/s`);
    if (data.surface !== "dry") found.push(`the surface was ${data.surface}`);
    return found;
  }

  function asRun(state, data) {
    const counts = !provesNothing(state, data).length;
    const outcome = data.outcome === "clean" && alarms(state, data).length ? "aborted" : data.outcome;
    return { mass: data.mass, aimed: Number(data.aimed_kmh), measured: number(data.measured_kmh), outcome, counts };
  }

  const undone = (entries) => new Set(entries.filter((entry) => entry.kind === "undo").map((entry) => entry.data.run));

  /* Runs that wait, without those undone. What the server has taken is in its history, even while it still waits here. */
  function waitingRuns(state, entries) {
    const gone = undone(entries), known = new Set(state.marks);
    return entries.filter((entry) => entry.kind === "run" && !gone.has(entry.sent_as) && !known.has(entry.sent_as));
  }

  /* What runs wait for. Checks taken here are confirmed; the last loading written down here is judged here. */
  function waits(state, mass, entries) {
    const taken = new Set(entries.filter((entry) => entry.kind === "check").flatMap((entry) => [].concat(entry.data.check)));
    const loaded = entries.filter((entry) => entry.kind === "loading").at(-1);
    const left = mass.waits.filter((item) => !taken.has(item.key) && !(loaded && item.key === "loading"));
    const text = loaded && dayLoading.missing(state, mass, loaded.data);
    return text ? [...left, { key: "loading", text }] : left;
  }

  function stopping(state, mass, runs, entries) {
    const alarmed = runs.filter((entry) => entry.data.mass === mass.mass || entry.data.driver_stops).flatMap((entry) => alarms(state, entry.data));
    const called = entries.filter((entry) => entry.kind === "stop").map((entry) => `stopped by ${state.name}: ${entry.data.reason.replace(/\.$/, "")}`);
    return [...alarmed, ...called];
  }

  /* Places among the entries where the engineer let the climb go on at this mass. */
  function releases(mass, entries) {
    return entries.flatMap((entry, place) => (entry.kind === "release" && entry.data.mass === mass.mass ? [place] : []));
  }

  function steps(state, entries) {
    const waiting = waitingRuns(state, entries), gone = undone(entries);
    const runs = [...state.runs.filter((run) => !gone.has(run.mark)), ...waiting.map((entry) => asRun(state, entry.data))];
    const touched = new Set([...waiting.map((entry) => entry.data.mass), ...state.runs.filter((run) => gone.has(run.mark)).map((run) => run.mass)]);
    return state.masses.map((mass) => {
      const found = { ...mass, waits: waits(state, mass, entries) };
      const decisions = releases(mass, entries), since = entries.slice((decisions.at(-1) ?? -1) + 1);
      if (mass.stopped && (!decisions.length || state.contested)) return found;
      const why = stopping(state, mass, waiting.filter((entry) => since.includes(entry)), since);
      if (why.length) {
        return { ...found, next: null, passed: false, stopped: true, reason: `${mass.name}: ${why.join("; ")}; stop, the engineer decides how to go on.` };
      }
      if (!touched.has(mass.mass) && !decisions.length) return found;
      const { ladder, failures } = state, before = runs.length - waiting.length;
      // What was driven by the time of each decision, as the ladder counts it.
      const here = decisions.map((place) => before + waiting.filter((entry) => entries.indexOf(entry) < place).length);
      return { ...found, ...dayLadder.progress({ ladder, runs, mass: mass.mass, failures, releases: [...mass.releases, ...here] }) };
    });
  }

  /* Many open checks as one line: they stand on the sheet themselves. */
  function inShort(waits) {
    const checks = waits.filter((item) => item.key && item.key !== "loading");
    const rest = waits.filter((item) => !checks.includes(item)).map((item) => item.text);
    return checks.length > FEW_CHECKS ? [`${checks.length} checks that are not confirmed yet`, ...rest] : waits.map((item) => item.text);
  }

  const today = (zone) => new Intl.DateTimeFormat("en-CA", { timeZone: zone }).format(new Date());

  /* Why nothing is driven now at any mass, or an empty text. */
  function closed(state, entries) {
    if (state.closed) return state.closed;
    if (entries.some((entry) => entry.kind === "statement")) return "The driver has signed on this phone: this day is finished.";
    return today(state.zone) === state.date ? "" : `This day is booked for ${state.date}, not for today.`;
  }

  /* Marks of the runs and stops that this phone knows of now; a list that is empty is still an answer. */
  async function known() {
    const state = daySync.state(), entries = await daySync.waiting();
    const own = (kind) => entries.filter((entry) => entry.kind === kind).map((entry) => entry.sent_as);
    return { known_run: ["", ...state.marks, ...own("run")], known_stop: ["", ...(state.stops || []), ...own("stop")] };
  }

  return { number, alarms, provesNothing, steps, inShort, closed, known };
})();
