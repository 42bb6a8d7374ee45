/* The next set while the server is away. Each set still to do waits on the page in a template; those kept already are passed over. */

import { restFrom } from "./rest.js";

const said = (entry) => new URLSearchParams(entry.body);

/* Whether what is said of a set, a form or its body, stops its load for today. */
export function isTooMuch(form) {
  const limit = Number(document.getElementById("ahead-ease")?.dataset.limit);
  return form.get("acceptable") === "no" || form.has("spreading") || Number(form.get("pain") || 0) > limit;
}

const loadOf = (form) => Number.parseFloat((form.get("load") ?? "").replace(",", "."));

function lowered(line) {
  return [...document.querySelectorAll("template.ahead-lower")].find((slot) => slot.dataset.line === line);
}

/* Whether nothing more of a line is asked for: it spread, a warm-up or two work sets were too much, or no lighter load is known. */
function isLeft(line, hard) {
  const mine = hard.filter((form) => form.get("line") === line);
  const spreads = mine.some((form) => form.has("spreading") || form.get("kind") !== "work");
  return spreads || mine.length > 1 || (mine.length === 1 && !isLighter(lowered(line), mine[0]));
}

function isLighter(slot, form) {
  return Boolean(slot) && Number(slot.content.querySelector('[name="load"]').value) < loadOf(form);
}

/* The sets still to do, in order; a work set after one that was too much is one rung down. */
function left(slots, kept, hard) {
  const rest = [...slots];
  for (const form of kept) {
    const place = rest.findIndex((slot) => slot.dataset.line === form.get("line") && slot.dataset.kind === form.get("kind"));
    if (place >= 0) rest.splice(place, 1);
  }
  return rest
    .filter((slot) => !isLeft(slot.dataset.line, hard))
    .map((slot) => (hard.some((form) => form.get("line") === slot.dataset.line) ? lowered(slot.dataset.line) : slot));
}

function restAfter(form) {
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
  const ease = document.getElementById("ahead-ease");
  const entries = kept.filter((entry) => entry.kind === "set");
  const sets = entries.map(said);
  const hard = sets.filter((_, place) => entries[place].hard);
  const [next] = left(document.querySelectorAll("template.ahead"), sets, hard);
  place(next ?? document.getElementById("ahead-over"));
  const last = sets.at(-1);
  const stop = hard.includes(last);
  const at = entries.at(-1)?.at;
  if (at) restFrom(at, next && !stop ? restAfter(last) : 0);
  if (stop) here.prepend(easing(ease, last, next));
}

function easing(ease, last, next) {
  const words = ease.content.cloneNode(true);
  const lower = next?.className === "ahead-lower" && next.dataset.line === last.get("line");
  const wanted = last.has("spreading") ? "spreads" : lower ? "lower" : "left";
  for (const one of ["lower", "left", "spreads"]) {
    if (one !== wanted) words.querySelector(`[data-${one}]`).remove();
  }
  return words;
}
