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

  return { progress, speeds };
})();
