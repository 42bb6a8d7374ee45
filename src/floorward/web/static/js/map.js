/* The spot of a height–load map that is looked at: a tap on the map, or the sliders under it, move ring and chalk line and say what the
   model expects there, without the server. Without this file the same form asks for the page anew. */

const form = document.getElementById("map");
const moves = form && JSON.parse(document.getElementById("map-moves").textContent);
const first = form && { row: Number(form.elements.row.value), load: Number(form.elements.load.value) };

function spot(scale, row, load) {
  const part = (moves.rows[row].mm - scale.floorMm) / (scale.topMm - scale.floorMm);
  return {
    x: scale.left + (scale.right - scale.left) * Math.min(moves.loads[load] / scale.mostLoad, 1),
    y: scale.bottom - (scale.bottom - scale.top) * Math.min(Math.max(part, 0), 1),
  };
}

function nearest(values, wanted) {
  return values.reduce((best, value, n) => (Math.abs(value - wanted) < Math.abs(values[best] - wanted) ? n : best), 0);
}

function only(name, wanted) {
  for (const one of form.querySelectorAll(`[data-${name}]`)) one.hidden = one.dataset[name] !== wanted;
}

function say(row, load) {
  const { name, sure, unlikely, oneIn } = moves.rows[row];
  const heavy = moves.loads[load];
  document.getElementById("map-load").textContent = moves.read[load];
  document.getElementById("map-name").textContent = name;
  document.getElementById("map-one-in").textContent = oneIn[load];
  only("region", heavy <= sure ? "sure" : heavy <= unlikely ? "not-sure" : "too-much");
  only("odds", oneIn[load] === 0 ? "few" : oneIn[load] === 1 ? "most" : "some");
  form.elements.row.setAttribute("aria-valuetext", name);
  form.elements.load.setAttribute("aria-valuetext", moves.read[load]);
  const start = new URLSearchParams({ a: form.elements.lift.value, a_at: moves.rows[row].at });
  document.getElementById("map-start").href = `${form.dataset.start}?${start}`;
}

function draw() {
  const row = Number(form.elements.row.value);
  const load = Number(form.elements.load.value);
  for (const sheet of document.querySelectorAll("[data-scale]")) {
    const scale = moves.scales[sheet.dataset.scale];
    const [from, to] = [spot(scale, first.row, first.load), spot(scale, row, load)];
    sheet.querySelector(".map-choice").setAttribute("transform", `translate(${to.x - from.x} ${to.y - from.y})`);
    sheet.querySelector(".map-level").setAttribute("transform", `translate(0 ${to.y - from.y})`);
  }
  say(row, load);
}

function tapped(event) {
  const sheet = event.target.closest("[data-scale]");
  const svg = sheet?.querySelector("svg");
  if (!svg) return;
  const scale = moves.scales[sheet.dataset.scale];
  const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const part = (scale.bottom - place.y) / (scale.bottom - scale.top);
  const mm = scale.floorMm + part * (scale.topMm - scale.floorMm);
  form.elements.row.value = nearest(moves.rows.map((row) => row.mm), mm);
  form.elements.load.value = nearest(moves.loads, ((place.x - scale.left) / (scale.right - scale.left)) * scale.mostLoad);
  draw();
}

if (form) {
  form.addEventListener("input", draw);
  form.addEventListener("change", () => history.replaceState(null, "", `?${new URLSearchParams(new FormData(form))}`));
  document.querySelector(".map-sheet").addEventListener("click", tapped);
}
