"use strict";
/* Checks, loading, stop and the driver's statement: on the device first, sent from there, awaited by nobody. */

(() => {
  const make = (tag, facts) => Object.assign(document.createElement(tag), facts);

  for (const form of document.querySelectorAll("form[data-entry], [data-entry-form] form.page-form")) {
    const kind = form.dataset.entry || form.closest("[data-entry-form]").dataset.entryForm;
    // The site keeps what is typed into its forms and holds them back without a connection; these are taken here.
    for (const name of form.getAttributeNames().filter((name) => name.startsWith("data-kept"))) form.removeAttribute(name);
    let taking = false;
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (taking) return;
      taking = true;
      await take(form, kind);
      taking = false;
    });
  }

  const sheet = () => `/day-sheets/${daySync.here.day}/`;

  async function take(form, kind) {
    if (kind === "stop" && !form.elements.reason.value.trim()) form.elements.reason.value = "No reason written yet.";
    const found = await dayFields.problems(form, kind);
    tell(form, found);
    if (found.length) return;
    const data = typed(form);
    if (kind === "loading" || kind === "release") data.mass = form.closest("[data-mass]").dataset.mass;
    // A decision lets go of what this phone knows of, and of nothing that comes to light later.
    if (kind === "release") Object.assign(data, await dayAhead.known());
    // A page from the store was given its mark once: a second loading from it is another entry.
    delete data.sent_as;
    let mark;
    try {
      mark = await daySync.add(kind, data);
    } catch (error) {
      return tell(form, [[form, error.said || error.message]]);
    }
    const panel = kind === "check" ? null : keptPanel(kind, data);
    if (panel) form.replaceWith(panel);
    document.addEventListener("day-sheet-sent", (event) => after(event.detail.find((one) => one.sent_as === mark), form, panel));
    daySync.send();
  }

  function typed(form) {
    const data = {};
    for (const [name, value] of new FormData(form)) {
      if (name === "csrfmiddlewaretoken") continue;
      data[name] = name in data ? [].concat(data[name], value) : value;
    }
    return data;
  }

  function tell(form, found) {
    form.querySelector(".errors")?.remove();
    if (!found.length) return;
    const box = make("div", { className: "errors", tabIndex: -1 }), list = make("ul", {});
    box.setAttribute("role", "alert");
    for (const [field, text] of found) {
      const link = make("a", { href: `#${field.id}`, textContent: text });
      link.addEventListener("click", (event) => { event.preventDefault(); field.focus(); });
      list.append(make("li", {}));
      list.lastChild.append(field === form ? text : link);
    }
    box.append(make("p", { textContent: "Not written down yet. Please mend:" }), list);
    form.prepend(box);
    box.focus();
  }

  function keptPanel(kind, data) {
    const panel = make("div", { className: "told" });
    panel.setAttribute("role", "status");
    panel.append(make("p", { className: "state met", textContent: "Kept on this device. It is sent when there is reception." }));
    if (kind === "loading") panel.append(...verdict(data));
    if (kind === "release") panel.append(make("p", { textContent: "On this phone the climb goes on at this mass; others hear of it when it is sent." }));
    if (kind === "stop") panel.append(make("p", { textContent: "Nothing more is driven at either mass until the engineer decides." }));
    panel.append(make("a", { className: "button", href: sheet(), textContent: "Back to the day sheet" }));
    return panel;
  }

  function verdict(data) {
    const mass = daySync.state().masses.find((one) => one.mass === data.mass), reasons = dayLoading.reasons(mass, data);
    if (!reasons.length) return [];
    return [make("p", { className: "caution", textContent: `This is not the test mass: ${reasons.join("; ")}. Runs go on waiting.` })];
  }

  /* The server has it: on to the sheet, unless there is something to read here, or ticked there meanwhile. */
  function after(answer, form, panel) {
    if (!answer) return;
    if (answer.state === "kept") panel?.replaceChildren(make("p", { className: "state not-met", textContent: `Kept aside for the engineer: ${answer.text}` }), panel.lastChild);
    else if (panel?.querySelector(".caution")) panel.firstChild.textContent = "On the sheet.";
    else if (panel) location.assign(sheet());
    else if (!form.querySelector("input[name=check]:checked:enabled")) location.reload();
  }
})();
