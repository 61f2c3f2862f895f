"use strict";
/* What a history of runs opens next: the same rule as vehicles/calculations/speeds.py, for a phone
   without reception. A browser test holds both to the same answers on random histories. */

const dayLadder = (() => {
  const NAMES = { tm1: "Test Mass 1", tm2: "Test Mass 2" };
  const NEAR_KMH = 3, FAST_KMH = 5, SLOWEST_KMH = 5;

  const slow = (run) => run.measured !== null && run.measured + NEAR_KMH < run.aimed;

  function failedAt(run) {
    return slow(run) ? Math.max(SLOWEST_KMH, 5 * Math.round(run.measured / 5)) : run.aimed;
  }

  function fail(climb, run) {
    const failed = run.measured === null ? run.aimed : Math.min(run.aimed, run.measured + NEAR_KMH);
    const below = climb.ladder.filter((rung) => rung <= failed).length;
    climb.rung = Math.min(climb.rung, Math.max(0, below - 1));
    if (!below) climb.held.add(failedAt(run));
    climb.failures += 1;
  }

  function mark(climb, run) {
    if (run.measured === null || run.measured <= run.aimed + FAST_KMH) return;
    climb.cautions.push(`A run that aimed at ${run.aimed} km/h was measured at ${Math.round(run.measured)} km/h: hold the `
      + "speed, or mend what was written down.");
  }

  function open(climb) {
    return climb.held.size ? Math.min(...climb.held) : climb.ladder[climb.rung];
  }

  function succeed(climb, run) {
    if (run.aimed !== open(climb)) return;
    if (!climb.held.delete(run.aimed)) climb.rung += 1;
    climb.failures = 0;
  }

  /* runs: {mass, aimed, measured, outcome, counts} in the order driven. */
  function progress({ ladder, runs, mass, failures, releases = [] }) {
    const climb = { ladder, rung: 0, failures: 0, held: new Set(), last: null, cautions: [] };
    const passed = () => climb.rung === ladder.length;
    runs.forEach((run, place) => {
      if (releases.includes(place)) climb.failures = 0;
      if (run.mass !== mass || !run.counts || passed() || climb.failures >= failures) return;
      climb.last = run;
      mark(climb, run);
      if (run.outcome !== "clean") fail(climb, run);
      else if (run.measured !== null && run.measured >= run.aimed) succeed(climb, run);
    });
    if (releases.includes(runs.length)) climb.failures = 0;
    const stopped = !passed() && climb.failures >= failures;
    const next = passed() || stopped ? null : open(climb);
    const why = `${NAMES[mass]}: ${reason(climb, passed(), stopped)}`;
    return { mass, next, passed: passed(), stopped, reason: why, cautions: climb.cautions };
  }

  function reason(climb, passed, stopped) {
    if (passed) return `clean at the target of ${climb.ladder.at(-1)} km/h.`;
    if (stopped) return `${climb.failures} failed runs in a row; stop, the engineer decides how to go on.`;
    const last = climb.last, speed = open(climb);
    if (last === null) return `first attempt at ${speed} km/h or below.`;
    if (last.outcome !== "clean") {
      const at = slow(last) ? ` at ${Math.round(last.measured)} km/h` : "";
      return `the last run failed${at}; repeat at ${speed} km/h with the cones reset.`;
    }
    if (climb.held.size) return `the last run at ${last.aimed} km/h opens nothing further; ${speed} km/h failed and is repeated first.`;
    if (climb.rung && last.aimed === climb.ladder[climb.rung - 1]) return `clean at ${last.aimed} km/h opens ${speed} km/h.`;
    return `the last run at ${last.aimed} km/h opens nothing further; ${speed} km/h is open.`;
  }

  /* The open speed and everything below it, highest first: with a failed speed to repeat, nothing above that. */
  function speeds({ ladder, slower }, next) {
    if (next === null) return [];
    const all = new Set([next, ...slower.map((less) => ladder[0] - less), ...ladder]);
    return [...all].filter((speed) => speed <= next).sort((one, other) => other - one);
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
        ladder: state.ladder, runs, mass: mass.mass, failures: state.failures, releases: mass.releases,
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
    const measured = number(data.measured_kmh);
    if (measured !== null && measured - Number(data.aimed_kmh) > state.overspeed_kmh) {
      found.push(`${measured} km/h were driven with ${data.aimed_kmh} km/h aimed at`);
    }
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
