"use strict";
/* Whether what is loaded is the test mass: the same rule as testing/testday/loading.py, for a phone without reception. */

const dayLoading = (() => {
  const tenths = (value) => value.toLocaleString("en-AU", { minimumFractionDigits: 1, maximumFractionDigits: 1 });
  const kg = (value) => `${tenths(value)} kg`;
  const number = (text) => dayAhead.number(text);

  /* Every reason why this is not the test mass; `mass` as the state of the sheet gives it. */
  function reasons(mass, data) {
    const { lowest, highest, empty, plan, give, ratings, axles } = mass.load;
    const front = number(data.front_kg), rear = number(data.rear_kg);
    const weighed = front !== null && rear !== null;
    const places = plan.map(([key, title, planned]) => ({ title, planned, loaded: number(data[`place_${key}`]) || 0 }));
    const total = weighed ? front + rear : places.reduce((sum, place) => sum + place.loaded, empty);
    const found = [];
    if (!(total >= lowest - 1e-6 && total <= highest + 1e-6)) found.push(`${kg(total)} is not within ${tenths(lowest)} to ${kg(highest)}`);
    for (const [axle, scale] of [["front", front], ["rear", rear]]) {
      const carries = scale ?? axles[axle], rating = ratings[axle], computed = scale === null;
      if (carries === null || !rating || carries <= rating) continue;
      const rated = `above its rating of ${Math.round(rating).toLocaleString("en-AU")} kg`;
      found.push(`the ${axle} axle carries ${kg(carries)}${computed ? " as computed" : ""}, ${rated}${computed ? "; weigh both axles" : ""}`);
    }
    // Unweighed axles are known by the plan alone.
    for (const { title, planned, loaded } of weighed ? [] : places) {
      if (Math.abs(loaded - planned) > give + 1e-6) found.push(`${title}: ${kg(loaded)} where ${kg(planned)} are planned; weigh both axles`);
    }
    if (!data.restrained) found.push("the restraint is not confirmed");
    return found;
  }

  /* Why runs at this mass wait after that loading, or an empty text: the last loading stands on the wheels. */
  function missing(state, mass, data) {
    if (data.mass !== mass.mass) {
      const other = state.masses.find((one) => one.mass === data.mass);
      return `The vehicle is loaded to ${other.name}: load it to ${mass.name} and record that.`;
    }
    const found = reasons(mass, data);
    return found.length ? `The loading is not ${mass.name}: ${found.join("; ")}.` : "";
  }

  return { reasons, missing };
})();
