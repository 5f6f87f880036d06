// A rectangle on the wall, drawn by finger or mouse from corner to corner, then corrected at its corners or moved; it fills
// in the form's numbers, and goes where they are typed instead. A touch that stays put on a thing chooses that thing.

import { ask, say } from "../studio/base.js";
import { all, around, find, need } from "../studio/dom.js";
import { carries } from "../studio/hand.js";
import { length as set } from "../studio/lengths.js";
import { boxOfItem, drawnAt, make, mmPerPixel, onWall, sizeOf, unitsPerPixel } from "./elevation.js";
import { magnify, putAway } from "./loupe.js";
import { nearLine } from "./snapping.js";

/** @typedef {import("./elevation.js").Box} Box */
/** @typedef {import("./elevation.js").Point} Point */
/** @typedef {["left" | "right", "bottom" | "top"]} Corner */

const GRIP_PX = 22.5; // half of 44 and a little
const NEAR_PX = 7;
/** @type {Corner[]} */
const CORNERS = [["left", "bottom"], ["left", "top"], ["right", "bottom"], ["right", "top"]];

/**
 * What is drawn, and what the form said before it.
 * @type {{ box: Box, before: Record<string, string> } | null}
 */
let frame = null;

/** The survey of a wall: a wall that is not stored yet has none. */
export const survey = () => find(document, "#survey");
export const svg = () => find(document, "#survey svg.elevation", SVGSVGElement);
export const input = (/** @type {string} */ name) => need(document, `#item-form [name=${name}]`, HTMLInputElement);
const given = () => need(document, "#survey").dataset;
const drawing = () => need(document, "#survey svg.elevation", SVGSVGElement);
const glass = () => need(document, "#loupe");
const dropButton = () => need(document, "[data-drop]");

const step = () => (given().metric === "1" ? 10 : 12.7);
const rounded = (/** @type {number} */ mm) => Math.round(mm / step()) * step();
const clamp = (/** @type {number} */ value, /** @type {number} */ most) => Math.min(Math.max(value, 0), most);

/**
 * A length [mm] as the form takes it.
 * @param {number} mm
 */
function typed(mm) {
  const unit = given().unit;
  if (unit === "mm") return `${Math.round(mm)} mm`;
  if (unit === "cm") return `${Number((mm / 10).toFixed(1))} cm`;
  return `${Number((mm / 25.4).toFixed(3))}"`;
}

/**
 * A length [mm] as one reads it off a tape.
 * @param {number} mm
 */
const read = (mm) => set(mm, /** @type {import("../studio/lengths.js").Style} */ (given().style));

/**
 * Where an edge goes: to a near edge of the wall or of a thing on it, else to the next half inch or centimetre.
 * @param {number} mm
 * @param {"x" | "y"} axis
 */
function settled(mm, axis) {
  const { length, height } = sizeOf(drawing());
  const most = axis === "x" ? length : height;
  const lines = [0, most];
  for (const box of all(drawing(), ".item:not(.chosen)", SVGElement).map(boxOfItem)) {
    lines.push(...(axis === "x" ? [box.left, box.left + box.width] : [box.bottom, box.bottom + box.height]));
  }
  return clamp(nearLine(mm, lines, NEAR_PX * mmPerPixel(drawing())) ?? rounded(mm), most);
}

/**
 * The rectangle between two opposite corners, each edge settled.
 * @param {Point} a
 * @param {Point} b
 * @returns {Box}
 */
function spanned(a, b) {
  const [left, right] = [a.x, b.x].sort((p, q) => p - q).map((x) => settled(x, "x"));
  const [bottom, top] = [a.y, b.y].sort((p, q) => p - q).map((y) => settled(y, "y"));
  return { left, bottom, width: right - left, height: top - bottom };
}

/** @param {Box | undefined} box */
function show(box) {
  const root = svg();
  if (root) find(root, ".frame", SVGElement)?.remove();
  if (!root || !box) return;
  const px = unitsPerPixel(root);
  const [low, high] = [drawnAt(root, box.left, box.bottom), drawnAt(root, box.left + box.width, box.bottom + box.height)];
  const x = { left: low.x, right: high.x };
  const y = { bottom: low.y, top: high.y };
  const group = make("g", { class: "frame" });
  group.append(make("rect", { class: "drawn", x: x.left, y: y.top, width: x.right - x.left, height: y.bottom - y.top }));
  for (const [across, up] of CORNERS) {
    // A little outside the corner, so that the grips of a small thing stand apart.
    const at = { cx: x[across] + (across === "left" ? -1 : 1) * 8 * px, cy: y[up] + (up === "top" ? -1 : 1) * 8 * px };
    group.append(make("circle", { class: "handle", r: 5 * px, ...at }));
    group.append(make("circle", { class: "grip", r: GRIP_PX * px, "data-corner": `${across} ${up}`, ...at }));
  }
  root.append(group);
}

/**
 * The rectangle's numbers, large, while the hand covers it.
 * @param {Box | null} box
 */
function readOut(box) {
  const words = box ? `${read(box.width)} × ${read(box.height)} · ${read(box.left)} from left · ${read(box.bottom)} above floor` : "";
  need(document, "#drawn-numbers").textContent = words;
}

/** @param {Box} box */
function fill(box) {
  for (const [name, mm] of Object.entries(box)) input(name).value = typed(mm);
}

/**
 * The corner under the hand, if any.
 * @param {PointerEvent} event
 * @returns {Corner | undefined}
 */
function nearestCorner(event) {
  let least = GRIP_PX + 2;
  let corner;
  for (const grip of all(drawing(), ".grip", SVGElement)) {
    const box = grip.getBoundingClientRect();
    const off = Math.hypot(event.clientX - box.x - box.width / 2, event.clientY - box.y - box.height / 2);
    if (off <= least) [least, corner] = [off, grip.dataset.corner?.split(" ")];
  }
  return /** @type {Corner | undefined} */ (corner);
}

/**
 * @param {Point} at
 * @param {Box} box
 */
function inside(at, box) {
  const [across, up] = [at.x - box.left, at.y - box.bottom];
  return across > 0 && across < box.width && up > 0 && up < box.height;
}

/**
 * @typedef {{ how: "draw" } | { how: "move", from: Box } | { how: "corner", from: Box, corner: Corner }} Way what the
 *   hand does with the rectangle
 * @typedef {{ way: Way, start: Point, item?: string, box: Box }} Held
 */

/**
 * @param {Point} start
 * @param {PointerEvent} event
 * @returns {Way}
 */
function wayOf(start, event) {
  const corner = frame && nearestCorner(event);
  if (frame && corner) return { how: "corner", from: frame.box, corner };
  return frame && inside(start, frame.box) ? { how: "move", from: frame.box } : { how: "draw" };
}

carries(document, ".drawn-on svg", {
  slack: 6,
  /** @returns {Held | null} */
  take(_, event) {
    const start = onWall(drawing(), event);
    const { length, height } = sizeOf(drawing());
    const way = wayOf(start, event);
    const beside = start.x < 0 || start.y < 0 || start.x > length || start.y > height;
    if (beside && way.how !== "corner") return null;
    return { way, start, item: around(event, ".item", SVGElement)?.dataset.id, box: { left: 0, bottom: 0, width: 0, height: 0 } };
  },
  carry(held, event) {
    held.box = reshaped(held, onWall(drawing(), event));
    show(held.box);
    readOut(held.box);
    magnify(glass(), drawing(), event);
  },
  put({ box, item, way }, _event, moved) {
    readOut(null);
    putAway(glass());
    if (!moved) {
      if (item) ask("GET", `${given().page}?item=${item}`, "#survey");
      return;
    }
    if (box.width < 10 || box.height < 10) return void show(frame?.box);
    frame = { box, before: frame?.before ?? values() };
    fill(box);
    dropButton().hidden = false;
    if (way.how === "draw") say("Drawn. Adjust its corners or its numbers, choose what it is, then store it.", 4);
  },
  drop() {
    readOut(null);
    putAway(glass());
    show(frame?.box);
  },
});

/**
 * What becomes of the rectangle with the pointer there on the wall.
 * @param {Held} held
 * @param {Point} now
 * @returns {Box}
 */
function reshaped({ way, start }, now) {
  if (way.how === "draw") return spanned(start, now);
  const { from } = way;
  if (way.how === "move") {
    const left = settled(from.left + now.x - start.x, "x");
    const bottom = settled(from.bottom + now.y - start.y, "y");
    const { length, height } = sizeOf(drawing());
    return { ...from, left: clamp(left, length - from.width), bottom: clamp(bottom, height - from.height) };
  }
  const [across, up] = way.corner;
  const [right, top] = [from.left + from.width, from.bottom + from.height];
  const fixed = { x: across === "left" ? right : from.left, y: up === "bottom" ? top : from.bottom };
  const held = { x: across === "left" ? from.left : right, y: up === "bottom" ? from.bottom : top };
  return spanned(fixed, { x: held.x + now.x - start.x, y: held.y + now.y - start.y });
}

// Typed numbers take the rectangle's place.
document.addEventListener("input", (event) => {
  if (!frame || !around(event, "#item-form [data-measure]:not([name=depth])")) return;
  frame = null;
  show(undefined);
  dropButton().hidden = true;
});

const values = () => Object.fromEntries(["left", "bottom", "width", "height"].map((name) => [name, input(name).value]));

document.addEventListener("click", (event) => {
  const drop = around(event, "[data-drop]");
  if (!drop) return;
  for (const [name, value] of Object.entries(frame?.before ?? {})) input(name).value = value;
  chosenAgain();
  drop.hidden = true;
});

/** After an answer, what is chosen is shown with its corners, so that it can be taken by them at once. */
export function chosenAgain() {
  const root = svg();
  const chosen = root && find(root, ".item.chosen", SVGElement);
  frame = chosen ? { box: boxOfItem(chosen), before: values() } : null;
  show(frame?.box);
}
