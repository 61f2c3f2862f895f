"use strict";
/* Sending what waits, once and only once. Nobody waits for it: what is written down is on the device already. */

const daySync = (() => {
  const here = JSON.parse(document.getElementById("day-state").textContent);
  // A stop that somebody called on another phone is heard within this time.
  const EVERY_MS = 5000, PATIENCE_MS = 8000, PHOTO_PATIENCE_MS = 30000;
  const MOST = 100;
  let state = here;
  let problem = "";

  let shown = "";

  const changed = () => {
    shown = looks();
    document.dispatchEvent(new Event("day-sheet-changed"));
  };
  /* What the pages are drawn from, without the moment of asking: a page under somebody's hand is not redrawn for nothing. */
  const looks = () => JSON.stringify([{ ...state, at: "" }, problem]);
  const mine = (row) => row.day === here.day && row.user === here.user;

  async function waiting() {
    return (await dayStore.entries().catch(() => [])).filter(mine);
  }

  async function told() {
    return (await dayStore.told().catch(() => [])).filter(mine);
  }

  /* Kept on the device, or, where its store refuses, sent at once. Throws with what to say when neither works. */
  async function add(kind, data) {
    const entry = { day: here.day, user: here.user, kind, sent_as: dayStore.mark(), data };
    try {
      await dayStore.add(entry);
    } catch {
      await sendUnkept({ ...entry, at: new Date().toISOString() });
    }
    changed();
    return entry.sent_as;
  }

  async function sendUnkept(entry) {
    if (entry.kind === "photo") throw refuse("The photo is NOT kept: this phone has no room for it. Make room, and add it from the day sheet.");
    try {
      await sendSome([entry]);
    } catch {
      throw refuse("NOT kept: this phone's store is full or closed, and there is no reception. Write it on paper, and make room on the phone.");
    }
  }

  function token() {
    const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
    return found ? found.slice("csrftoken=".length) : "";
  }

  /* One sender at a time, over all tabs of this device. A photo on its way does not hold up a stop. */
  async function send({ quietly = false } = {}) {
    try {
      await alone("entries", {}, sendEntries);
      await alone("photos", { ifAvailable: true }, sendPhotos);
      problem = "";
    } catch (error) {
      problem = error.said || "No reception.";
    }
    if (!quietly || shown !== looks()) changed();
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
    // With nothing to send the question alone goes: what others wrote down meanwhile comes back.
    if (!written.length && here.may_record) await sendSome([]);
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
    if (entry.place) await dayStore.remove(entry.place);
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

  /* A store that is full keeps no state; the page goes on with it all the same. */
  function keep(fresh) {
    state = fresh;
    return dayStore.keepState(fresh).catch(() => {});
  }

  /* A page from the store of the worker is older than what this device knows. */
  async function newest() {
    const kept = await dayStore.state(here.day, here.user).catch(() => null);
    if (kept && kept.at > state.at) state = kept;
    else await keep(state);
    changed();
  }

  window.addEventListener("online", send);
  window.addEventListener("offline", changed);
  let looking = false;
  /* In the pocket only what waits is sent; in the hand the news is asked for as well. One at a time, however long it hangs. */
  async function look() {
    if (looking) return;
    looking = true;
    const unsent = (await waiting()).some((entry) => !entry.refused);
    if (unsent || document.visibilityState === "visible") await send({ quietly: true });
    looking = false;
  }
  document.addEventListener("visibilitychange", look);
  setInterval(look, EVERY_MS);
  const started = newest();
  started.then(send);

  return { add, send, waiting, told, started, changed, here, state: () => state, problem: () => problem };
})();
