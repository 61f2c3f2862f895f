// The keyboard at the desk: arrows go through lists of lines, Escape returns to the field they belong to.
"use strict";
(() => {
  const stops = (list) => [...list.querySelectorAll("a[href], button")].filter((stop) => stop.offsetParent);
  let left = null;

  function go(event, to) {
    if (!to) return;
    event.preventDefault();
    to.focus();
    to.scrollIntoView({ block: "nearest" });
  }

  function fromField(event, field) {
    const to = field.dataset.leadsTo || (field.closest(".counter") && "#found");
    const list = event.key === "ArrowDown" && to && document.querySelector(to);
    if (!list || !stops(list).length) return;
    left = field;
    go(event, stops(list)[0]);
  }

  function inList(event, list) {
    const all = stops(list);
    const here = all.indexOf(document.activeElement);
    const to = { ArrowDown: here + 1, ArrowUp: here - 1, Home: 0, End: all.length - 1 }[event.key];
    if (event.key === "Escape" || to === -1) go(event, left);
    else if (to !== undefined) go(event, all[to]);
  }

  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const list = event.target.closest?.("[data-lines], #lines");
    if (list) inList(event, list);
    else if (event.target.matches?.("input:not([type=checkbox]):not([type=datetime-local])")) fromField(event, event.target);
  });

  // A list of choices is one stop of the Tab key; the arrows go on inside.
  function oneStop(root) {
    root.querySelectorAll("[data-one-stop]").forEach((list) => {
      const all = stops(list);
      all.forEach((stop, place) => { stop.tabIndex = place ? -1 : 0; });
      list.addEventListener("focusin", (event) => all.forEach((stop) => { stop.tabIndex = stop === event.target ? 0 : -1; }));
    });
  }
  oneStop(document);
  document.addEventListener("htmx:afterSettle", (event) => {
    oneStop(event.detail.elt.parentElement || document);
    // On a phone what was found lies over the foot of the page: whoever types goes on seeing the field.
    if (event.target.closest?.("#found")) document.activeElement?.scrollIntoView({ block: "nearest" });
  });

  document.addEventListener("click", (event) => { if (event.target.closest("[data-prints]")) window.print(); });

  // A view is kept as it is looked at now, also after typing has changed it.
  document.addEventListener("submit", (event) => {
    if (!event.target.matches("[data-takes-filters]")) return;
    event.target.querySelectorAll("input[type=hidden]:not([name=csrfmiddlewaretoken])").forEach((old) => old.remove());
    new URLSearchParams(location.search).forEach((value, name) => {
      if (name === "page" || name === "name") return;
      const field = Object.assign(document.createElement("input"), { type: "hidden", name, value });
      event.target.append(field);
    });
  });
})();
