/* Answers for the server while it is away: the page of a session and a lifter's own page as they last were, and the files they
   need. Everything else gets a page that says so. What is sent is never answered here.

   Those pages carry scores. The server is asked first, always; a page that was kept is shown only where it does not answer. They are
   kept for the training day alone, and dropped on signing out and in, when a consent is withdrawn or a lifter erased on this phone, and
   with the first page of the server's that tells that this happened elsewhere (its mark is another one). */

const PAGES = "pages-2";
const FILES = "files-1";
const AWAY = "/away";
const KEPT_PAGE = /^\/(sessions\/\d+(\/after)?|l\/[^/]+\/)$/;
const DOORS = ["/sign-out", "/sign-in", "/start/leave-demo", "/start/demo"];
const DROPS = /^\/(sign-out|lifters\/\d+\/(withdraw|erase)|l\/[^/]+\/(withdraw|erase))$/;
const KEPT_AT = "x-kept-at";
const LONGEST_MS = 12 * 3600 * 1000; // from the morning check to the evening's session
const MARK = "x-kept-mark";
const LAST_MARK = "/kept-mark"; // no page: where the last mark lies among the files
const CLOSED = [401, 403, 404, 410];
const PATIENCE_MS = 6000; // where a kept copy can stand in
const BROWSER_MS = 60000; // where nothing can: as long as the browser itself would wait

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((files) => files.add(AWAY)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(dropOld().then(() => self.clients.claim())));

async function dropOld() {
  for (const name of await caches.keys()) if (name !== PAGES && name !== FILES) await caches.delete(name);
  await sweep();
}

/* Pages of another day go. */
async function sweep() {
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    const answer = await pages.match(request);
    if (!fresh(answer)) await pages.delete(request);
  }
}

function fresh(answer) {
  const age = Date.now() - Number(answer?.headers.get(KEPT_AT));
  return age >= 0 && age < LONGEST_MS;
}

/* Pages from before a consent was withdrawn or somebody erased go. */
async function heed(answer) {
  const mark = answer.headers.get(MARK);
  if (!mark) return;
  const files = await caches.open(FILES);
  const last = await files.match(LAST_MARK);
  if ((await last?.text()) === mark) return;
  await caches.delete(PAGES);
  await files.put(LAST_MARK, new Response(mark));
}

async function dated(answer) {
  const headers = new Headers(answer.headers);
  headers.set(KEPT_AT, String(Date.now()));
  headers.delete("content-encoding");
  headers.delete("content-length");
  return new Response(await answer.blob(), { status: answer.status, statusText: answer.statusText, headers });
}

async function keptPage(path) {
  const pages = await caches.open(PAGES);
  const answer = await pages.match(path);
  if (answer && !fresh(answer)) await pages.delete(path);
  return answer && fresh(answer) ? answer : null;
}

function inTime(request, standIn) {
  return fetch(request, { signal: AbortSignal.timeout(standIn ? PATIENCE_MS : BROWSER_MS) });
}

async function page(request, path) {
  if (request.method === "POST" && DROPS.test(path)) await caches.delete(PAGES); // also where the server does not hear of it
  const keeps = request.method === "GET" && KEPT_PAGE.test(path);
  const standIn = keeps && (await keptPage(path));
  try {
    const answer = await inTime(request, standIn);
    await heed(answer);
    if (CLOSED.includes(answer.status)) await (await caches.open(PAGES)).delete(path);
    if (DOORS.includes(path) || DOORS.includes(new URL(answer.url || request.url).pathname)) await caches.delete(PAGES);
    else if (keeps && answer.ok && !answer.redirected) {
      const pages = await caches.open(PAGES);
      await pages.put(path, await dated(answer.clone()));
    }
    await sweep();
    return answer;
  } catch (trouble) {
    const kept = keeps ? await keptPage(path) : null; // what was dropped meanwhile stays dropped
    const away = kept ?? (await caches.match(AWAY, { cacheName: FILES }));
    if (away) return away;
    throw trouble;
  }
}

async function file(request) {
  const files = await caches.open(FILES);
  const kept = await files.match(request);
  try {
    const answer = await inTime(request, kept);
    if (answer.ok) await files.put(request, answer.clone());
    return answer;
  } catch (trouble) {
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
