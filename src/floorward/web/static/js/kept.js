/* Forms marked data-keep are kept on this phone first and then sent, in order, until the gym's server has each of them once. */

import { copiedAt, drop, entries, keep, mark, newKey } from "./queue.js";
import { said, send } from "./send.js";
import { isTooMuch, showNext } from "./ahead.js";

const AGAIN_MS = 4000;
const SETTLE_MS = 600; // a thumb that is still coming down must not press the next set's key
const panel = () => document.getElementById("kept");
const who = panel().dataset.who;
const outcomes = new Map();
let state = "";
let running = null;
let pressed = 0;
let shownAt = 0;
const LAST_PRESS = "pressed-at"; // outlives the page: the second tap of a thumb may meet the next set's key
let answering = null;
let swapped = false;
let came = false;
const knownAt = copiedAt || performance.timeOrigin; // what was stored after this the page does not know
const STORED_MS = 12 * 3600 * 1000; // as long as a copy may be shown that does not know it
const NO_WORD_MS = 12000;
const MOST_BEFORE = 40;

async function mine(wanted) {
  return (await entries()).filter((entry) => entry.who === who && (!wanted || entry.state === wanted));
}

/* ---- what the page does not know yet ---- */

/* A stored set leaves its place in the plan, its load and whether it was too much: a page from before it passes it over, and asks
   no more for a load that hurt. What was answered goes. */
function markStored(entry) {
  if (entry.kind !== "set") return drop(entry.seq);
  const said = new URLSearchParams(entry.body);
  const place = new URLSearchParams({ line: said.get("line") ?? "", kind: said.get("kind") ?? "", load: said.get("load") ?? "" });
  if (said.has("spreading")) place.set("spreading", "");
  const { seq, key, who: whose, page, kind, hard } = entry;
  return mark({ seq, key, who: whose, page, kind, hard, body: place.toString(), state: "stored", storedAt: Date.now() });
}

async function forgetStored() {
  for (const one of await entries()) {
    if (one.state !== "stored") continue;
    const known = !copiedAt && one.who === who && one.page === location.pathname;
    if (known || Math.abs(Date.now() - one.storedAt) > STORED_MS) await drop(one.seq);
  }
}

async function unknownHere(waiting) {
  const stored = (await mine("stored")).filter((one) => one.storedAt > knownAt);
  return [...stored, ...waiting].filter((one) => one.page === location.pathname);
}

/* ---- sending ---- */

function flush() {
  running ??= sendAll().finally(() => {
    running = null;
  });
  return running;
}

async function sendAll() {
  if (state === "away" && !(await alive())) return; // a quick question first: a server that is just starting may keep an answer waiting
  for (;;) {
    const [next] = await mine("waiting");
    if (!next) return;
    const answer = await send(next);
    if (answer.word === "stored") {
      outcomes.set(next.seq, answer);
      await markStored(next);
    } else if (answer.word === "refused") {
      outcomes.set(next.seq, answer);
      await mark({ ...next, state: answer.status === 422 ? "asked" : "refused", said: said(answer.page) });
    } else {
      state = answer.word;
      return;
    }
    state = "";
  }
}

async function alive() {
  try {
    const answer = await fetch(panel().dataset.alive, { cache: "no-store", signal: AbortSignal.timeout(AGAIN_MS) });
    return answer.ok;
  } catch {
    return false;
  }
}

/* ---- the words on the page ---- */

function say(name, on, count = 0) {
  for (const line of panel().querySelectorAll(`[data-say="${name}"]`)) {
    line.hidden = !on;
    for (const number of line.querySelectorAll("[data-count]")) number.textContent = String(count);
    for (const one of line.querySelectorAll("[data-one]")) one.hidden = count !== 1;
    for (const more of line.querySelectorAll("[data-more]")) more.hidden = count === 1;
  }
}

function item(entry) {
  const line = document.getElementById(entry.state === "waiting" ? "kept-line" : "kept-asked").content.cloneNode(true);
  line.querySelector("[data-label]").textContent = entry.label;
  line.querySelector("[data-time]").textContent = new Date(entry.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const why = line.querySelector("[data-said]");
  if (why) why.textContent = entry.said;
  for (const button of line.querySelectorAll("button")) button.dataset.seq = String(entry.seq);
  if (entry.state === "refused") line.querySelector("[data-answer]")?.remove();
  return line;
}

async function show() {
  const all = (await entries()).filter((entry) => entry.state !== "stored");
  const own = all.filter((entry) => entry.who === who && entry.seq !== answering?.seq);
  const waiting = own.filter((entry) => entry.state === "waiting");
  const sets = waiting.every((entry) => entry.kind === "set");
  say("sets", waiting.length > 0 && sets, waiting.length);
  say("answers", waiting.length > 0 && !sets, waiting.length);
  say("copy", Boolean(copiedAt) && state === "");
  say("signed-out", state === "signed-out");
  say("again", state === "again");
  say("away", state === "away" && waiting.length === 0);
  say("asked", own.length > waiting.length, own.length - waiting.length);
  const others = all.filter((entry) => entry.who !== who).length;
  say("others", others > 0, others);
  panel().querySelector("[data-list]").replaceChildren(...own.map(item));
  panel().hidden = !panel().querySelector("[data-say]:not([hidden])");
  return waiting;
}

function swap(page, action) {
  for (const form of page.querySelectorAll("form[data-keep]:not([action])")) form.setAttribute("action", action);
  document.title = page.title;
  document.body.replaceWith(document.adoptNode(page.body));
  scrollTo(0, 0);
}

/* The page after what was kept could not be sent: the next set, or what to know about the answer. */
async function goOn(entry) {
  const waiting = await show();
  const words = entry && document.getElementById(`kept-${entry.kind}`);
  if (words) {
    document.getElementById("main").replaceChildren(words.content.cloneNode(true));
    document.querySelector(".floor")?.remove();
    const stop = document.getElementById("kept-stop");
    const symptoms = new URLSearchParams(entry.body).get("new_symptoms");
    if (stop && symptoms && symptoms !== "no") document.getElementById("main").prepend(stop.content.cloneNode(true));
    swapped = true;
  } else {
    showNext(await unknownHere(waiting));
  }
  shownAt = Date.now();
}

/* ---- what a thumb does ---- */

function label(kind, data) {
  const words = panel().dataset; // the page's own language
  if (kind === "set") {
    const load = `${data.get("load")} ${data.get("unit") ?? ""}`.trim();
    const more = [
      data.get("pain") ? `${words.pain} ${data.get("pain")}` : "",
      data.get("acceptable") === "no" ? words.notAcceptable : "",
      data.has("spreading") ? words.spreading : "",
    ];
    return [`${load} × ${data.get("reps")}`, ...more.filter(Boolean)].join(", ");
  }
  return `${words.pain} ${data.get("score") ?? ""}`;
}

/* Of an answer to what the server asked the moment stays: it is when the set was done. */
async function entryOf(form, button, asked) {
  const at = Date.now();
  const data = new FormData(form);
  if (button?.name) data.append(button.name, button.value);
  const key = newKey();
  if (data.has("client_id")) data.set("client_id", key); // a page from the store may carry one that is used up
  data.delete("csrfmiddlewaretoken");
  const kind = form.dataset.keep;
  const page = form.dataset.page ?? location.pathname;
  return {
    key,
    who,
    kind,
    page,
    after: asked ? asked.after : await setsBefore(page),
    action: button?.getAttribute("formaction") ?? form.getAttribute("action") ?? location.pathname + location.search,
    body: new URLSearchParams(data).toString(),
    label: label(kind, data),
    hard: kind === "set" && isTooMuch(data),
    at: asked?.at ?? at,
    state: "waiting",
  };
}

/* The sets before it that the server may not have yet, so that it keeps their order also where one sending took longer than the next. */
async function setsBefore(page) {
  const sets = (await mine()).filter((one) => one.kind === "set" && one.page === page);
  return sets.slice(-MOST_BEFORE).map((one) => one.key).join(" ");
}

function withoutKeeping(form, button) {
  if (button?.name) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name: button.name, value: button.value });
    form.append(field);
  }
  form.submit();
}

/* What became of an entry; null while it waits. Another page of this phone may have sent it. */
async function outcomeOf(seq) {
  for (;;) {
    await flush();
    if (outcomes.has(seq)) return outcomes.get(seq);
    if (state) return null;
    if (!(await mine("waiting")).some((entry) => entry.seq === seq)) return { word: "stored", next: location.href };
  }
}

/* The page that follows. Until it is there no further press counts: a thumb that comes down twice must not log two sets. */
function turnTo(next) {
  const there = new URL(next, location.href);
  if (there.pathname + there.search === location.pathname + location.search) location.reload();
  else location.assign(there);
  return true;
}

/* True where another page follows. */
async function press(form, button) {
  const asked = answering; // a question that comes while this is kept is not the one that it answers
  let entry;
  let seq;
  try {
    entry = await entryOf(form, button, asked);
    seq = await keep(entry, asked?.seq);
  } catch {
    withoutKeeping(form, button);
    return true;
  }
  if (answering === asked) answering = null;
  const answer = state === "away" ? null : await outcomeOf(seq);
  if (!answer) await goOn(entry);
  else if (answer.word === "stored") return turnTo(answer.next);
  else if (answer.status === 422) ask({ ...entry, seq }, answer.page);
  else if (answer.status === 200 && entry.kind === "morning") await tell(seq, answer.page, entry.action);
  else await show();
  return false;
}

/* The consent was taken back since the page was opened: nothing was stored, and what to do now is said at once. */
async function tell(seq, page, action) {
  await drop(seq);
  swap(page, action);
  await show();
}

function ask(entry, page) {
  answering = entry;
  swap(page, entry.action);
  show();
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.keep) {
    if (state === "away" && form.method === "post") {
      event.preventDefault();
      say("needs", true);
    }
    return;
  }
  event.preventDefault();
  const last = Math.max(shownAt, Number(sessionStorage.getItem(LAST_PRESS)));
  if (pressed || Math.abs(Date.now() - last) < SETTLE_MS) return;
  pressed = 1;
  sessionStorage.setItem(LAST_PRESS, String(Date.now()));
  document.body.setAttribute("aria-busy", "true");
  let turning = false;
  try {
    turning = await press(form, event.submitter);
  } finally {
    if (!turning) rest();
  }
});

document.documentElement.classList.add("heard");

function rest() {
  pressed = 0;
  document.body.removeAttribute("aria-busy");
}

addEventListener("pageshow", rest); // the page may come back as it was left

document.addEventListener("click", async (event) => {
  const link = event.target.closest?.("a[href]");
  if (link && state === "away" && !navigator.serviceWorker?.controller && link.origin === location.origin && !link.hash) {
    event.preventDefault();
    if (await alive()) location.assign(link.href);
    else say("needs", true);
    return;
  }
  const button = event.target.closest?.("button[data-drop], button[data-answer]");
  if (!button) return;
  const entry = (await mine()).find((one) => String(one.seq) === button.dataset.seq);
  if (entry && button.hasAttribute("data-drop")) await drop(entry.seq);
  else if (entry) {
    const answer = await send(entry);
    if (answer.word === "refused") return ask(entry, answer.page);
    if (answer.word === "stored") await markStored(entry);
  }
  await show();
});

/* ---- trying again ---- */

function untouched() {
  return !document.querySelector("main form :is(input:checked:not([type=hidden]), textarea:focus, input:focus)");
}

/* The server's page came after its copy was shown: the worker has it ready. */
function renew() {
  came = true;
  if (!pressed && answering === null && untouched()) location.reload();
}

function heard(word) {
  if (word === "came") return renew();
  state ||= "away";
  return show();
}

navigator.serviceWorker?.addEventListener("message", ({ data }) => heard(data.word));

async function tryAgain() {
  if (pressed) return;
  if (came) return renew();
  if (copiedAt && !state && performance.now() > NO_WORD_MS) state = "away"; // then the next answer turns the page
  const before = (await mine("waiting")).length;
  if (before) await flush();
  else if (state === "away" && (await alive())) state = "";
  else if (state !== "away") return void show();
  const waiting = await show();
  const sent = before > waiting.length || (before === 0 && state === "");
  const fresh = swapped || copiedAt || document.getElementById("set-now");
  if (sent && !waiting.length && fresh && answering === null && untouched()) location.reload();
  else if (waiting.length && !shownAt) await goOn();
}

addEventListener("online", tryAgain);
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && tryAgain());
setInterval(tryAgain, AGAIN_MS);

async function start() {
  if (panel().dataset.worker) navigator.serviceWorker?.register(panel().dataset.worker).catch(() => {});
  for (const time of panel().querySelectorAll("[data-copied]")) {
    time.textContent = new Date(copiedAt).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  }
  await forgetStored();
  await show();
  if (copiedAt && (await unknownHere([])).length) await goOn();
  if ((await mine("waiting")).length) await tryAgain();
  else if (navigator.serviceWorker?.controller && !(await alive())) state = "away";
  await show();
}

start();
