// Lets the service leaves open without the server: what came last is kept and shown where nothing comes. Entries wait in the page
// itself. Only these leaves and the scripts and styles they need are kept.
const kept = "almanac-service-1";
const isLeaf = (url) => /^\/service(\/|$)/.test(url.pathname);
const isBuilt = (url) => url.pathname.startsWith("/built/");
const isAnswer = (url) => /^\/api\/v1\/(calendar|due|outage|note|service)$/.test(url.pathname);

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (!isLeaf(url) && !isBuilt(url) && !isAnswer(url)) return;
  event.respondWith(fromServerFirst(event.request));
});

async function fromServerFirst(request) {
  const cache = await caches.open(kept);
  try {
    const response = await fetch(request);
    // Somebody signed out, or another came: what was kept is not for them.
    if (response.status === 401 || response.status === 403) await caches.delete(kept);
    else if (response.ok) await cache.put(request, response.clone());
    return response;
  } catch (error) {
    const last = await cache.match(request, { ignoreVary: true });
    if (last) return last;
    throw error;
  }
}

// What the page loaded before this worker stood beside it.
self.addEventListener("message", (event) => {
  if (!Array.isArray(event.data?.keep)) return;
  event.waitUntil(caches.open(kept).then((cache) => cache.addAll(event.data.keep)));
});
