// Keeps the page itself on the phone. The job and its pictures are kept by the page, which alone has the link.
const KEEP = "hanging-{{ version }}";
const SHELL = JSON.parse("{{ shell|escapejs }}");

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches.open(KEEP).then((cache) => cache.addAll(SHELL.map((address) => new Request(address, { cache: "reload" })))),
  );
  self.skipWaiting();
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => names.filter((name) => name.startsWith("hanging-") && name !== KEEP))
      .then((former) => Promise.all(former.map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== location.origin) return;
  if (!SHELL.includes(address.pathname)) return;
  // What is kept is shown at once; a newer version comes with a newer worker.
  event.respondWith(caches.match(address.pathname, { cacheName: KEEP }).then((kept) => kept ?? fetch(event.request)));
});
