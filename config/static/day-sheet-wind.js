"use strict";
/* The wind measured last, offered again with its age. Only a tap takes it. */

const dayWind = (form, part, changed) => {
  const NAMES = ["wind_mps", "gust_mps", "surface"];
  const button = Object.assign(document.createElement("button"), { type: "button", className: "wind-before", hidden: true });
  part.before(button);
  let before = null;

  async function offer() {
    const runs = (await daySync.waiting()).filter((entry) => entry.kind === "run" && entry.data.wind_mps);
    const here = runs.at(-1), there = daySync.state().wind_before;
    before = here && !(there && Date.parse(there.at) > Date.parse(here.at)) ? { ...here.data, at: here.at } : there;
    if (!before) return;
    const minutes = Math.max(0, Math.round((Date.now() - Date.parse(before.at)) / 60000));
    const gust = before.gust_mps ? `, gust ${before.gust_mps} m/s` : "";
    button.textContent = `Still as ${minutes ? `${minutes} min ago` : "just now"}: ${before.wind_mps} m/s${gust}, ${before.surface}`;
  }

  button.addEventListener("click", () => {
    for (const name of NAMES) {
      if (form.elements[name] instanceof RadioNodeList) for (const radio of form.elements[name]) radio.checked = radio.value === before[name];
      else form.elements[name].value = before[name];
    }
    changed();
  });

  return { offer, show: (now) => { button.hidden = !now || !before; } };
};
