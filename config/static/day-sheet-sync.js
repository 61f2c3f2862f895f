"use strict";
/* Sending what waits, once and only once. Nobody waits for it: what is written down is on the device already. */

const daySync = (() => {
  const here = JSON.parse(document.getElementById("day-state").textContent);
  const EVERY_MS = 15000, PATIENCE_MS = 8000, PHOTO_PATIENCE_MS = 30000;
  const MOST = 100;
  let state = here;
  let problem = "";

  const changed = () => document.dispatchEvent(new Event("day-sheet-changed"));
  const mine = (row) => row.day === here.day && row.user === here.user;

  async function waiting() {
    return (await dayStore.entries()).filter(mine);
  }

  async function told() {
    return (await dayStore.told()).filter(mine);
  }

  async function add(kind, data) {
    const sent_as = dayStore.mark();
    await dayStore.add({ day: here.day, user: here.user, kind, sent_as, data });
    changed();
    return sent_as;
  }

  function token() {
    const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
    return found ? found.slice("csrftoken=".length) : "";
  }

  /* One sender at a time, over all tabs of this device. A photo on its way does not hold up a stop. */
  async function send() {
    try {
      await alone("entries", {}, sendEntries);
      await alone("photos", { ifAvailable: true }, sendPhotos);
      problem = "";
    } catch (error) {
      problem = error.said || "No reception.";
    }
    changed();
    return problem === "";
  }

  function alone(what, options, work) {
    if (!navigator.locks) return work(true);
    return navigator.locks.request(`day-sheet-${what}-${here.day}`, options, work);
  }

  const refuse = (said, facts = {}) => Object.assign(new Error(said), { said, ...facts });

  async function post(url, body, { patience = PATIENCE_MS, headers = {} } = {}) {
    const answer = await fetch(url, {
      method: "POST", body, credentials: "same-origin", headers: { "X-CSRFToken": token(), ...headers }, signal: AbortSignal.timeout(patience),
    });
    if (answer.redirected && answer.url.includes("/sign-in/")) throw refuse("Sign in again: what you entered is kept on this device.");
    if (answer.status === 409) throw refuse(await answer.text(), { refused: true });
    if (!answer.ok) throw refuse(`The server answered ${answer.status}. What you entered is kept on this device.`);
    return answer;
  }

  async function sendEntries() {
    const written = (await waiting()).filter((entry) => entry.kind !== "photo");
    for (let first = 0; first < written.length; first += MOST) await sendSome(written.slice(first, first + MOST));
  }

  async function sendSome(entries) {
    const sent = entries.map(({ kind, sent_as, at, data }) => ({ kind, sent_as, at, data }));
    const body = JSON.stringify({ device: dayStore.device(), now: new Date().toISOString(), entries: sent });
    const answer = await post(`/day-sheets/${here.day}/sync/`, body, { headers: { "Content-Type": "application/json" } });
    const said = await answer.json();
    await keep(said.state);
    for (const one of said.answers) {
      const entry = entries.find((entry) => entry.sent_as === one.sent_as);
      if (one.number) await dayStore.keepNumber(one.sent_as, one.number);
      if (entry) await answered(entry, one);
    }
    document.dispatchEvent(new CustomEvent("day-sheet-sent", { detail: said.answers }));
  }

  /* What did not go into the sheet as it was written stays to be read. Only what the server has named is let go here. */
  async function answered(entry, { state, text }) {
    const { day, user, kind, sent_as, at, data } = entry;
    if (state === "kept" || /does not count/.test(text || "")) await dayStore.tell({ day, user, kind, sent_as, at, data, aside: state === "kept", text });
    if (state === "kept" && kind === "run") await refusePhotosOf(sent_as);
    await dayStore.remove(entry.place);
  }

  async function refusePhotosOf(run) {
    for (const entry of await waiting()) {
      if (entry.kind === "photo" && entry.data.run === run) await dayStore.change({ ...entry, refused: "its run was kept aside and has no number." });
    }
  }

  async function sendPhotos(free) {
    if (!free) return;
    for (const entry of await waiting()) if (entry.kind === "photo" && !entry.refused) await sendPhoto(entry);
  }

  async function sendPhoto(entry) {
    const number = await dayStore.number(entry.data.run);
    if (!number) return;
    const form = new FormData();
    form.append("photo", await smallerPhoto(entry.data.blob), "run.jpg");
    form.append("mark", entry.sent_as);
    try {
      await post(`/day-sheets/${here.day}/runs/${number}/photos/`, form, { patience: PHOTO_PATIENCE_MS });
      await dayStore.remove(entry.place);
    } catch (error) {
      if (!error.refused) throw error;
      await dayStore.change({ ...entry, refused: error.said });
    }
  }

  async function keep(fresh) {
    state = fresh;
    await dayStore.keepState(fresh);
  }

  /* A page from the store of the worker is older than what this device knows. */
  async function newest() {
    const kept = await dayStore.state(here.day, here.user);
    if (kept && kept.at > state.at) state = kept;
    else await dayStore.keepState(state);
    changed();
  }

  window.addEventListener("online", send);
  window.addEventListener("offline", changed);
  setInterval(async () => (await waiting()).some((entry) => !entry.refused) && send(), EVERY_MS);
  const started = newest();
  started.then(send);

  return { add, send, waiting, told, started, changed, here, state: () => state, problem: () => problem };
})();
