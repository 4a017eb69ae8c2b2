// Where the page runs in the browser alone: keeps its files for opening without a network.

/** install starts the worker that answers for the page's own files. */
export function install(say) {
  if (!("serviceWorker" in navigator)) return;
  const first = !navigator.serviceWorker.controller;
  navigator.serviceWorker.register("worker.js", { scope: "./" }).catch(() => {
    // Opened from a plain folder or over an unencrypted address: it works, but only with the
    // network.
  });
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    say(first ? "evenlock is kept on this device now, and opens without a network." : "A newer evenlock is ready. It is used when the page is opened next.");
  });
}
