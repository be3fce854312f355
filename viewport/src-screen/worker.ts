// Keeps the page and its files, so that it opens again while the network is away. Numbers are kept by the page itself.

declare const self: ServiceWorkerGlobalScope & { HOOPWRIGHT_VERSION?: string };
export {};

const version = self.HOOPWRIGHT_VERSION ?? "0";
const cacheName = `bend-${version}`;
const PAGE = "/bend";
const FILES = [`/bend/_/index.js?${version}`, `/bend/_/screen.css?${version}`, "/bend/_/icon.svg"];
const PATIENCE_MS = 3_000;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(cacheName)
      .then((cache) => cache.addAll([PAGE, ...FILES]))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name !== cacheName).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  if (!address.pathname.startsWith("/bend") || address.pathname.startsWith("/bend/_/api/")) return;
  event.respondWith(event.request.mode === "navigate" ? page(event.request) : kept(event.request));
});

/** The page is the same for every bar: from the workbench if it answers soon, else as it is kept. */
async function page(request: Request): Promise<Response> {
  const cache = await caches.open(cacheName);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(request.url, { signal: stop.signal, credentials: "same-origin" });
    if (answer.ok || answer.status < 500) return answer;
  } catch {
    // away
  } finally {
    clearTimeout(timer);
  }
  return (await cache.match(PAGE)) ?? Response.error();
}

async function kept(request: Request): Promise<Response> {
  const found = await (await caches.open(cacheName)).match(request);
  return found ?? fetch(request);
}
