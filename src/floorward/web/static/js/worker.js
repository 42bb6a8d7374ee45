/* Answers for the server while it is away: the page of a session and a lifter's own page as they last were, and the files they
   need. Everything else gets a page that says so. What is sent is never answered here.

   Those pages carry scores. The server is asked first, always; a page that was kept is shown only where it does not answer, and between
   sets where it does not answer soon: then the page says so, and is renewed when the answer comes. They are kept for the training day
   alone, and dropped on signing out and in, when a consent is withdrawn or a lifter erased on this phone, and with the first page of the
   server's that tells that this happened elsewhere (its mark is another one).

   VERSION stands before this text where the server sends it, and in the addresses of the files: with other files come another worker,
   other addresses, and what was kept of the old ones goes. */

const PAGES = `pages-${VERSION}`;
const FILES = `files-${VERSION}`;
const AWAY = "/away";
const KEPT_PAGE = /^\/(sessions\/\d+(\/after)?|l\/[^/]+\/)$/;
const DOORS = ["/sign-out", "/sign-in", "/start/leave-demo", "/start/demo"];
const DROPS = /^\/(sign-out|lifters\/\d+\/(withdraw|erase)|l\/[^/]+\/(withdraw|erase))$/;
const KEPT_AT = "x-kept-at"; // when the page was asked for: what was sent after that it may not know
const KEPT_VIEW = "x-kept-view"; // what stood behind the address: which line, and whether its warm-up is skipped
const LONGEST_MS = 12 * 3600 * 1000; // from the morning check to the evening's session
const MARK = "x-kept-mark";
// no pages: where among the files lie the last mark, and when this phone last sent something
const LAST_MARK = "/kept-mark";
const LAST_SENT = "/kept-sent";
const BETWEEN_SETS = /^\/sessions\/\d+$/;
const SOON_MS = 700;
const NEAR_MS = 2 * 3600 * 1000; // a copy of this session; an older one waits for the server like any other page
const LATE_MS = 10000; // how long an answer that came late waits for its page to be turned
const CLOSED = [401, 403, 404, 410];
const PATIENCE_MS = 6000; // where a kept copy can stand in
const BROWSER_MS = 60000; // where nothing can: as long as the browser itself would wait

const late = new Map(); // answers that came when the kept copy was shown already, by address

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

async function last(name) {
  const answer = await caches.match(name, { cacheName: FILES });
  return answer ? answer.text() : "";
}

async function remember(name, text) {
  const files = await caches.open(FILES);
  await files.put(name, new Response(text));
}

/* Pages from before a consent was withdrawn or somebody erased go. */
async function heed(answer) {
  const mark = answer.headers.get(MARK);
  if (!mark || (await last(LAST_MARK)) === mark) return;
  await caches.delete(PAGES);
  await remember(LAST_MARK, mark);
}

/* A copy that knows what it is: the name is for this worker, the line in its head for the page's own script. */
async function copyOf(answer, begun, view) {
  const headers = new Headers(answer.headers);
  headers.set(KEPT_AT, String(begun));
  headers.set(KEPT_VIEW, view);
  headers.delete("content-encoding");
  headers.delete("content-length");
  const text = (await answer.text()).replace("<head>", `<head>\n<meta name="kept-at" content="${begun}">`);
  return new Response(text, { status: answer.status, statusText: answer.statusText, headers });
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

/* The server's answer; what was kept in its place where none comes. */
async function fromServer(request, path, standIn) {
  const keeps = request.method === "GET" && KEPT_PAGE.test(path);
  const begun = Date.now();
  try {
    const answer = await inTime(request, standIn);
    await heed(answer);
    if (CLOSED.includes(answer.status)) await (await caches.open(PAGES)).delete(path);
    if (DOORS.includes(path) || DOORS.includes(new URL(answer.url || request.url).pathname)) await caches.delete(PAGES);
    else if (keeps && answer.ok && !answer.redirected) {
      const pages = await caches.open(PAGES);
      await pages.put(path, await copyOf(answer.clone(), begun, new URL(request.url).search));
    }
    await sweep();
    return { answer, came: true };
  } catch (trouble) {
    const kept = keeps ? await keptPage(path) : null; // what was dropped meanwhile stays dropped
    const away = kept ?? (await caches.match(AWAY, { cacheName: FILES }));
    if (away) return { answer: away, came: false };
    throw trouble;
  }
}

/* Whether a copy may stand in while the server is still asked: of this view of this session, and from after all that this phone sent. */
async function standsIn(request, copy) {
  const address = new URL(request.url);
  if (!copy || (address.search && address.search !== copy.headers.get(KEPT_VIEW)) || !BETWEEN_SETS.test(address.pathname)) return false;
  const at = Number(copy.headers.get(KEPT_AT));
  return Date.now() - at < NEAR_MS && at > Number(await last(LAST_SENT));
}

/* An answer that came late, for the page that was told of it. */
async function cameLate(request) {
  const found = late.get(request.url);
  late.delete(request.url);
  const good = request.method === "GET" && found && Date.now() - found.at < LATE_MS && found.begun > Number(await last(LAST_SENT));
  return good ? found.answer : null;
}

async function tell(event, word) {
  const shown = await self.clients.get(event.resultingClientId);
  shown?.postMessage({ word });
}

async function page(event, path) {
  const { request } = event;
  if (request.method === "POST") await remember(LAST_SENT, String(Date.now()));
  if (request.method === "POST" && DROPS.test(path)) await caches.delete(PAGES); // also where the server does not hear of it
  const waited = await cameLate(request);
  if (waited) return waited;
  const copy = request.method === "GET" && KEPT_PAGE.test(path) ? await keptPage(path) : null;
  const begun = Date.now();
  const asked = fromServer(request, path, copy);
  if (!(await standsIn(request, copy))) return (await asked).answer;
  const soon = await Promise.race([asked, new Promise((done) => setTimeout(done, SOON_MS))]);
  if (soon) return soon.answer;
  const followed = asked.then(({ answer, came }) => {
    if (came) late.set(request.url, { answer, begun, at: Date.now() });
    return tell(event, came ? "came" : "away");
  });
  event.waitUntil(followed.catch(() => tell(event, "away")));
  return copy;
}

/* What lies at the address of a file never changes. */
async function file(request) {
  const files = await caches.open(FILES);
  const kept = await files.match(request);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await files.put(request, answer.clone());
  return answer;
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (address.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event, address.pathname));
  else if (request.method === "POST") event.waitUntil(remember(LAST_SENT, String(Date.now())));
  else if (request.method === "GET" && address.pathname.startsWith("/static/")) event.respondWith(file(request));
});
