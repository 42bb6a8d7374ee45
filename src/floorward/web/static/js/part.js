/* Forms of a page that is worked on in place: the server sends the page's main part and its floor again, and they are put where they
   were, with what was open and where the eye was kept. What takes longer than half a second says so. Without this file the same forms
   load the page anew. */

const SLOW_MS = 500;
let running = false;

function opened() {
  return new Set([...document.querySelectorAll("main details[open][data-key]")].map((one) => one.dataset.key));
}

function replace(page, wasOpen) {
  const fresh = page.getElementById("main");
  if (!fresh) return false;
  for (const one of fresh.querySelectorAll("details[data-key]")) one.open = one.open || wasOpen.has(one.dataset.key);
  document.getElementById("main").replaceWith(fresh);
  document.querySelector("body > .floor")?.remove();
  const floor = page.querySelector("body > .floor");
  if (floor) fresh.after(floor);
  return true;
}

function busy(text) {
  const said = document.getElementById("part-busy");
  said.textContent = text;
  said.hidden = false;
}

async function sent(form, submitter) {
  const data = new URLSearchParams(new FormData(form, submitter));
  const where = new URL(submitter?.getAttribute("formaction") || form.getAttribute("action") || location.href, location.href);
  const get = form.method === "get";
  if (get) where.search = data;
  const answer = await fetch(where, { method: form.method, body: get ? undefined : data, headers: { "X-Part": "1" } });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return { page, url: answer.url };
}

async function work(form, submitter) {
  const name = document.activeElement?.name;
  const line = document.activeElement?.closest("[data-line]")?.dataset.line;
  document.getElementById("main").setAttribute("aria-busy", "true");
  const slow = setTimeout(() => busy(submitter?.dataset.busy || form.dataset.busy || document.getElementById("part-busy").dataset.busy), SLOW_MS);
  try {
    const { page, url } = await sent(form, submitter);
    if (!replace(page, opened())) return location.assign(url);
    if (form.method === "get") history.replaceState(null, "", url);
    const here = name && line && document.querySelector(`[data-line="${line}"] [name="${name}"]`);
    if (here) here.focus({ preventScroll: true });
    const alert = document.querySelector("main [role=alert]");
    if (alert) alert.scrollIntoView({ block: "nearest" });
  } catch {
    running = false;
    form.submit();
  } finally {
    clearTimeout(slow);
    document.getElementById("part-busy").hidden = true;
    document.getElementById("main").removeAttribute("aria-busy");
  }
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("main form[data-part], .floor form[data-part]")) return;
  event.preventDefault();
  if (running) return;
  running = true;
  await work(form, event.submitter);
  running = false;
});

document.addEventListener("change", (event) => {
  if (event.target.matches("form.numbers[data-part] input")) event.target.form.requestSubmit();
});
