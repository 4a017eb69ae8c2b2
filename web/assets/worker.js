// Answers for the page's own files when there is no network. files.json lists them with
// one mark over all their contents; each mark has a cache of its own, filled whole or not
// at all, so that files of two versions never meet. A page asks for a newer version when
// it is opened, and gets it the next time.
const prefix = `evenlock ${new URL(registration.scope).pathname} `;

async function fill() {
  const { mark, files } = await (await fetch("files.json", { cache: "no-store" })).json();
  const name = prefix + mark;
  if (await caches.has(name)) return;
  const cache = await caches.open(name + " filling");
  const answers = await Promise.all(files.map(async (file) => {
    const answer = await fetch(file, { cache: "no-cache" });
    if (!answer.ok) throw new Error(`${file} is missing`);
    // A host may send index.html by a detour, which a browser does not take for opening a page.
    return [file, new Response(await answer.blob(), { headers: answer.headers })];
  }));
  await Promise.all(answers.map(([file, answer]) => cache.put(file, answer)));
  const whole = await caches.open(name);
  for (const request of await cache.keys()) await whole.put(request, await cache.match(request));
  for (const old of await caches.keys()) {
    if (old.startsWith(prefix) && old !== name) await caches.delete(old);
  }
}

self.addEventListener("install", (e) => e.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));

async function current() {
  const name = (await caches.keys()).find((one) => one.startsWith(prefix) && !one.endsWith(" filling"));
  return name && caches.open(name);
}

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin || !url.pathname.startsWith(new URL(registration.scope).pathname)) return;
  const path = url.pathname.slice(new URL(registration.scope).pathname.length);
  if (path.startsWith("api/") || path === "files.json") return;
  e.respondWith((async () => {
    const cache = await current();
    const kept = await cache?.match(path === "" ? "index.html" : path);
    if (e.request.mode === "navigate") e.waitUntil(fill().catch(() => {}));
    return kept ?? fetch(e.request);
  })());
});
