"use strict";
/* Has the worker keep the pages of this day for the time without reception, and clears them at sign-out. */

(() => {
  const { day, user, may_sign, may_record, may_release } = daySync.here;
  const sheet = `/day-sheets/${day}/`;

  function pages() {
    if (!may_record) return [sheet];
    const ends = ["", "runs/add/", "load/tm1/", "load/tm2/", "stop/", ...(may_sign ? ["statement/"] : []), ...(may_release ? ["go-on/tm1/", "go-on/tm2/"] : [])];
    return ends.map((end) => sheet + end);
  }

  async function keep() {
    if (!("serviceWorker" in navigator)) return;
    await navigator.serviceWorker.register("/day-sheet-worker.js", { scope: "/day-sheets/" });
    const ready = await navigator.serviceWorker.ready;
    const parts = [...document.querySelectorAll("script[src], link[rel=stylesheet], link[rel=icon]")];
    ready.active.postMessage({ user, pages: pages(), parts: parts.map((part) => part.src || part.href) });
  }

  document.querySelector("form[action='/sign-out/']")?.addEventListener("submit", async () => {
    for (const name of await caches.keys()) if (name.startsWith("pages-")) await caches.delete(name);
  });
  keep().catch(() => {});
})();
