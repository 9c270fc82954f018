// The offline shell: keeps the app's files on the phone and swaps a whole new
// version in at once. It must not touch anything a user entered.
//
// VERSION and FILES are written by `cargo xtask offline-shell` at build time
// from the contents of the built files.
"use strict";

const VERSION = "__VERSION__";
/** @type {[string, string][]} address and integrity (SHA-256) of every file */
const FILES = __FILES__;

const PREFIX = "stridebook-shell-";
const CACHE = PREFIX + VERSION;
const HOME = "/";
const BOOK = "/book.html";

self.addEventListener("install", (event) => {
  event.waitUntil(precache());
});

// All or nothing: a file that is missing, or whose content is not the one this
// version was built with (a server caught between two versions), fails the
// install, and the version in use stays.
async function precache() {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(
      FILES.map(async ([address, integrity]) => {
        const request = new Request(address, { integrity, cache: "no-cache", credentials: "omit" });
        const response = await fetch(request);
        if (!response.ok) throw new Error(`${address}: ${response.status}`);
        await cache.put(address, response);
      }),
    );
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
      }
      // The first page of a first visit is looked after too; this reloads nothing.
      await self.clients.claim();
    })(),
  );
});

// A new version waits until the user says so on the page.
self.addEventListener("message", (event) => {
  if (event.data === "use-new-version") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  const wanted = request.mode === "navigate" ? pageOf(address.pathname) : address.pathname;
  if (request.mode !== "navigate" && !FILES.some(([known]) => known === wanted)) return;
  event.respondWith(answer(request, wanted));
});

// The app has two pages; which one a screen starts from shows in its address.
function pageOf(path) {
  return path === "/book" || path.startsWith("/book/") ? BOOK : HOME;
}

async function answer(request, wanted) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(wanted, { ignoreVary: true });
  // Nothing kept: the browser has thrown the cache away. Ask the network.
  return kept ?? fetch(request);
}
