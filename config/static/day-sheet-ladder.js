"use strict";
/* What a history of runs opens next: the same rule as vehicles/calculations/speeds.py, for a phone
   without reception. A browser test holds both to the same answers on random histories. */

const dayLadder = (() => {
  const NAMES = { tm1: "Test Mass 1", tm2: "Test Mass 2" };

  function fail(climb, run, counted) {
    const below = climb.ladder.filter((rung) => rung <= run.aimed).length;
    climb.rung = Math.min(climb.rung, Math.max(0, below - 1));
    if (!below) climb.held = Math.min(run.aimed, open(climb));
    climb.failures += counted ? 1 : 0;
  }

  function open(climb) {
    return climb.held === null ? climb.ladder[climb.rung] : climb.held;
  }

  function succeed(climb, run) {
    if (run.aimed !== open(climb)) return;
    if (climb.held === null) climb.rung += 1;
    climb.held = null;
    climb.failures = 0;
  }

  /* runs: {mass, aimed, measured, outcome, counts} in the order driven. */
  function progress({ ladder, runs, mass, failures, releasedAt = 0 }) {
    const climb = { ladder, rung: 0, failures: 0, held: null, last: null };
    const passed = () => climb.rung === ladder.length;
    runs.forEach((run, place) => {
      if (run.mass !== mass || !run.counts || passed() || climb.failures >= failures) return;
      climb.last = run;
      if (run.outcome !== "clean") fail(climb, run, place >= releasedAt);
      else if (run.measured !== null && run.measured >= run.aimed) succeed(climb, run);
    });
    const stopped = !passed() && climb.failures >= failures;
    const next = passed() || stopped ? null : open(climb);
    return { mass, next, passed: passed(), stopped, reason: `${NAMES[mass]}: ${reason(climb, passed(), stopped)}` };
  }

  function reason(climb, passed, stopped) {
    if (passed) return `clean at the target of ${climb.ladder.at(-1)} km/h.`;
    if (stopped) return `${climb.failures} failed runs in a row; stop, the engineer decides how to go on.`;
    const last = climb.last, speed = open(climb);
    if (last === null) return `first attempt at ${speed} km/h or below.`;
    if (last.outcome !== "clean") return `the last run failed; repeat at ${speed} km/h with the cones reset.`;
    if (climb.rung && last.aimed === climb.ladder[climb.rung - 1]) return `clean at ${last.aimed} km/h opens ${speed} km/h.`;
    return `the last run at ${last.aimed} km/h opens nothing further; ${speed} km/h is open.`;
  }

  /* The open rung, everything below it, and slower: highest first. */
  function speeds({ ladder, slower }, next) {
    if (next === null) return [];
    const all = new Set([...slower.map((less) => ladder[0] - less), ...ladder.filter((rung) => rung <= next)]);
    return [...all].sort((one, other) => other - one);
  }

  /* The state of the sheet with what this phone has not sent yet driven on top of it. */
  function withWaiting(state, entries) {
    const undone = new Set(entries.filter((entry) => entry.kind === "undo").map((entry) => entry.data.run));
    // What the server has named is in its history already, even while it still waits here.
    const known = new Set(state.runs.map((run) => run.mark));
    const waiting = entries.filter((entry) => entry.kind === "run" && !undone.has(entry.sent_as) && !known.has(entry.sent_as));
    const runs = [...state.runs, ...waiting.map((entry) => asRun(state, entry.data))];
    const alarmed = waiting.filter((entry) => alarms(state, entry.data).length);
    const called = entries.some((entry) => entry.kind === "stop");
    return state.masses.map((mass) => {
      if (mass.stopped) return { ...mass, waits: waits(mass, entries) };
      const step = progress({
        ladder: state.ladder, runs, mass: mass.mass, failures: state.failures, releasedAt: mass.released_at,
      });
      const mine = waiting.some((entry) => entry.data.mass === mass.mass);
      const found = { ...mass, waits: waits(mass, entries), ...(mine ? step : {}) };
      const stopping = alarmed.find((entry) => entry.data.mass === mass.mass || entry.data.driver_stops);
      if (!stopping && !called) return found;
      const why = stopping ? alarms(state, stopping.data).join(" and ") : "stopped";
      return { ...found, next: null, passed: false, stopped: true, reason: `${mass.name}: ${why}; stop, the engineer decides how to go on.` };
    });
  }

  function number(text) {
    const value = String(text ?? "").replace(/,/g, "").trim();
    return value === "" ? null : Number(value);
  }

  function alarms(state, data) {
    const found = [];
    if (data.wheel_lift) found.push("a wheel lifted");
    if (number(data.roll_deg) !== null && number(data.roll_deg) > state.roll_deg) found.push("the body rolled too far");
    if (data.driver_stops) found.push("the driver does not want to go on");
    return found;
  }

  function asRun(state, data) {
    const wind = number(data.wind_mps), gust = number(data.gust_mps);
    const counts = wind !== null && wind <= state.wind_mps && (gust === null || gust <= state.gust_mps) && data.surface === "dry";
    const outcome = data.outcome === "clean" && alarms(state, data).length ? "aborted" : data.outcome;
    return { mass: data.mass, aimed: Number(data.aimed_kmh), measured: number(data.measured_kmh), outcome, counts };
  }

  /* What runs wait for, without the checks that this phone has taken and not sent. */
  function waits(mass, entries) {
    const taken = new Set(entries.filter((entry) => entry.kind === "check").flatMap((entry) => [].concat(entry.data.check)));
    const loaded = entries.filter((entry) => entry.kind === "loading").at(-1);
    return mass.waits.filter((item) => !taken.has(item.key) && !(item.key === "loading" && loaded && loaded.data.mass === mass.mass));
  }

  return { progress, speeds, withWaiting, alarms, number };
})();
