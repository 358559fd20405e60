// Serves the phone page when there is no hub. The hub puts the version in front of this file: whenever a file of the page
// changes, this one does, the browser installs it anew, and the old copy goes. All files come from one version.
/* global version */

const name = `kitmesh-phone-${version}`;
const files = ["/phone", "/phone/phone.js", "/phone/journal.js", "/phone/link.js", "/phone/entries.js", "/phone/coarse.js", "/phone/icon.svg", "/phone/manifest.webmanifest", "/kitmesh.css"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(name).then((cache) => cache.addAll(files)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((other) => other.startsWith("kitmesh-phone-") && other !== name).map((other) => caches.delete(other))))
    .then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method === "GET" && url.origin === location.origin && files.includes(url.pathname)) {
    event.respondWith(caches.open(name).then((cache) => cache.match(url.pathname)).then((kept) => kept ?? fetch(event.request)));
  }
});
