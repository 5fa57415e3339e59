/** Keeps every file of the page in a cache of its own, so that the page opens without a connection. */

/** Written by the build: all files, and a name that changes when any of them does. */
interface FileList {
  version: string;
  files: string[];
}

const worker = self as unknown as ServiceWorkerGlobalScope & { FILES: FileList };
worker.importScripts("files.js");

/** One cache a version; the scope keeps pages in other folders of the same host apart. */
const ours = `weavefuncs ${worker.registration.scope} `;
const current = ours + worker.FILES.version;

worker.addEventListener("install", (event) => event.waitUntil(fill()));
worker.addEventListener("activate", (event) => event.waitUntil(clear().then(() => worker.clients.claim())));
worker.addEventListener("message", (event) => {
  if (event.data === "take over") void worker.skipWaiting();
});
worker.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && request.url.startsWith(worker.registration.scope)) event.respondWith(answer(request));
});

async function fill(): Promise<void> {
  const cache = await caches.open(current);
  await cache.addAll(worker.FILES.files.map((file) => new Request(file, { cache: "no-cache" })));
}

async function clear(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(ours) && name !== current).map((name) => caches.delete(name)));
}

async function answer(request: Request): Promise<Response> {
  const cache = await caches.open(current);
  const address = new URL(request.url);
  if (address.href.split(/[?#]/)[0] === worker.registration.scope) address.pathname += "index.html";
  return (await cache.match(address.href, { ignoreSearch: true })) ?? fetch(request);
}
