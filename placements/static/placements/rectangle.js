// A rectangle on the wall, drawn by finger or mouse from corner to corner, then mended at its corners or moved; it fills
// in the form's numbers, and goes where they are typed instead. A touch that stays put on a thing chooses that thing.

import { ask, say } from "../studio/base.js";
import { carries } from "../studio/hand.js";
import { length as set } from "../studio/lengths.js";
import { drawnAt, make, mmPerPixel, onWall } from "./elevation.js";
import { magnify, putAway } from "./loupe.js";

const GRIP_PX = 22.5; // half of 44 and a little
const NEAR_PX = 7;
const CORNERS = [["left", "bottom"], ["left", "top"], ["right", "bottom"], ["right", "top"]];

let frame = null; // { box, before }: what stands drawn, and what the form said before it

export const survey = () => document.getElementById("survey");
export const svg = () => survey()?.querySelector("svg.elevation");
export const input = (name) => document.querySelector(`#item-form [name=${name}]`);
const glass = () => document.getElementById("loupe");

const step = () => (survey().dataset.metric === "1" ? 10 : 12.7);
const rounded = (mm) => Math.round(mm / step()) * step();
const clamp = (value, most) => Math.min(Math.max(value, 0), most);
const size = () => ({ length: Number(svg().dataset.length), height: Number(svg().dataset.height) });

function typed(mm) {
  const unit = survey().dataset.unit;
  if (unit === "mm") return `${Math.round(mm)} mm`;
  if (unit === "cm") return `${Number((mm / 10).toFixed(1))} cm`;
  return `${Number((mm / 25.4).toFixed(3))}"`;
}

/** A length as one reads it off a tape. */
const read = (mm) => set(mm, survey().dataset.style);

/** Where an edge goes: to a near edge of the wall or of a thing on it, else to the next half inch or centimetre. */
function settled(mm, axis) {
  const reach = NEAR_PX * mmPerPixel(svg());
  const { length, height } = size();
  const lines = axis === "x" ? [0, length] : [0, height];
  for (const node of svg().querySelectorAll(".item:not(.chosen)")) {
    const [left, bottom, width, high] = JSON.parse(node.dataset.box);
    lines.push(...(axis === "x" ? [left, left + width] : [bottom, bottom + high]));
  }
  const near = lines.reduce((best, line) => (Math.abs(line - mm) < Math.abs(best - mm) ? line : best), Infinity);
  return clamp(Math.abs(near - mm) <= reach ? near : rounded(mm), axis === "x" ? length : height);
}

function spanned(a, b) {
  const [left, right] = [a.x, b.x].sort((p, q) => p - q).map((x) => settled(x, "x"));
  const [bottom, top] = [a.y, b.y].sort((p, q) => p - q).map((y) => settled(y, "y"));
  return { left, bottom, width: right - left, height: top - bottom };
}

function show(box) {
  const root = svg();
  root?.querySelector(".frame")?.remove();
  if (!root || !box) return;
  const px = 1 / root.getScreenCTM().a;
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

/** The rectangle's numbers, large, while the hand covers it. */
function tell(box) {
  const told = document.getElementById("drawn-numbers");
  told.textContent = box ? `${read(box.width)} × ${read(box.height)} · ${read(box.left)} from left · ${read(box.bottom)} up` : "";
}

function fill(box) {
  for (const [name, mm] of Object.entries(box)) input(name).value = typed(mm);
}

function nearestCorner(event) {
  let best = null;
  for (const grip of svg().querySelectorAll(".grip")) {
    const box = grip.getBoundingClientRect();
    const off = Math.hypot(event.clientX - box.x - box.width / 2, event.clientY - box.y - box.height / 2);
    if (off <= GRIP_PX + 2 && (!best || off < best.off)) best = { off, corner: grip.dataset.corner.split(" ") };
  }
  return best?.corner;
}

const inside = (at, box) => box && at.x > box.left && at.x < box.left + box.width && at.y > box.bottom && at.y < box.bottom + box.height;

carries(document, ".drawn-on svg", {
  slack: 6,
  take(root, event) {
    const start = onWall(root, event);
    const { length, height } = size();
    const corner = frame && nearestCorner(event);
    const beside = start.x < 0 || start.y < 0 || start.x > length || start.y > height;
    if (beside && !corner) return null;
    const how = corner ? "corner" : inside(start, frame?.box) ? "move" : "draw";
    return { how, start, corner, item: event.target.closest(".item")?.dataset.id, from: frame?.box };
  },
  carry(held, event) {
    held.box = reshaped(held, onWall(svg(), event));
    show(held.box);
    tell(held.box);
    magnify(glass(), svg(), event);
  },
  put({ box, item, how }, event, moved) {
    tell(null);
    putAway(glass());
    if (!moved) {
      if (item) ask("GET", `${survey().dataset.page}?item=${item}`, "#survey");
      return;
    }
    if (box.width < 10 || box.height < 10) return void show(frame?.box);
    frame = { box, before: frame?.before ?? values() };
    fill(box);
    document.querySelector("[data-drop]").hidden = false;
    if (how === "draw") say("Drawn. Mend it at its corners or by its numbers, say what it is, and store it.", 4);
  },
  drop() {
    tell(null);
    putAway(glass());
    show(frame?.box);
  },
});

/** What becomes of the rectangle with the pointer there on the wall. */
function reshaped({ how, start, corner, from }, now) {
  if (how === "draw") return spanned(start, now);
  if (how === "move") {
    const left = settled(from.left + now.x - start.x, "x");
    const bottom = settled(from.bottom + now.y - start.y, "y");
    const { length, height } = size();
    return { ...from, left: clamp(left, length - from.width), bottom: clamp(bottom, height - from.height) };
  }
  const [right, top] = [from.left + from.width, from.bottom + from.height];
  const fixed = { x: corner[0] === "left" ? right : from.left, y: corner[1] === "bottom" ? top : from.bottom };
  const held = { x: corner[0] === "left" ? from.left : right, y: corner[1] === "bottom" ? from.bottom : top };
  return spanned(fixed, { x: held.x + now.x - start.x, y: held.y + now.y - start.y });
}

// Typed numbers stand by themselves.
document.addEventListener("input", (event) => {
  if (!frame || !event.target.matches("#item-form [data-measure]:not([name=depth])")) return;
  frame = null;
  show(null);
  document.querySelector("[data-drop]").hidden = true;
});

const values = () => Object.fromEntries(["left", "bottom", "width", "height"].map((name) => [name, input(name).value]));

document.addEventListener("click", (event) => {
  const drop = event.target.closest("[data-drop]");
  if (!drop) return;
  for (const [name, value] of Object.entries(frame?.before ?? {})) input(name).value = value;
  chosenAgain();
  drop.hidden = true;
});

/** A chosen thing can be taken by its corners at once. */
function chosenFrame() {
  const chosen = svg()?.querySelector(".item.chosen");
  if (!chosen) return null;
  const [left, bottom, width, height] = JSON.parse(chosen.dataset.box);
  return { box: { left, bottom, width, height }, before: values() };
}

/** After an answer, what is chosen stands with its corners. */
export function chosenAgain() {
  frame = chosenFrame();
  show(frame?.box);
}
