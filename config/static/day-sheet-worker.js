"use strict";
/* Keeps the sheet of the day readable and usable without reception. Pages: the net first, the store
   when it does not answer. Parts (styles, scripts): the store first, renewed behind it. */

const PARTS = "parts-2";
const PATIENCE_MS = 4000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(begin()));

/* Scripts of an older cut do not fit newer pages. */
async function begin() {
  for (const name of await caches.keys()) if (name.startsWith("parts-") && name !== PARTS) await caches.delete(name);
  await self.clients.claim();
}

const pagesOf = async () => (await caches.keys()).find((name) => name.startsWith("pages-"));

self.addEventListener("message", (event) => event.waitUntil(keep(event.data)));

/* What one person opened is not kept for the next who signs in on this device. */
async function keep({ user, pages, parts }) {
  const mine = `pages-${user}`;
  for (const name of await caches.keys()) if (name.startsWith("pages-") && name !== mine) await caches.delete(name);
  const cache = await caches.open(mine);
  for (const page of pages) await renew(cache, new Request(page, { credentials: "same-origin" })).catch(() => {});
  const store = await caches.open(PARTS);
  for (const part of parts) if (!(await store.match(part))) await renew(store, new Request(part)).catch(() => {});
}

async function renew(cache, request) {
  const answer = await fetch(request);
  if (answer.ok && !answer.redirected) await cache.put(request, answer.clone());
  return answer;
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate") event.respondWith(page(event.request));
  else if (url.pathname.startsWith("/static/")) event.respondWith(part(event));
});

async function page(request) {
  const name = await pagesOf();
  const stored = async () => name && (await (await caches.open(name)).match(request, { ignoreSearch: true }));
  const late = new Promise((resolve, reject) => setTimeout(() => reject(new Error("no answer")), PATIENCE_MS));
  try {
    return await Promise.race([fresh(request, name), late]);
  } catch {
    return (await stored()) || fetch(request);
  }
}

async function fresh(request, name) {
  const answer = await fetch(request);
  if (name && answer.ok && !answer.redirected) await (await caches.open(name)).put(request.url, answer.clone());
  return answer;
}

async function part(event) {
  const cache = await caches.open(PARTS);
  const stored = await cache.match(event.request);
  const renewed = renew(cache, event.request);
  if (!stored) return renewed;
  event.waitUntil(renewed.catch(() => {}));
  return stored;
}
