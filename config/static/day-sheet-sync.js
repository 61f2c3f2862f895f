"use strict";
/* Sending what waits, once and only once; telling plainly what is not sent. */

const daySync = (() => {
  const here = JSON.parse(document.getElementById("day-state").textContent);
  const box = document.querySelector("[data-not-sent]");
  const EVERY_MS = 15000;
  const KINDS = { run: "Run", undo: "Undo", check: "Checks", loading: "Loading", stop: "Stop", photo: "Photo", statement: "Driver’s report" };
  let state = here;
  let problem = "";

  const mine = (entries) => entries.filter((entry) => entry.day === here.day && entry.user === here.user);

  async function waiting() {
    return mine(await dayStore.entries());
  }

  async function add(kind, data, sent_as = dayStore.mark()) {
    await dayStore.add({ day: here.day, user: here.user, kind, sent_as, data });
    return sent_as;
  }

  function token() {
    const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
    return found ? found.slice("csrftoken=".length) : "";
  }

  /* One sender at a time, over all tabs of this device. */
  function send() {
    if (!navigator.locks) return sendNow();
    return navigator.locks.request(`day-sheet-${here.day}`, sendNow);
  }

  async function sendNow() {
    problem = "";
    const entries = await waiting();
    try {
      const written = entries.filter((entry) => entry.kind !== "photo");
      if (written.length) await sendEntries(written);
      for (const entry of entries.filter((entry) => entry.kind === "photo")) await sendPhoto(entry);
    } catch (error) {
      problem = error.said || "No reception.";
    }
    await show();
    return problem === "";
  }

  function refuse(said) {
    return Object.assign(new Error(said), { said });
  }

  async function post(url, body, headers = {}) {
    const answer = await fetch(url, {
      method: "POST", body, credentials: "same-origin", headers: { "X-CSRFToken": token(), ...headers },
    });
    if (answer.redirected && answer.url.includes("/sign-in/")) throw refuse("Sign in again: what you entered is kept on this device.");
    if (!answer.ok) throw refuse(`The server answered ${answer.status}. What you entered is kept on this device.`);
    return answer;
  }

  async function sendEntries(entries) {
    const sent = entries.map(({ kind, sent_as, at, data }) => ({ kind, sent_as, at, data }));
    const body = JSON.stringify({ device: dayStore.device(), now: new Date().toISOString(), entries: sent });
    const answer = await post(`/day-sheets/${here.day}/sync/`, body, { "Content-Type": "application/json" });
    const said = await answer.json();
    await keep(said.state);
    for (const one of said.answers) {
      const entry = entries.find((entry) => entry.sent_as === one.sent_as);
      if (one.number) await dayStore.keepNumber(one.sent_as, one.number);
      // Only what the server has named is let go here.
      if (entry) await dayStore.remove(entry.place);
    }
    document.dispatchEvent(new CustomEvent("day-sheet-sent", { detail: said.answers }));
  }

  async function sendPhoto(entry) {
    const number = await dayStore.number(entry.data.run);
    if (!number) return;
    const form = new FormData();
    form.append("photo", entry.data.blob, "run.jpg");
    form.append("mark", entry.sent_as);
    await post(`/day-sheets/${here.day}/runs/${number}/photos/`, form);
    await dayStore.remove(entry.place);
  }

  async function keep(fresh) {
    state = fresh;
    await dayStore.keepState(fresh);
  }

  function line(entry) {
    const clock = new Date(entry.at).toLocaleTimeString("en-AU", { hour: "2-digit", minute: "2-digit" });
    const data = entry.data;
    const what = entry.kind === "run" ? `: ${data.mass === "tm1" ? "Test Mass 1" : "Test Mass 2"}, ${data.aimed_kmh} km/h, ${data.outcome}` : "";
    return `${clock} ${KINDS[entry.kind] || entry.kind}${what}`;
  }

  async function show() {
    const all = await dayStore.entries();
    const entries = mine(all);
    const others = all.length - entries.length;
    box.hidden = !all.length && !problem;
    box.replaceChildren();
    if (box.hidden) return;
    const title = document.createElement("p");
    title.textContent = entries.length
      ? `Not sent yet: ${entries.length}. Kept on this device; sent by itself when there is reception. ${problem}`
      : problem;
    box.append(title);
    const list = document.createElement("ul");
    for (const entry of entries) list.append(Object.assign(document.createElement("li"), { textContent: line(entry) }));
    if (others) list.append(Object.assign(document.createElement("li"), { textContent: `${others} of other days or other people: open their sheet to send them.` }));
    if (list.childElementCount) box.append(list);
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Send now" });
    button.addEventListener("click", send);
    if (entries.length) box.append(button);
  }

  /* A page from the store of the worker is older than what this device knows. */
  async function newest() {
    const kept = await dayStore.state(here.day, here.user);
    if (!navigator.onLine && kept && kept.runs.length >= state.runs.length) state = kept;
    else await dayStore.keepState(state);
    return state;
  }

  async function worker() {
    if (!("serviceWorker" in navigator)) return;
    await navigator.serviceWorker.register("/day-sheet-worker.js", { scope: "/day-sheets/" });
    const ready = await navigator.serviceWorker.ready;
    const sheet = `/day-sheets/${here.day}/`;
    const pages = ["", "runs/add/", "load/tm1/", "load/tm2/", "stop/"].map((end) => sheet + end);
    if (here.may_sign) pages.push(`${sheet}statement/`);
    const parts = [...document.querySelectorAll("script[src], link[rel=stylesheet], link[rel=icon]")];
    ready.active.postMessage({ user: here.user, pages: here.may_record ? pages : [sheet], parts: parts.map((part) => part.src || part.href) });
  }

  document.querySelector("form[action='/sign-out/']")?.addEventListener("submit", async () => {
    for (const name of await caches.keys()) if (name.startsWith("pages-")) await caches.delete(name);
  });
  window.addEventListener("online", send);
  window.addEventListener("offline", show);
  setInterval(async () => (await waiting()).length && send(), EVERY_MS);
  worker().catch(() => {});
  const started = newest().then(send);

  return { add, send, waiting, show, started, state: () => state };
})();
