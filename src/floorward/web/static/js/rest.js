/* The rest between two sets, counted on: from the last set that the server's page knows, or from one kept on this phone. Without this
   file the page says when the next set is due. */

import { copiedAt } from "./queue.js";

const WIDTH = 358; // of the drawing
let since = 0;
let seconds = 0;

function clock(count) {
  return `${Math.floor(count / 60)}:${String(count % 60).padStart(2, "0")}`;
}

function show() {
  const here = document.getElementById("rest");
  if (!here) return;
  const gone = Math.max(0, Math.floor((Date.now() - since) / 1000));
  here.hidden = !seconds || gone > Number(here.dataset.most);
  if (here.hidden) return;
  const over = gone >= seconds;
  const x = WIDTH * Math.min(gone / seconds, 1);
  here.classList.toggle("rested", over);
  here.querySelector("[data-gone]").textContent = clock(gone);
  here.querySelector("[data-length]").textContent = clock(seconds);
  here.querySelector(".rest-gone").setAttribute("width", x);
  here.querySelector(".rest-edge").setAttribute("transform", `translate(${x} 0)`);
  const said = over ? here.querySelector("template").content.textContent : "";
  const status = here.querySelector(".rest-over");
  if (status.textContent !== said) status.textContent = said; // told to ears once
}

/* A set kept on this phone was done at `at`, and `length` seconds of rest follow; 0 where no set follows. */
export function restFrom(at, length) {
  since = at;
  seconds = length;
  const next = document.querySelector("#rest [data-next]");
  if (next) next.textContent = new Date(at + 1000 * length).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  show();
}

const here = document.getElementById("rest");
if (here) {
  seconds = Number(here.dataset.seconds);
  since = (copiedAt || Date.now()) - 1000 * Number(here.dataset.elapsed);
  show();
  setInterval(show, 1000);
}
