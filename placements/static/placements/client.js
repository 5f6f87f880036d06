// The wall today beside the wall with its art: one slider over one photograph. On a phone, one room a screen.

import { all, find, need } from "../studio/dom.js";
import { carries } from "../studio/hand.js";

for (const view of all(document, "[data-compare]")) {
  const slider = need(view, "input", HTMLInputElement);
  const show = () => {
    const shown = Number(slider.value);
    view.style.setProperty("--today", `${shown}%`);
    view.classList.toggle("parted", shown > 0 && shown < 100);
  };
  view.classList.add("slides");
  need(view, ".compare").hidden = false;
  slider.addEventListener("input", show);
  // A finger or a mouse on the photograph itself does the same.
  const follow = (/** @type {Element} */ pair, /** @type {PointerEvent} */ event) => {
    const box = pair.getBoundingClientRect();
    slider.value = String(Math.round((100 * (event.clientX - box.left)) / box.width));
    show();
    return pair;
  };
  carries(view, ".pair", { slack: 0, take: follow, carry: follow });
  show();
}

const rooms = all(document, ".plate-room");
const steps = find(document, ".room-steps");

/**
 * Show the cover (-1) or one room; the style leaves the others out where the screen is a phone's.
 * @param {number} place
 */
function turnTo(place) {
  rooms.forEach((room, index) => room.classList.toggle("away", index !== place));
  need(document, ".cover").classList.toggle("away", place >= 0);
  for (const link of all(need(document, ".room-steps"), "a", HTMLAnchorElement)) {
    const to = place + Number(link.dataset.step);
    const room = rooms[to];
    link.hidden = to < -1 || to >= rooms.length;
    link.href = room ? `#${room.id}` : "#cover";
    link.textContent = room ? need(room, "h2").textContent : "All rooms";
  }
}

/** The room that the address names, or that has the wall which it names. */
function asked() {
  const named = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  return rooms.findIndex((room) => named && room.contains(named));
}

if (steps && rooms.length > 1) {
  steps.hidden = false;
  document.body.classList.add("by-room");
  const go = () => {
    turnTo(asked());
    document.getElementById(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
  };
  window.addEventListener("hashchange", go);
  go();
}
