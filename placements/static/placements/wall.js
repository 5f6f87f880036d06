// The wall in hand: choose, drag, nudge, snap. Every judgement and every drawn measure comes from the server; here a
// piece only follows the hand, and the newest answer replaces strings, flags and words around it.

import { ask, csrfToken, sayStatus } from "../studio/base.js";
import { arrow, carries, keepsStill } from "../studio/hand.js";
import { drawnAt, make, misfits, mmPerPixel } from "./elevation.js";
import { boxOf, snapLines, snapped } from "./snapping.js";
import { strides, thumbs } from "./thumb.js";

const page = document.getElementById("wall-page");
const metric = page.dataset.metric === "1";
const { step: STEP, fine: FINE } = strides(metric);
const SNAP_PX = 7;

let hand = null; // the piece being moved
const put = new Map(); // pieces put down, and where [mm], until an answer draws them there
let asking = false;
let asked = null;

const sheet = () => document.getElementById("wall-sheet");
const svg = () => sheet().querySelector("svg.elevation");
const piece = (id) => svg()?.querySelector(`.piece[tabindex][data-id="${CSS.escape(id)}"]`);

/** A length that a tape can read: to the eighth of an inch, or the millimetre. */
const tidy = (mm) => Math.round(mm / FINE) * FINE;

function drawSnap(at) {
  const root = svg();
  root.querySelector(".snap")?.remove();
  if (at.x === undefined && at.y === undefined) return;
  const [low, high] = [drawnAt(root, 0, 0), drawnAt(root, Number(root.dataset.length), Number(root.dataset.height))];
  const on = drawnAt(root, at.x ?? 0, at.y ?? 0);
  const d = (at.x === undefined ? "" : `M${on.x} ${low.y}V${high.y}`) + (at.y === undefined ? "" : `M${low.x} ${on.y}H${high.x}`);
  root.append(make("path", { class: "snap", d }));
}

function lift(node) {
  const { id } = node.dataset;
  const from = put.get(id) ?? boxOf(node);
  hand = { node, id, from, at: from, lines: snapLines(svg(), node), perPixel: mmPerPixel(svg()), moved: false };
  page.classList.add("moving");
  node.classList.add("held");
  return hand;
}

function carry(left, bottom) {
  hand.at = { ...hand.at, left, bottom };
  hand.moved = true;
  show(hand.node, hand.at);
  tryPlace();
}

/** Show a piece there, wherever it was drawn. */
function show(node, at) {
  const drawn = boxOf(node);
  const [was, is] = [drawnAt(svg(), drawn.left, drawn.bottom), drawnAt(svg(), at.left, at.bottom)];
  node.setAttribute("transform", `translate(${is.x - was.x} ${is.y - was.y})`);
}

/** Ask how the wall reads with the piece here: one question at a time, the newest place wins. */
async function tryPlace() {
  if (!hand) return;
  asked = { id: hand.id, left: hand.at.left, bottom: hand.at.bottom };
  if (asking) return;
  asking = true;
  while (asked && hand) {
    const now = asked;
    asked = null;
    const body = new URLSearchParams({ artwork: now.id, left_mm: now.left, bottom_mm: now.bottom });
    try {
      const answer = await fetch(page.dataset.try, {
        method: "POST",
        body,
        headers: { "X-CSRFToken": csrfToken(), "HX-Request": "true" },
      });
      if (answer.ok && hand && hand.id === now.id) showAround(await answer.text());
    } catch {
      asked = null;
    }
  }
  asking = false;
}

function showAround(text) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const root = svg();
  const drawn = fresh.querySelector("#wall-sheet svg.elevation");
  for (const old of root.querySelectorAll(":scope > .strings, :scope > .flags")) old.remove();
  for (const part of drawn.querySelectorAll(":scope > .strings, :scope > .flags")) root.append(document.importNode(part, true));
  for (const id of ["wall-findings", "this-piece"]) {
    const old = document.getElementById(id);
    const part = fresh.getElementById(id);
    if (old && part) old.replaceChildren(...[...part.childNodes].map((one) => document.importNode(one, true)));
  }
  readOut(fresh);
}

/** The measures in large numbers, for a hand that covers what it moves. */
function readOut(fresh) {
  const told = document.getElementById("readout");
  const measures = ["left", "bottom", "above"].map((name) => fresh.getElementById(`m-${name}`)).filter(Boolean);
  const words = measures.map((box) => `${fresh.querySelector(`label[for="${box.id}"]`).textContent} ${box.value}`);
  if (told) told.textContent = words.join(" · ");
}

function drop() {
  if (!hand) return;
  const { id, at, from, moved } = hand;
  letGo();
  if (!moved || (at.left === from.left && at.bottom === from.bottom)) return;
  put.set(id, at);
  store();
}

function letGo() {
  svg().querySelector(".snap")?.remove();
  page.classList.remove("moving");
  hand.node.classList.remove("held");
  clearTimeout(settle);
  hand = null;
  asked = null;
}

let storing = false;

/** Store what was put down, one piece after the other, each on the wall that the answer before it drew. */
async function store() {
  if (storing) return;
  storing = true;
  while (put.size) {
    const [[id, at]] = put;
    const values = () => ({ artwork: id, left_mm: at.left, bottom_mm: at.bottom, version: sheet().dataset.version, ...takeBack() });
    const stored = await drawAnew("POST", page.dataset.edit, id, values);
    if (!stored) giveUp();
    else if (put.get(id) === at) put.delete(id);
  }
  storing = false;
}

/** What is not stored goes back to where it was drawn: it was meant for a wall that is no longer so. */
function giveUp() {
  if (hand) letGo();
  put.clear();
  for (const node of svg().querySelectorAll(".piece[transform]")) node.removeAttribute("transform");
}

/** Ask for the sheet anew, with the focus on a piece; whether it came without an objection. */
async function drawAnew(verb, address, focus = null, values = () => ({})) {
  let before = null;
  await ask(verb, address, "#wall-sheet", () => {
    before = sheet();
    refocus = focus;
    return values();
  });
  return sheet() !== before && !sheet().querySelector(".note[role=alert]");
}

/** The reader has been told that a change takes the plan back from the principal. */
const takeBack = () => (sheet().dataset.takeBack ? { take_back: "1" } : {});

function choose(id) {
  drawAnew("GET", `${page.dataset.page}?piece=${id}`, id);
}

// The hand -----------------------------------------------------------------------------------------------------------

keepsStill(page, ".piece[tabindex]");
carries(page, ".piece[tabindex]", {
  take(node) {
    if (hand) return null;
    node.focus();
    return lift(node);
  },
  carry(held, event, way) {
    if (held !== hand) return;
    const { from, lines, perPixel } = held;
    const left = from.left + way.across * perPixel;
    const bottom = from.bottom - way.down * perPixel;
    const at = event.altKey ? { left, bottom } : snapped(left, bottom, from, lines, SNAP_PX * perPixel);
    carry(at.x === undefined ? tidy(at.left) : at.left, at.y === undefined ? tidy(at.bottom) : at.bottom);
    drawSnap(at);
  },
  put(held, event, moved) {
    if (held !== hand) return;
    const { id, node } = held;
    drop();
    if (!moved && !node.classList.contains("selected")) choose(id);
  },
  drop: putBack,
});

function putBack() {
  if (!hand) return;
  const { id, node, from } = hand;
  letGo();
  show(node, from);
  choose(id);
}

// The thumb ----------------------------------------------------------------------------------------------------------

const ready = thumbs(page, metric, {
  move(across, up) {
    const node = svg().querySelector(".piece.selected[tabindex]");
    if (node) move(node, across, up);
  },
  redraw,
});

// What is not yet put down needs no answer to be undone.
page.addEventListener("click", (event) => {
  if (!hand || !event.target.closest("[data-undo]")) return;
  event.stopPropagation();
  putBack();
}, true);

page.addEventListener("click", (event) => {
  const flag = event.target.closest(".flag[data-flag]");
  if (flag) document.getElementById(`finding-${flag.dataset.flag}`)?.scrollIntoView({ block: "center" });
});

/** The same wall, drawn for the window as it is now. */
function redraw() {
  const asked = new URLSearchParams(location.search);
  if (sheet().dataset.selected) asked.set("piece", sheet().dataset.selected);
  drawAnew("GET", `${page.dataset.page}?${asked}`);
}

let turned = null;
addEventListener("resize", () => {
  clearTimeout(turned);
  turned = setTimeout(() => !hand && misfits(svg()) && redraw(), 300);
});

// Keys ---------------------------------------------------------------------------------------------------------------

let settle = null;

page.addEventListener("keydown", (event) => {
  const node = event.target.closest?.(".piece[tabindex]");
  if (event.key === "Escape" && hand) return putBack();
  if (!node) return undefined;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    return choose(node.dataset.id);
  }
  const way = arrow(event);
  if (!way) return undefined;
  event.preventDefault();
  const stride = event.shiftKey ? FINE : STEP;
  move(node, way[0] * stride, way[1] * stride);
  return undefined;
});

/** A step, in millimetres; the piece is put down when no other follows. */
function move(node, across, up) {
  if (hand?.node !== node) {
    drop();
    lift(node);
  }
  carry(hand.at.left + across, hand.at.bottom + up);
  clearTimeout(settle);
  settle = setTimeout(drop, 600);
}

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.closest("input, textarea")) return;
  event.preventDefault();
  document.querySelector(event.shiftKey ? "[data-redo]:enabled" : "[data-undo]:enabled")?.click();
});

// After every answer -------------------------------------------------------------------------------------------------

let refocus = null;
let layers = {};

document.addEventListener("htmx:beforeSwap", () => {
  layers = Object.fromEntries([...page.querySelectorAll(".layers input")].map((one) => [one.id, one.checked]));
});
document.addEventListener("htmx:afterSwap", () => {
  for (const [id, at] of put) if (piece(id)) show(piece(id), at);
  if (!hand) return;
  const node = piece(hand.id);
  if (!node) return letGo();
  hand.node = node;
  node.classList.add("held");
  if (hand.moved) show(node, hand.at);
});
document.addEventListener("htmx:afterSettle", () => {
  for (const [id, on] of Object.entries(layers)) {
    const box = document.getElementById(id);
    if (box) box.checked = on;
  }
  ready();
  if (refocus) {
    piece(refocus)?.focus({ preventScroll: true });
    refocus = null;
  }
  sayStatus(sheet());
});

// A flag and its sentence point at each other.
for (const [over, on] of [["pointerover", true], ["pointerout", false]]) {
  page.addEventListener(over, (event) => {
    const flag = event.target.closest("[data-flag]")?.dataset.flag;
    if (!flag) return;
    for (const node of page.querySelectorAll(`[data-flag="${CSS.escape(flag)}"]`)) node.classList.toggle("pointed", on);
  });
}

if (misfits(svg())) redraw();
