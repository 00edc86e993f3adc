/// <reference lib="webworker" />
/**
 * Keeps the whole app on the phone. Files are named by their contents, so what is kept is never stale: every request for
 * a file of the app is answered from here, and only the API goes to the network. A new version waits until it is told.
 */
declare const self: ServiceWorkerGlobalScope;
export {};

const FILES = "__PRECACHE_FILES__" as unknown as readonly string[];
const KEPT = "teamdive-__PRECACHE_HASH__";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("teamdive-") && name !== KEPT).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") void self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && url.pathname === "/") {
    event.respondWith(kept("/", event.request));
  } else if (FILES.includes(url.pathname)) {
    event.respondWith(kept(url.pathname, event.request));
  }
});

async function kept(path: string, request: Request): Promise<Response> {
  const cache = await caches.open(KEPT);
  return (await cache.match(path)) ?? fetch(request);
}
