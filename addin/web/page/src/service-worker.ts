/** Keeps every file of the page in a cache of its own, so that the page opens without a connection. */

/** Written by the build: all files, and a name that changes when any of them does. */
interface FileList {
  version: string;
  files: string[];
}

const worker = self as unknown as ServiceWorkerGlobalScope & { FILES: FileList };
worker.importScripts("files.js");

/** One cache a version; the scope keeps pages in other folders of the same host apart. */
const { scope } = worker.registration;
const ours = `weavefuncs ${scope} `;
const current = ours + worker.FILES.version;
const kept = new Set(worker.FILES.files.map((file) => scope + file));

worker.addEventListener("install", (event) => event.waitUntil(fill()));
worker.addEventListener("activate", (event) => event.waitUntil(clear().then(() => worker.clients.claim())));
worker.addEventListener("message", (event) => {
  if (event.data === "take over") void worker.skipWaiting();
});
worker.addEventListener("fetch", (event) => {
  const address = event.request.url.replace(/[?#].*$/, "");
  const file = address === scope ? `${scope}index.html` : address;
  // What is not kept, such as Excel's own script, goes its usual way.
  if (event.request.method === "GET" && kept.has(file)) event.respondWith(answer(file, event.request));
});

async function fill(): Promise<void> {
  const cache = await caches.open(current);
  await cache.addAll([...kept].map((file) => new Request(file, { cache: "no-cache" })));
}

async function clear(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(ours) && name !== current).map((name) => caches.delete(name)));
}

async function answer(file: string, request: Request): Promise<Response> {
  const cache = await caches.open(current);
  return (await cache.match(file)) ?? fetch(request);
}
