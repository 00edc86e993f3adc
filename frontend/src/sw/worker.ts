/// <reference lib="webworker" />
/**
 * Keeps the whole app on the phone. Files are named by their contents, so what is kept is never stale: every request for
 * a file of the app is answered from here, and only the API goes to the network. A new version waits until a person says
 * so, also when every window was closed meanwhile: a browser starts the new worker then, which goes on showing the old files.
 */
declare const self: ServiceWorkerGlobalScope;
export {};

const FILES = "__PRECACHE_FILES__" as unknown as readonly string[];
const KEPT = "teamdive-__PRECACHE_HASH__";
/** Where it is written which version is shown, and which one before it another window may still show. */
const CHOICE = "teamdive.shown";
const PLACE = "/shown";

self.addEventListener("install", (event) => {
  event.waitUntil(fetchAll());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(forgetOthers().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(takeOver().then(() => event.source?.postMessage("taken over")));
  if (event.data === "newer?") event.waitUntil(shown().then(([name]) => name !== KEPT && event.source?.postMessage("newer")));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && url.pathname === "/") {
    event.respondWith(kept("/", event.request));
  } else if (FILES.includes(url.pathname) || url.pathname.startsWith("/assets/")) {
    event.respondWith(kept(url.pathname, event.request));
  }
});

async function fetchAll(): Promise<void> {
  const before = (await versions()).filter((name) => name !== KEPT).at(-1);
  // Fetched once more after a server was set back: it may be the one that is shown.
  const here = await caches.has(KEPT);
  const cache = await caches.open(KEPT);
  try {
    await cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" })));
  } catch (error) {
    if (!here) await caches.delete(KEPT);
    throw error;
  }
  if (!(await caches.has(CHOICE))) await show([before ?? KEPT]);
}

async function takeOver(): Promise<void> {
  const [before] = await shown();
  if (before !== KEPT) await show([KEPT, ...(before === undefined ? [] : [before])]);
  await self.skipWaiting();
}

/** The version that is shown, and the one before it. */
async function shown(): Promise<readonly string[]> {
  const written = await (await caches.open(CHOICE)).match(PLACE);
  const names = written === undefined ? [] : (await written.text()).split(" ");
  const there = await versions();
  const found = names.filter((name) => there.includes(name));
  return found.length > 0 ? found : [KEPT];
}

async function show(names: readonly string[]): Promise<void> {
  await (await caches.open(CHOICE)).put(PLACE, new Response(names.join(" ")));
}

async function versions(): Promise<readonly string[]> {
  return (await caches.keys()).filter((name) => name.startsWith("teamdive-"));
}

async function forgetOthers(): Promise<void> {
  const wanted = [KEPT, ...(await shown())];
  await Promise.all((await versions()).filter((name) => !wanted.includes(name)).map((name) => caches.delete(name)));
}

async function kept(path: string, request: Request): Promise<Response> {
  for (const name of [...(await shown()), KEPT]) {
    const found = await (await caches.open(name)).match(path);
    if (found !== undefined) return found;
  }
  return fetch(request);
}
