/** Keeping the page for when there is no connection, and saying when a newer one has come. */
import { byId, make, say } from "./dom";

export function keepOffline(): void {
  // Some hosts refuse service workers; the page then needs its connection.
  if (!("serviceWorker" in navigator)) return;
  const workers = navigator.serviceWorker;
  // The list of files that the worker reads is looked at anew each time: it tells whether anything changed.
  workers.register("service-worker.js", { updateViaCache: "none" }).then(watch, () => undefined);
  void workers.ready.then(() => say(byId("offline"), "This page opens without a connection, too."));
}

function watch(registration: ServiceWorkerRegistration): void {
  // Wherever on its way the newer one is by now.
  if (registration.waiting) tellNews(registration.waiting);
  follow(registration.installing);
  registration.addEventListener("updatefound", () => follow(registration.installing));
  // Registering again asks for nothing; without a connection there is nothing to ask.
  registration.update().catch(() => undefined);
}

function follow(coming: ServiceWorker | null): void {
  coming?.addEventListener("statechange", () => {
    // Without a worker in charge this is the first visit, and nothing is new.
    if (coming.state === "installed" && navigator.serviceWorker.controller) tellNews(coming);
  });
}

function tellNews(coming: ServiceWorker): void {
  const use = make("button", { type: "button" }, "Use it now");
  use.addEventListener("click", () => {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    coming.postMessage("take over");
  });
  const news = byId("news");
  news.replaceChildren("A new version of this page is there. What you typed stays. ", use);
  news.hidden = false;
}
