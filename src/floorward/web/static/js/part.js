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
  const there = new URL(where);
  if (get) there.search = data;
  const answer = await fetch(there, { method: form.method, body: get ? undefined : data, headers: { "X-Part": "1" } });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return { page, url: answer.url };
}

/* Whether the page stands as the answer has it; if not, another is on its way and nothing more is sent from this one. */
async function work(one) {
  const name = document.activeElement?.name;
  const line = document.activeElement?.closest("[data-line]")?.dataset.line;
  document.getElementById("main").setAttribute("aria-busy", "true");
  const slow = setTimeout(() => busy(one.busy || document.getElementById("part-busy").dataset.busy), SLOW_MS);
  try {
    const { page, url } = await sent(one);
    if (!replace(page, opened())) {
      location.assign(url);
      return false;
    }
    if (one.form.method === "get") history.replaceState(null, "", url);
    const here = name && line && document.querySelector(`[data-line="${line}"] [name="${name}"]`);
    if (here) here.focus({ preventScroll: true });
    const alert = document.querySelector("main [role=alert]");
    if (alert) alert.scrollIntoView({ block: "nearest" });
    return true;
  } catch {
    if (one.form.isConnected) {
      one.form.action = one.where;
      one.form.submit();
    } else location.reload();
    return false;
  } finally {
    clearTimeout(slow);
    document.getElementById("part-busy").hidden = true;
    document.getElementById("main").removeAttribute("aria-busy");
  }
}

/* What a press asks, without what every page says anew: the version and the form's own key. */
function wish({ where, data }) {
  const said = new URLSearchParams(data);
  for (const name of ["version", "csrfmiddlewaretoken"]) said.delete(name);
  return `${where.pathname} ${said}`;
}

/* The press that came while an answer was on its way, if the page that came has the same button (or, for numbers typed, the same form)
   and nothing to be looked at first: sent as it was pressed, but for the version. The same wish twice is one press. */
function still(one, before) {
  if (!one || document.querySelector("main [role=alert]") || wish(one) === wish(before)) return null;
  const same = (form, button) => {
    const now = asked(form, button);
    const there = now.where.pathname === one.where.pathname && now.data.get("exercise") === one.data.get("exercise");
    return there && (one.words === undefined || now.words === one.words);
  };
  const forms = [...document.querySelectorAll("form[data-part]")];
  const form = forms.find((each) => [...each.querySelectorAll("button")].some((button) => same(each, button)));
  if (form?.elements.version) one.data.set("version", form.elements.version.value);
  return form ? { ...one, form } : null;
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
    const stands = await work(one);
    pressed = stands ? still(pressed, one) : null;
  }
  running = false;
});

document.addEventListener("change", (event) => {
  if (event.target.matches("form.numbers[data-part] input")) event.target.form.requestSubmit();
});
