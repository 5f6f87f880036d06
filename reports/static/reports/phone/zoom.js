// A drawing that two fingers, or two buttons, make larger.

import { button, h } from "./parts.js";

/** @typedef {{ x: number, y: number, wide: number, high: number }} Frame what of a drawing is shown, in its own units */

/** The most that a drawing is enlarged. */
const MOST = 8;

/**
 * What is shown once the drawing is enlarged `by` so much about a place that stays where it is.
 * @param {Frame} shown
 * @param {Frame} whole
 * @param {number} by more than 1 enlarges
 * @param {{ x: number, y: number }} about as shares of what is shown, 0 to 1
 * @returns {Frame}
 */
export function enlarged(shown, whole, by, about) {
  const wide = Math.min(whole.wide, Math.max(whole.wide / MOST, shown.wide / by));
  const high = (wide * whole.high) / whole.wide;
  return inside({ x: shown.x + (shown.wide - wide) * about.x, y: shown.y + (shown.high - high) * about.y, wide, high }, whole);
}

/**
 * What is shown once it is pushed by shares of what is shown.
 * @param {Frame} shown
 * @param {Frame} whole
 * @param {{ x: number, y: number }} by
 * @returns {Frame}
 */
export const pushed = (shown, whole, by) => inside({ ...shown, x: shown.x - by.x * shown.wide, y: shown.y - by.y * shown.high }, whole);

/**
 * @param {Frame} shown
 * @param {Frame} whole
 * @returns {Frame}
 */
function inside(shown, whole) {
  const within = (/** @type {number} */ at, /** @type {number} */ low, /** @type {number} */ high) => Math.max(low, Math.min(high, at));
  return {
    ...shown,
    x: within(shown.x, whole.x, whole.x + whole.wide - shown.wide),
    y: within(shown.y, whole.y, whole.y + whole.high - shown.high),
  };
}

/**
 * A drawing of the office as a part of the page, as wide as its place.
 * @param {string} drawing
 */
export function asSvg(drawing) {
  const made = document.importNode(new DOMParser().parseFromString(drawing, "image/svg+xml").documentElement, true);
  made.removeAttribute("width");
  made.removeAttribute("height");
  return made;
}

/**
 * A figure whose drawing two fingers enlarge; one finger scrolls the page, and moves the drawing while it is enlarged.
 * @param {Element} svg
 */
export function zooming(svg) {
  const [x, y, wide, high] = (svg.getAttribute("viewBox") ?? "0 0 1 1").split(/[ ,]+/).map(Number);
  const whole = { x, y, wide, high };
  let shown = whole;
  /** @type {Map<number, { x: number, y: number }>} */
  const fingers = new Map();
  const back = button("Whole wall", "small", () => show(whole), { hidden: true });
  const bigger = button("Enlarge", "small", () => show(enlarged(shown, whole, 2, { x: 0.5, y: 0.5 })));
  const figure = h("figure", { class: "drawing" }, svg, h("p", { class: "ways" }, bigger, back));

  /** @param {Frame} next */
  function show(next) {
    shown = next;
    const large = shown.wide < whole.wide;
    svg.setAttribute("viewBox", `${shown.x} ${shown.y} ${shown.wide} ${shown.high}`);
    svg.classList.toggle("large", large);
    back.hidden = !large;
  }
  /** @param {PointerEvent} event */
  const at = (event) => {
    const box = svg.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };
  const spread = () => {
    const [one, other] = [...fingers.values()];
    return { apart: Math.hypot(one.x - other.x, one.y - other.y), middle: { x: (one.x + other.x) / 2, y: (one.y + other.y) / 2 } };
  };
  /** @param {PointerEvent} event */
  function move(event) {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const now = at(event);
    if (fingers.size === 1) {
      if (shown.wide < whole.wide) show(pushed(shown, whole, { x: now.x - before.x, y: now.y - before.y }));
    } else {
      const { apart, middle } = spread();
      fingers.set(event.pointerId, now);
      const after = spread();
      const held = pushed(shown, whole, { x: after.middle.x - middle.x, y: after.middle.y - middle.y });
      show(enlarged(held, whole, after.apart / Math.max(apart, 0.01), after.middle));
    }
    fingers.set(event.pointerId, now);
  }
  figure.addEventListener("pointerdown", (event) => {
    if (event.target instanceof Node && svg.contains(event.target) && fingers.size < 2) fingers.set(event.pointerId, at(event));
  });
  figure.addEventListener("pointermove", move);
  for (const name of /** @type {const} */ (["pointerup", "pointercancel", "pointerleave"])) {
    figure.addEventListener(name, (event) => { fingers.delete(event.pointerId); });
  }
  return figure;
}
