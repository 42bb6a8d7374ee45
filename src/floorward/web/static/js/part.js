/* Forms of a page that is worked on in place: the server sends the page's main part and its floor again, and they are put where they
   were, with what was open and where the eye was kept. What takes longer than half a second says so. Without this file the same forms
   load the page anew. */

const SLOW_MS = 500;
let running = false;
let pressed = null;

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

/* What a press asks: where, what, and by which words, so that the same button is known again on another page. */
function asked(form, submitter) {
  const where = new URL(submitter?.getAttribute("formaction") || form.getAttribute("action") || location.href, location.href);
  const data = new URLSearchParams(new FormData(form, submitter));
  return { form, where, data, words: submitter?.textContent, busy: submitter?.dataset.busy || form.dataset.busy };
}

async function sent({ form, where, data }) {
  const get = form.method === "get";
  if (get) where.search = data;
  const answer = await fetch(where, { method: form.method, body: get ? undefined : data, headers: { "X-Part": "1" } });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return { page, url: answer.url };
}

async function work(one) {
  const name = document.activeElement?.name;
  const line = document.activeElement?.closest("[data-line]")?.dataset.line;
  document.getElementById("main").setAttribute("aria-busy", "true");
  const slow = setTimeout(() => busy(one.busy || document.getElementById("part-busy").dataset.busy), SLOW_MS);
  try {
    const { page, url } = await sent(one);
    if (!replace(page, opened())) return location.assign(url);
    if (one.form.method === "get") history.replaceState(null, "", url);
    const here = name && line && document.querySelector(`[data-line="${line}"] [name="${name}"]`);
    if (here) here.focus({ preventScroll: true });
    const alert = document.querySelector("main [role=alert]");
    if (alert) alert.scrollIntoView({ block: "nearest" });
  } catch {
    if (!one.form.isConnected) return location.reload();
    one.form.action = one.where;
    one.form.submit();
  } finally {
    clearTimeout(slow);
    document.getElementById("part-busy").hidden = true;
    document.getElementById("main").removeAttribute("aria-busy");
  }
}

/* The press that came while an answer was on its way, if the page that came has the same button and nothing to be looked at first:
   sent as it was pressed, but for the version. A number typed and a button pressed at once are two presses; one button twice is one. */
function still(one, before) {
  if (!one || document.querySelector("main [role=alert]")) return null;
  if (one.where.href === before.where.href && one.words === before.words) return null;
  const found = [...document.querySelectorAll("form[data-part] button")].find((button) => {
    const now = asked(button.form, button);
    return now.words === one.words && now.where.href === one.where.href && now.data.get("exercise") === one.data.get("exercise");
  });
  const version = found?.form.elements.version;
  if (version) one.data.set("version", version.value);
  return found ? { ...one, form: found.form } : null;
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("main form[data-part], .floor form[data-part]")) return;
  event.preventDefault();
  pressed = asked(form, event.submitter);
  if (running) return;
  running = true;
  while (pressed) {
    const one = pressed;
    pressed = null;
    await work(one);
    pressed = still(pressed, one);
  }
  running = false;
});

document.addEventListener("change", (event) => {
  if (event.target.matches("form.numbers[data-part] input")) event.target.form.requestSubmit();
});
