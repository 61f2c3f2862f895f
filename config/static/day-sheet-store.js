"use strict";
/* What was entered on this device and is not with the server yet. Written to disk before anything is shown. */

const dayStore = (() => {
  const opened = new Promise((resolve, reject) => {
    const request = indexedDB.open("day-sheets", 2);
    request.onupgradeneeded = (event) => {
      if (event.oldVersion < 1) {
        request.result.createObjectStore("entries", { keyPath: "place", autoIncrement: true });
        request.result.createObjectStore("states", { keyPath: "key" });
        request.result.createObjectStore("numbers", { keyPath: "sent_as" });
      }
      request.result.createObjectStore("told", { keyPath: "sent_as" });
    };
    request.onsuccess = () => {
      // Another tab with a newer page must not wait for this one.
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
  });

  async function act(store, mode, work) {
    const db = await opened;
    return new Promise((resolve, reject) => {
      // Strict: the write is on the disk before it counts as done; a battery can die at any moment.
      const transaction = db.transaction(store, mode, { durability: "strict" });
      const request = work(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(request && request.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  }

  function mark() {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  function device() {
    const known = localStorage.getItem("day-sheet-device");
    if (known) return known;
    const fresh = mark();
    localStorage.setItem("day-sheet-device", fresh);
    return fresh;
  }

  return {
    mark,
    device,
    add: (entry) => act("entries", "readwrite", (store) => store.add({ at: new Date().toISOString(), ...entry })),
    change: (entry) => act("entries", "readwrite", (store) => store.put(entry)),
    entries: () => act("entries", "readonly", (store) => store.getAll()),
    remove: (place) => act("entries", "readwrite", (store) => store.delete(place)),
    keepState: (state) => act("states", "readwrite", (store) => store.put({ key: `${state.day}/${state.user}`, state })),
    state: (day, user) => act("states", "readonly", (store) => store.get(`${day}/${user}`)).then((row) => row && row.state),
    keepNumber: (sent_as, number) => act("numbers", "readwrite", (store) => store.put({ sent_as, number })),
    tell: (word) => act("told", "readwrite", (store) => store.put(word)),
    told: () => act("told", "readonly", (store) => store.getAll()),
    heard: (sent_as) => act("told", "readwrite", (store) => store.delete(sent_as)),
    number: (sent_as) => act("numbers", "readonly", (store) => store.get(sent_as)).then((row) => row && row.number),
  };
})();
