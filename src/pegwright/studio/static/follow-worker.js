/**
 * Keeps the pages at the loom, so that they open with the network off.
 *
 * Everything is asked of the studio first and taken from the device where it does not answer.  What
 * is counted does not pass through here: the page keeps it by itself.
 */
const KEPT = "pegwright-follow-1";
const SHELL = "/follow/shell.html";
const FILES = [
  SHELL,
  "/follow/",
  "/follow/manifest.webmanifest",
  "/static/studio.css",
  "/static/follow.css",
  "/static/follow.js",
  "/static/follow-awake.js",
  "/static/follow-fold.js",
  "/static/follow-steps.js",
  "/static/follow-store.js",
  "/static/follow-sync.js",
  "/static/follow-view.js",
  "/static/look.js",
  "/static/follow-icon.svg",
  "/static/icon.svg",
  "/static/icons.svg",
  "/fonts/AtkinsonHyperlegible-Regular.woff2",
  "/fonts/AtkinsonHyperlegible-Bold.woff2",
  "/fonts/Literata-SemiBold.woff2",
];
const PATIENCE_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const kept = await caches.open(KEPT);
    await kept.addAll(FILES.map((path) => new Request(path, { cache: "reload" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("pegwright-follow-") && name !== KEPT) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/api/") || url.pathname === "/follow/worker.js") return;
  event.respondWith(fromStudio(request, url));
});

async function fromStudio(request, url) {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok && !answer.redirected && isOurs(url)) await kept.put(url.pathname, answer.clone());
    return answer;
  } catch (failure) {
    const own = await kept.match(url.pathname)
      ?? (request.mode === "navigate" ? await kept.match(SHELL) : undefined);
    if (own) return own;
    throw failure;
  }
}

/** Pages of single makings are all the same shell, so they are not kept one by one. */
function isOurs(url) {
  return url.search === "" && FILES.includes(url.pathname);
}
