"use strict";
/* What is being typed about a run survives a killed tab; each mass has its own. */

const dayTyped = (form) => {
  const KEY = `day-sheet-typed-${daySync.here.day}-${daySync.here.user}`;
  const asked = new URLSearchParams(location.search).get("mass");
  const all = () => JSON.parse(localStorage.getItem(KEY) || "{}");
  const store = (kept) => localStorage.setItem(KEY, JSON.stringify(kept));

  function forget(mass) {
    const { [mass]: gone, "": early, ...rest } = all();
    store(rest);
  }

  /* The mass whose button was pressed, else the latest. */
  function kept() {
    const known = all();
    return asked ? known[asked] : Object.values(known).sort((one, other) => other.at - one.at)[0];
  }

  function fill({ data }) {
    for (const [name, typed] of Object.entries(data)) {
      const field = form.elements[name];
      if (name === "cones") for (const box of form.querySelectorAll("input[name=cones]")) box.checked = typed.includes(box.value);
      else if (field instanceof RadioNodeList) for (const radio of field) radio.checked = radio.value === typed;
      else if (field?.type === "checkbox") field.checked = typed === "on";
      else if (field && typed) field.value = typed;
    }
  }

  return {
    asked,
    forget,
    fill,
    kept,
    remember: (step, data) => store({ ...all(), [data.mass]: { step, data, at: Date.now() } }),
  };
};
