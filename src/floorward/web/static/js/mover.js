/* The page of two starts, moved by its sliders without asking the server. The server has written every part of a side at a few places;
   between two of them all numbers of the text are drawn along a straight line, and where the words differ the nearer place stands.
   Where loads are reckoned from a place, its load is said in words of its own, there and nowhere between.
   Loads are rounded down to what the bar can carry. Without this file the same form asks for the page anew. */

const NUMBER = /-?\d+(?:[.,]\d+)?/g;
const SLOW_MS = 500;
const form = document.getElementById("mover");
const busy = document.getElementById("mover-busy");
const asked = new Map();
const tracks = new Map();
const straights = new Map();

function decimals(text) {
  return text.split(/[.,]/)[1]?.length ?? 0;
}

function middle(from, to, share) {
  if (from === to) return from;
  const [first, last] = [from, to].map((text) => Number(text.replace(",", ".")));
  const text = (first + share * (last - first)).toFixed(Math.max(decimals(from), decimals(to)));
  return (from + to).includes(",") ? text.replace(".", ",") : text;
}

/* What two texts have in common, and their numbers; null where the words differ. */
function straight(before, after) {
  if (!straights.has(before)) straights.set(before, new Map());
  const known = straights.get(before);
  if (!known.has(after)) {
    const words = before.split(NUMBER);
    const alike = words.join("#") === after.split(NUMBER).join("#");
    known.set(after, alike ? { words, from: before.match(NUMBER) ?? [], to: after.match(NUMBER) ?? [] } : null);
  }
  return known.get(after);
}

export function between(before, after, share) {
  if (share === 0 || before === after) return before;
  const line = straight(before, after);
  if (!line) return share < 0.5 ? before : after;
  return line.words.map((text, n) => text + (n < line.from.length ? middle(line.from[n], line.to[n], share) : "")).join("");
}

function around(places, at) {
  const next = places.findIndex((place) => place.at >= at);
  const after = places[next < 0 ? places.length - 1 : next];
  const before = after.at === at || next <= 0 ? after : places[next - 1];
  return { before, after, share: before === after ? 0 : (at - before.at) / (after.at - before.at) };
}

function roundDown(part, loads) {
  for (const one of part.querySelectorAll("[data-exact]")) {
    const under = loads.filter(([load]) => load <= Number(one.dataset.exact) + 1e-6);
    one.textContent = (under.at(-1) ?? loads[0])[1];
  }
}

/* The size is asked for before anything is written: asked after it, the browser would lay the page out twice for each move. */
function draw(side) {
  const picture = document.querySelector(`[data-size="${size()}"] svg`);
  const track = tracks.get(key(side));
  if (!track) return;
  const at = Number(side.querySelector("input").value);
  const { before, after, share } = around(track.places, at);
  const text = (part) => between(before[part], after[part], share);
  for (const part of ["demand", "bend", "load", "words"]) {
    const place = side.querySelector(`[data-part="${part}"]`);
    place.innerHTML = part === "load" && !share && before.itself ? before.itself : text(part);
    if (share) roundDown(place, track.loads);
  }
  side.querySelector('[data-part="under"]').innerHTML = track.stands[Math.round((at - track.least) / track.step)];
  side.querySelector("input").setAttribute("aria-valuetext", text("words").trim());
  side.dataset.said = text("said");
  picture.querySelector(`g[data-side="${side.dataset.side}"]`).innerHTML = text("figure");
  picture.setAttribute("aria-label", [...form.querySelectorAll("[data-said]")].map((one) => one.dataset.said).join(" "));
}

function size() {
  return document.querySelector('[data-size="wide"]').offsetParent ? "wide" : "phone";
}

function key(side, lift = side.querySelector("select").value) {
  return `${lift} ${size()}`;
}

/* Asked for once each; what has come is in `tracks`. */
function fetched(side, lift) {
  const name = key(side, lift);
  if (!asked.has(name)) {
    const query = new URLSearchParams({ load: form.dataset.load, region: form.dataset.region, size: size() });
    asked.set(name, take(name, `${form.dataset.track.replace("LIFT", lift)}?${query}`));
  }
  return asked.get(name);
}

async function take(name, address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(String(answer.status));
  const track = await answer.json();
  tracks.set(name, track);
  return track;
}

function reach(side, track) {
  const input = side.querySelector("input");
  const same = input.dataset.axis === track.axis && track.axis === "height";
  const at = same ? Math.min(Math.max(Number(input.value), track.least), track.most) : track.usual;
  Object.assign(input, { min: track.least, max: track.most, step: track.step });
  input.value = String(at);
  input.dataset.axis = track.axis;
}

function keepAddress() {
  history.replaceState(null, "", `?${new URLSearchParams(new FormData(form))}`);
}

async function pick(side) {
  const lift = side.querySelector("select").value;
  const slow = setTimeout(() => {
    busy.hidden = false;
    side.setAttribute("aria-busy", "true");
  }, SLOW_MS);
  try {
    const track = await fetched(side, lift);
    if (side.querySelector("select").value !== lift) return;
    reach(side, track);
    draw(side);
    keepAddress();
  } catch {
    form.submit();
  } finally {
    clearTimeout(slow);
    busy.hidden = true;
    side.removeAttribute("aria-busy");
  }
}

/* What is likely to be picked next, one after the other while the page is looked at, so that it is there at once. */
async function ahead(sides) {
  for (const side of sides) await fetched(side, side.querySelector("select").value);
  for (const lift of form.dataset.ahead.split(" ")) {
    if (lift && !document.hidden) await fetched(sides[0], lift);
  }
}

if (form) {
  const sides = [...form.querySelectorAll(".mover")];
  for (const side of sides) {
    side.querySelector("input").addEventListener("input", () => draw(side));
    side.querySelector("input").addEventListener("change", keepAddress);
    side.querySelector("select").addEventListener("change", () => pick(side));
  }
  ahead(sides).catch(() => {});
}
