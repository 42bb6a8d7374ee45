/* Answers for the server while it is away: the page of a session and a lifter's own page as they last were, and the files they
   need. Everything else gets a page that says so. What is sent is never answered here. */

const PAGES = "pages-1";
const FILES = "files-1";
const AWAY = "/away";
const KEPT_PAGE = /^\/(sessions\/\d+(\/after)?|l\/[^/]+\/)$/;
const DOORS = ["/sign-out", "/sign-in", "/start/leave-demo", "/start/demo"];
const PATIENCE_MS = 6000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((files) => files.add(AWAY)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

function inTime(request) {
  return fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
}

async function page(request, path) {
  try {
    const answer = await inTime(request);
    if (DOORS.includes(path) || DOORS.includes(new URL(answer.url || request.url).pathname)) await caches.delete(PAGES);
    else if (request.method === "GET" && answer.ok && !answer.redirected && KEPT_PAGE.test(path)) {
      const pages = await caches.open(PAGES);
      await pages.put(path, answer.clone());
    }
    return answer;
  } catch (trouble) {
    const kept = request.method === "GET" && KEPT_PAGE.test(path) ? await caches.match(path, { cacheName: PAGES }) : null;
    const away = kept ?? (await caches.match(AWAY, { cacheName: FILES }));
    if (away) return away;
    throw trouble;
  }
}

async function file(request) {
  const files = await caches.open(FILES);
  try {
    const answer = await inTime(request);
    if (answer.ok) await files.put(request, answer.clone());
    return answer;
  } catch (trouble) {
    const kept = await files.match(request);
    if (kept) return kept;
    throw trouble;
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (address.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request, address.pathname));
  else if (request.method === "GET" && address.pathname.startsWith("/static/")) event.respondWith(file(request));
});
