// What is typed stays on the device until the server has it: through a lost connection, an expired
// session and a closed tab. Files cannot be kept. A copy belongs to one person and one page.
"use strict";
(() => {
  const SIGN_IN = "/sign-in/";
  const KEEP = "/drafts/keep/";
  const NOT_KEPT = new Set(["csrfmiddlewaretoken", "path"]);
  const keyOf = (form) => `kept:${form.dataset.keptFor}:${form.dataset.kept}`;
  const store = (act) => { try { return act(localStorage); } catch { return null; } };
  const read = (form) => JSON.parse(store((s) => s.getItem(keyOf(form))) || "null");
  const forget = (key) => store((s) => s.removeItem(key));

  const neverKept = (form) => new Set((form.dataset.neverKept || "").split(" "));

  function typed(form) {
    const values = {};
    const never = neverKept(form);
    for (const field of form.elements) {
      if (!field.name || NOT_KEPT.has(field.name) || never.has(field.name) || ["file", "password", "submit"].includes(field.type)) continue;
      const mark = ["checkbox", "radio"].includes(field.type);
      (values[field.name] ||= []).push(mark ? (field.checked ? field.value : null) : field.value);
    }
    return values;
  }

  function keep(form) {
    const copy = JSON.stringify({ at: Date.now(), values: typed(form) });
    store((s) => s.setItem(keyOf(form), copy));
  }

  function say(form, text) {
    let line = form.querySelector(".kept-here");
    if (!line) {
      line = document.createElement("p");
      line.className = "kept kept-here";
      line.setAttribute("role", "status");
      form.prepend(line);
    }
    line.textContent = text;
    line.hidden = !text;
  }

  function restore(form) {
    const copy = read(form);
    if (!copy) return;
    // An answer of the server to what was sent, or a later draft of its own, is newer than the copy.
    if ("answered" in form.dataset || Date.parse(form.dataset.keptAt || 0) >= copy.at) return forget(keyOf(form));
    const chosen = new Set((form.dataset.chosen || "").split(" "));
    // A copy from before the page named them may hold what is not kept any more.
    const never = neverKept(form);
    const places = {};
    // What the copy only repeats of the page it was made on is not typed: the file may say something newer by now.
    const was = JSON.parse(copy.values.as_loaded?.[0] || "{}");
    for (const field of form.elements) {
      const place = (places[field.name] ??= -1) + 1;
      places[field.name] = place;
      const value = copy.values[field.name]?.[place];
      if (value === undefined || chosen.has(field.name) || never.has(field.name) || field.type === "file") continue;
      if (was[field.name]?.length === 1 && was[field.name][0] === value) continue;
      if (["checkbox", "radio"].includes(field.type)) field.checked = copy.values[field.name].includes(field.value);
      else field.value = value;
    }
    const typedAt = new Date(copy.at).toLocaleString([], { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
    say(form, `Typed on this device on ${typedAt} and not yet saved.`);
    form.dispatchEvent(new Event("input", { bubbles: true }));
  }

  const forms = () => document.querySelectorAll("form[data-kept]");
  const within = (target) => target.closest?.("form[data-kept]");
  // Pages that ask who is there come between a form and its answer: nothing has arrived yet.
  const atADoor = () => location.pathname === SIGN_IN || /^\/owner\/[^/]+\/code\/$/.test(location.pathname);
  const signedOut = (xhr) => new URL(xhr.responseURL || location.href, location.href).pathname === SIGN_IN;

  document.addEventListener("input", (event) => { const form = within(event.target); if (form) keep(form); });

  document.addEventListener("submit", (event) => {
    const form = within(event.target);
    if (!form) {
      // Who signs out on a shared machine, or leaves a borrowed one, leaves nothing behind.
      if (/\/(sign-out|leave)\/$/.test(event.target.action)) {
        store((s) => Object.keys(s).filter((key) => key.startsWith("kept:")).forEach((key) => s.removeItem(key)));
      }
      return;
    }
    keep(form);
    // A fragment stays in its page and hears the answer itself.
    if (!form.matches(".fragment")) sessionStorage.setItem("sent", keyOf(form));
    if (navigator.onLine) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    say(form, "No connection. What you typed is kept on this device; send it again when the connection is back.");
  }, true);

  // The answer 204 to a draft means: the server has it, in the words of this very form.
  document.addEventListener("htmx:afterRequest", (event) => {
    const form = within(event.detail.elt);
    const { xhr, requestConfig } = event.detail;
    if (!form || !xhr) return;
    const draft = requestConfig.path === KEEP;
    if (draft && xhr.status === 204) { forget(keyOf(form)); say(form, ""); }
    if (draft && xhr.status !== 204 && !signedOut(xhr)) say(form, "Not yet sent: kept on this device.");
  });

  document.addEventListener("htmx:beforeSwap", (event) => {
    const { xhr, requestConfig } = event.detail;
    const asking = requestConfig.elt;
    if (signedOut(xhr)) {
      event.detail.shouldSwap = false;
      // Nobody is thrown out in the middle of a word: only a press of their own leads to the sign-in.
      if (asking.matches("form, a") && requestConfig.path !== KEEP) {
        location.assign(`${SIGN_IN}?next=${encodeURIComponent(location.pathname + location.search)}`);
      } else {
        forms().forEach((form) => say(form, "You are signed out. What you type is kept on this device; save it, sign in, and it is here again."));
      }
    } else if (asking.matches("form.fragment") && requestConfig.path !== KEEP && xhr.status === 200) {
      // Either it is stored, or it comes back with what is wrong and with all that was typed.
      forget(keyOf(asking));
    }
  });

  const seen = new WeakSet();
  const restoreNew = () => forms().forEach((form) => { if (!seen.has(form)) { seen.add(form); restore(form); } });

  document.addEventListener("htmx:afterSettle", restoreNew);
  window.addEventListener("online", () => forms().forEach((form) => read(form) && form.dispatchEvent(new Event("input", { bubbles: true }))));

  // Another page than the one that was sent from, or the word "saved": what was sent has arrived.
  const sent = sessionStorage.getItem("sent");
  if (sent && !atADoor()) {
    const same = sent.endsWith(`:${location.pathname}`);
    if (!same || document.querySelector(".messages .saved")) forget(sent);
    sessionStorage.removeItem("sent");
  }
  restoreNew();
})();
