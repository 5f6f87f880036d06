// The wall in hand: choose, drag, nudge, snap. Every judgement and every drawn measure comes from the server; here a
// piece only follows the hand, and the newest answer replaces strings, flags and words around it.

import { ask, csrfToken, sayStatus } from "../studio/base.js";
import { all, around, find, need } from "../studio/dom.js";
import { arrow, carries, keepsStill } from "../studio/hand.js";
import { boxOf, boxOfItem, drawnAt, make, misfits, mmPerPixel, sizeOf } from "./elevation.js";
import { snapLines, snapped } from "./snapping.js";
import { strides, thumbs } from "./thumb.js";
import * as states from "./wall-state.js";

/** @typedef {import("./wall-state.js").Place} Place */

const page = need(document, "#wall-page");
const metric = page.dataset.metric === "1";
const { step: STEP, fine: FINE } = strides(metric);
const SNAP_PX = 7;
const SETTLES_MS = 600;

let state = states.AT_REST;

const sheet = () => need(document, "#wall-sheet");
const svg = () => need(sheet(), "svg.elevation", SVGSVGElement);
const pieces = () => all(svg(), ".piece[tabindex]", SVGElement);
const piece = (/** @type {string} */ id) => pieces().find((node) => node.dataset.id === id);

/**
 * Do something once nothing else was to be done for so long.
 * @param {() => void} act
 * @param {number} wait [ms]
 */
function settling(act, wait) {
  let timer = 0;
  const stop = () => clearTimeout(timer);
  return {
    stop,
    start: () => {
      stop();
      timer = setTimeout(act, wait);
    },
  };
}

/**
 * A length that a tape can read: to the eighth of an inch, or the millimetre.
 * @param {number} mm
 */
const tidy = (mm) => Math.round(mm / FINE) * FINE;

/**
 * Take on a state, and show whose piece is in the hand.
 * @param {import("./wall-state.js").WallState} next
 */
function become(next) {
  const was = state.hand;
  state = next;
  if (was && was.lift !== state.hand?.lift) {
    find(svg(), ".snap", SVGElement)?.remove();
    piece(was.id)?.classList.remove("held");
    settle.stop();
  }
  page.classList.toggle("moving", state.hand !== null);
  if (state.hand) piece(state.hand.id)?.classList.add("held");
}

/** @param {{ x?: number, y?: number }} at */
function drawSnap(at) {
  const root = svg();
  find(root, ".snap", SVGElement)?.remove();
  if (at.x === undefined && at.y === undefined) return;
  const { length, height } = sizeOf(root);
  const [low, high] = [drawnAt(root, 0, 0), drawnAt(root, length, height)];
  const on = drawnAt(root, at.x ?? 0, at.y ?? 0);
  const up = at.x === undefined ? "" : `M${on.x} ${low.y}V${high.y}`;
  const across = at.y === undefined ? "" : `M${low.x} ${on.y}H${high.x}`;
  root.append(make("path", { class: "snap", d: up + across }));
}

/** @param {SVGElement} node */
function lift(node) {
  become(states.lifted(state, node.dataset.id ?? "", boxOf(node)));
}

/** @param {Place} at */
function carry(at) {
  become(states.carried(state, at));
  showHand();
  tryPlace();
}

function showHand() {
  const node = state.hand && piece(state.hand.id);
  if (state.hand && node) show(node, state.hand.at);
}

/**
 * Show a piece there, wherever it was drawn.
 * @param {SVGElement} node
 * @param {Place} at
 */
function show(node, at) {
  const drawn = boxOf(node);
  const [was, is] = [drawnAt(svg(), drawn.left, drawn.bottom), drawnAt(svg(), at.left, at.bottom)];
  node.setAttribute("transform", `translate(${is.x - was.x} ${is.y - was.y})`);
}

/** Ask how the wall reads with the piece here: one question at a time, the newest place wins. */
async function tryPlace() {
  for (let now = states.toAsk(state); now; now = states.toAsk(state)) {
    become(states.trying(state));
    const text = await answerFor(now).catch(() => null);
    if (text && state.hand?.id === now.id) showAround(text);
    become(states.tried(state, text !== null));
  }
}

/**
 * How the wall reads with a piece there: a page's text, empty where the server refused.
 * @param {import("./wall-state.js").Put} put
 */
async function answerFor({ id, at }) {
  const answer = await fetch(page.dataset.try ?? "", {
    method: "POST",
    body: new URLSearchParams({ artwork: id, left_mm: String(at.left), bottom_mm: String(at.bottom) }),
    headers: { "X-CSRFToken": csrfToken(), "HX-Request": "true" },
  });
  return answer.ok ? answer.text() : "";
}

/** @param {string} text */
function showAround(text) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const root = svg();
  for (const old of all(root, ":scope > .strings, :scope > .flags", SVGElement)) old.remove();
  for (const part of fresh.querySelectorAll("#wall-sheet svg.elevation > :is(.strings, .flags)")) {
    root.append(document.importNode(part, true));
  }
  for (const id of ["wall-findings", "this-piece"]) {
    const old = document.getElementById(id);
    const part = fresh.getElementById(id);
    if (old && part) old.replaceChildren(...[...part.childNodes].map((node) => document.importNode(node, true)));
  }
  readOut(fresh);
}

/**
 * The measures in large numbers, for a hand that covers what it moves.
 * @param {Document} fresh
 */
function readOut(fresh) {
  const words = ["left", "bottom", "above"].flatMap((name) => {
    const box = fresh.querySelector(`input#m-${name}`);
    const label = fresh.querySelector(`label[for="m-${name}"]`);
    return box && label ? [`${label.textContent} ${box.getAttribute("value")}`] : [];
  });
  const line = find(document, "#readout");
  if (line) line.textContent = words.join(" · ");
}

function drop() {
  become(states.putDown(state));
  store();
}

/** Store what was put down, one piece after the other, each on the wall that the answer before it drew. */
async function store() {
  for (let sent = states.toStore(state); sent; sent = states.toStore(state)) {
    become(states.storing(state));
    const { id, at } = sent;
    const values = () => ({ artwork: id, left_mm: at.left, bottom_mm: at.bottom, version: sheet().dataset.version, ...takeBack() });
    if (await drawAnew("POST", page.dataset.edit ?? "", id, values)) become(states.stored(state, sent));
    else giveUp();
  }
}

/** What is not stored goes back to where it was drawn. */
function giveUp() {
  become(states.givenUp(state));
  for (const node of all(svg(), ".piece[transform]", SVGElement)) node.removeAttribute("transform");
}

/**
 * Ask for the sheet anew, with the focus on a piece; whether it came without an objection.
 * @param {string} verb
 * @param {string} address
 * @param {string | null} [focus]
 * @param {() => object} [values]
 */
async function drawAnew(verb, address, focus = null, values = () => ({})) {
  /** @type {HTMLElement | null} */
  let before = null;
  await ask(verb, address, "#wall-sheet", () => {
    before = sheet();
    become(states.focusing(state, focus));
    return values();
  });
  return sheet() !== before && !find(sheet(), ".note[role=alert]");
}

/** The reader has been told that a change takes the plan back from the principal. */
const takeBack = () => (sheet().dataset.takeBack ? { take_back: "1" } : {});

/** @param {string} id */
function choose(id) {
  drawAnew("GET", `${page.dataset.page}?piece=${id}`, id);
}

// The hand -----------------------------------------------------------------------------------------------------------

/** What a hand that is at `id` may snap to. @param {string} id */
function linesBeside(id) {
  const root = svg();
  const hung = pieces().filter((node) => node.dataset.id !== id);
  const guides = all(root, ".guide", SVGElement).map((node) => ({ box: boxOfItem(node), layer: node.dataset.layer ?? "" }));
  return snapLines(sizeOf(root).length, hung.map(boxOf), all(root, ".item", SVGElement).map(boxOfItem), guides);
}

keepsStill(page, ".piece[tabindex]");
carries(page, ".piece[tabindex]", {
  take(node) {
    if (state.hand || !(node instanceof SVGElement)) return null;
    node.focus();
    lift(node);
    const { hand } = /** @type {{ hand: import("./wall-state.js").Hand | null }} */ (state);
    return hand && { ...hand, node, size: boxOf(node), lines: linesBeside(hand.id), perPixel: mmPerPixel(svg()) };
  },
  carry(held, event, way) {
    if (held.lift !== state.hand?.lift) return;
    const { from, size, lines, perPixel } = held;
    const left = from.left + way.across * perPixel;
    const bottom = from.bottom - way.down * perPixel;
    /** @type {import("./snapping.js").Snap} */
    const at = event.altKey ? { left, bottom } : snapped(left, bottom, size, lines, SNAP_PX * perPixel);
    carry({ left: at.x === undefined ? tidy(at.left) : at.left, bottom: at.y === undefined ? tidy(at.bottom) : at.bottom });
    drawSnap(at);
  },
  put(held, _event, moved) {
    if (held.lift !== state.hand?.lift) return;
    drop();
    if (!moved && !piece(held.id)?.classList.contains("selected")) choose(held.id);
  },
  drop: putBack,
});

function putBack() {
  if (!state.hand) return;
  const { id, from } = state.hand;
  const node = piece(id);
  become(states.letGo(state));
  if (node) show(node, from);
  choose(id);
}

// The thumb ----------------------------------------------------------------------------------------------------------

const ready = thumbs(page, metric, {
  move(across, up) {
    const node = find(svg(), ".piece.selected[tabindex]", SVGElement);
    if (node) move(node, across, up);
  },
  redraw,
});

// What is not yet put down needs no answer to be undone.
page.addEventListener("click", (event) => {
  if (!state.hand || !around(event, "[data-undo]")) return;
  event.stopPropagation();
  putBack();
}, true);

page.addEventListener("click", (event) => {
  const flag = around(event, ".flag[data-flag]", SVGElement);
  if (flag) find(document, `#finding-${flag.dataset.flag}`)?.scrollIntoView({ block: "center" });
});

/** The same wall, drawn for the window as it is now, with the piece that is the chosen one by then. */
function redraw() {
  const query = new URLSearchParams(location.search);
  query.delete("piece");
  drawAnew("GET", `${page.dataset.page}?${query}`, null, () => ({ piece: sheet().dataset.selected ?? "" }));
}

const resized = settling(() => {
  if (!state.hand && misfits(svg())) redraw();
}, 300);
addEventListener("resize", resized.start);

// Keys ---------------------------------------------------------------------------------------------------------------

const settle = settling(drop, SETTLES_MS);

page.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && state.hand) return putBack();
  const node = around(event, ".piece[tabindex]", SVGElement);
  if (!node) return undefined;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    return choose(node.dataset.id ?? "");
  }
  const way = arrow(event);
  if (!way) return undefined;
  event.preventDefault();
  const stride = event.shiftKey ? FINE : STEP;
  return move(node, way[0] * stride, way[1] * stride);
});

/**
 * A step, in millimetres; the piece is put down when no other follows.
 * @param {SVGElement} node
 * @param {number} across
 * @param {number} up
 */
function move(node, across, up) {
  if (state.hand?.id !== node.dataset.id) {
    drop();
    lift(node);
  }
  if (!state.hand) return;
  const { left, bottom } = state.hand.at;
  carry({ left: left + across, bottom: bottom + up });
  settle.start();
}

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || around(event, "input, textarea")) return;
  event.preventDefault();
  find(document, event.shiftKey ? "[data-redo]:enabled" : "[data-undo]:enabled")?.click();
});

// After every answer -------------------------------------------------------------------------------------------------

const layers = new Map();

document.addEventListener("htmx:beforeSwap", () => {
  for (const box of all(page, ".layers input", HTMLInputElement)) layers.set(box.id, box.checked);
});
document.addEventListener("htmx:afterSwap", () => {
  for (const { id, at } of state.put) {
    const node = piece(id);
    if (node) show(node, at);
  }
  if (!state.hand) return;
  if (!piece(state.hand.id)) return become(states.letGo(state));
  become(state);
  if (state.hand.moved) showHand();
});
document.addEventListener("htmx:afterSettle", () => {
  for (const box of all(page, ".layers input", HTMLInputElement)) box.checked = layers.get(box.id) ?? box.checked;
  ready();
  if (state.focus) {
    piece(state.focus)?.focus({ preventScroll: true });
    become(states.focusing(state, null));
  }
  sayStatus(sheet());
});

/**
 * A flag and its sentence point at each other.
 * @param {"pointerover" | "pointerout"} over
 * @param {boolean} on
 */
function pointing(over, on) {
  page.addEventListener(over, (event) => {
    const at = around(event, "[data-flag]", Element);
    const flag = at instanceof HTMLElement || at instanceof SVGElement ? at.dataset.flag : undefined;
    if (!flag) return;
    for (const node of page.querySelectorAll(`[data-flag="${CSS.escape(flag)}"]`)) node.classList.toggle("pointed", on);
  });
}
pointing("pointerover", true);
pointing("pointerout", false);

if (misfits(svg())) redraw();
