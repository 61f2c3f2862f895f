"use strict";
/* What is wrong with what was typed, in the server's words, before it is written down on the device. */

const dayFields = (() => {
  const WRITTEN = "plain numbers such as 87 or 12.5, a point before decimals, a comma between thousands only; ";

  /* Why this text is no value of that quantity, or an empty text. Empty is no fault here. */
  function range(name, text) {
    const known = daySync.state().ranges[name.startsWith("place_") ? "place" : name];
    if (!known || !String(text).trim()) return "";
    const [low, high, unit] = known, value = dayAhead.number(text);
    if (value >= low && value <= high) return "";
    return `“${text}” is not usable. Allowed: ${Number.isNaN(value) ? WRITTEN : ""}${low.toLocaleString("en-AU")} to ${high.toLocaleString("en-AU")} ${unit}.`;
  }

  const label = (form, field) => (form.querySelector(`label[for="${field.id}"]`) || field.closest("fieldset")?.querySelector("legend"))?.textContent.replace("*", "").trim() || field.name;

  /* [field, what is wrong] for everything that any form asks: what is needed, and how large it may be. */
  function common(form) {
    const found = new Map();
    for (const field of form.elements) {
      if (!field.name || found.has(field.name)) continue;
      if (field.validity.valueMissing) found.set(field.name, [field, `${label(form, field)}: needed.`]);
      const said = field.type === "text" ? range(field.name, field.value) : "";
      if (said) found.set(field.name, [field, `${label(form, field)}: ${said}`]);
    }
    return [...found.values()];
  }

  const one = (form, name) => form.elements[name];

  function check(form) {
    const nameless = [...form.querySelectorAll("[data-must-with]")].filter((note) => {
      const tick = form.querySelector(`input[value="${note.dataset.mustWith}"]`);
      return tick?.checked && !tick.disabled && !note.value.trim();
    });
    if (!form.querySelector("input[name=check]:checked:enabled")) return [[form, "Nothing is ticked that is not confirmed already."]];
    return nameless.map((note) => [note, "Write down which instrument, and until when its calibration holds."]);
  }

  function loading(form) {
    const front = one(form, "front_kg"), rear = one(form, "rear_kg");
    if (!front.value.trim() === !rear.value.trim()) return [];
    return [[front.value.trim() ? rear : front, "Weigh both axles, or leave both empty: then the mass is computed."]];
  }

  function rated(form, { mass, name }) {
    const { aspects, poor, rating_words: words } = daySync.state();
    return aspects.flatMap(([key, text]) => {
      const field = one(form, `${mass}_${key}`), value = Number(field.value), what = `${name}, ${text.toLowerCase()}`;
      if (!value) return [[field, `${what}: rate from 10 to 1.`]];
      if (value === 1) return [[field, `${what}: 1 is “not acceptable”; such a vehicle is not safe.`]];
      if (value <= poor && !one(form, `${mass}_remark`).value.trim()) return [[field, `${what}: say in the remark why ${value}, “${words[value]}”, is safe.`]];
      return [];
    });
  }

  async function statement(form) {
    const name = one(form, "signed_name"), typed = name.value.split(/\s+/).filter(Boolean).join(" ");
    const found = [];
    if (one(form, "safe").value === "no" && !one(form, "remark").value.trim()) found.push([one(form, "remark"), "Say what is not safe: the workshop has to mend it."]);
    if (one(form, "safe").value === "yes") {
      const steps = dayAhead.steps(daySync.state(), await daySync.waiting());
      const open = steps.filter((step) => !step.passed).map((step) => [one(form, "safe")[0], `“Safe” can be signed when both masses are clean at the target. ${step.reason}`]);
      found.push(...open, ...steps.flatMap((step) => rated(form, step)));
    }
    const driver = daySync.state().driver;
    if (typed && typed.toLowerCase() !== driver.toLowerCase()) found.push([name, `“${typed}” is not the driver of this day. Allowed: ${driver}.`]);
    return found;
  }

  const own = { check, loading, statement };

  return {
    range,
    problems: async (form, kind) => [...common(form), ...((await own[kind]?.(form)) || [])],
  };
})();
