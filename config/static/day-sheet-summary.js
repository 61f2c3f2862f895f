"use strict";
/* What is about to be recorded, to be read once more, and what it will do. */

const daySummary = (state, data) => {
  const make = (tag, text, className = "") => Object.assign(document.createElement(tag), { textContent: text, className });
  const unit = (text, name) => (text ? `${text} ${name}` : "not measured");
  const outcome = data.outcome === "cones" ? `cones moved: ${data.cones.join(", ")}` : data.outcome;
  const rows = [
    ["Mass", state.masses.find((one) => one.mass === data.mass)?.name || ""],
    ["Aimed at", `${data.aimed_kmh} km/h`],
    ["Measured", unit(data.measured_kmh, "km/h")],
    ["Result", outcome],
    ["Wind", `${unit(data.wind_mps, "m/s")}${data.gust_mps ? `, gust ${data.gust_mps} m/s` : ""}, ${data.surface}`],
    ["Roll", unit(data.roll_deg, "°")],
  ];
  const told = [["Does not count", dayAhead.provesNothing(state, data)], ["Stops the climb", dayAhead.alarms(state, data)]];
  return [
    ...rows.flatMap(([name, text]) => [make("dt", name), make("dd", text)]),
    ...told.filter(([, found]) => found.length).flatMap(([name, found]) => [make("dt", name), make("dd", found.join("; "), "state not-met")]),
  ];
};
