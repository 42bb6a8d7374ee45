/* The next set while the server is away. Each set still to do waits on the page in a template; those kept already are passed over. */

import { restFrom } from "./rest.js";

function tooMuch(entry, limit) {
  const form = new URLSearchParams(entry.body);
  return form.get("acceptable") === "no" || form.has("spreading") || Number(form.get("pain") || 0) > limit;
}

function left(slots, kept) {
  const rest = [...slots];
  for (const entry of kept) {
    const form = new URLSearchParams(entry.body);
    const place = rest.findIndex((slot) => slot.dataset.line === form.get("line") && slot.dataset.kind === form.get("kind"));
    if (place >= 0) rest.splice(place, 1);
  }
  const stopped = new Set(
    kept.map((entry) => new URLSearchParams(entry.body)).filter((form) => form.has("spreading")).map((form) => form.get("line")),
  );
  return rest.filter((slot) => !stopped.has(slot.dataset.line));
}

function restAfter(entry) {
  const form = new URLSearchParams(entry.body);
  const same = [...document.querySelectorAll("template.ahead")].find(
    (slot) => slot.dataset.line === form.get("line") && slot.dataset.kind === form.get("kind"),
  );
  return Number(same?.dataset.rest ?? 0);
}

function place(template) {
  const part = template.content.cloneNode(true);
  for (const gap of part.querySelectorAll("[data-pad]")) {
    gap.replaceWith(document.getElementById("ahead-pad").content.cloneNode(true));
  }
  const here = document.getElementById("set-now");
  here.replaceChildren(part);
}

/* Put the set on the page that comes after what is kept. */
export function showNext(kept) {
  const here = document.getElementById("set-now");
  if (!here || kept.length === 0) return;
  const sets = kept.filter((entry) => entry.kind === "set");
  const [next] = left(document.querySelectorAll("template.ahead"), sets);
  place(next ?? document.getElementById("ahead-over"));
  const last = sets.at(-1);
  const ease = document.getElementById("ahead-ease");
  const stop = Boolean(last) && tooMuch(last, Number(ease.dataset.limit));
  if (last?.at) restFrom(last.at, next && !stop ? restAfter(last) : 0);
  if (stop) {
    const words = ease.content.cloneNode(true);
    const spreads = new URLSearchParams(last.body).has("spreading");
    words.querySelector(spreads ? "[data-hard]" : "[data-spreads]").remove();
    here.prepend(words);
  }
}
