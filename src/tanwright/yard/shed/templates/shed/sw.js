// Keeps the shed page and what it needs, so that it opens when the yard is out of reach.
// It never touches entries: the page itself keeps and sends those.
const ADDRESSES = {{ addresses|safe }};
const KEPT = "shed-" + ADDRESSES.assets.join("|").length + "-" + ADDRESSES.assets.at(-1);

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches.open(KEPT)
      .then((cache) => cache.addAll([ADDRESSES.page, ...ADDRESSES.assets]))
      .then(() => self.skipWaiting())
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((n) => n.startsWith("shed-") && n !== KEPT).map((n) => caches.delete(n))))
      .then(() => self.clients.claim())
  );
});

self.addEventListener("fetch", (event) => {
  const asked = event.request;
  if (asked.method !== "GET") return;
  const path = new URL(asked.url).pathname;
  if (path === ADDRESSES.page) {
    event.respondWith(
      fetch(asked)
        .then((answer) => {
          if (answer.ok && !answer.redirected) {
            const copy = answer.clone();
            event.waitUntil(caches.open(KEPT).then((cache) => cache.put(ADDRESSES.page, copy)));
          }
          return answer;
        })
        .catch(() => caches.match(ADDRESSES.page))
    );
  } else if (ADDRESSES.assets.includes(path)) {
    event.respondWith(caches.match(path).then((kept) => kept || fetch(asked)));
  }
});
