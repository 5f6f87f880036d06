// A box that is signed with a finger: strokes as points in a box of 1000 by 400, whatever the screen.

import { h } from "./parts.js";

/** @typedef {[number, number][][]} Strokes */

const [WIDE, HIGH] = [1000, 400];
/** Points nearer than this to the one before say nothing more. */
const NEAR = 6;
/** The office takes so many points. */
const MOST_POINTS = 6000;

/**
 * Where a finger is in the box, in whole numbers.
 * @param {{ clientX: number, clientY: number }} event
 * @param {{ left: number, top: number, width: number, height: number }} box on the screen
 * @returns {[number, number]}
 */
export function within({ clientX, clientY }, { left, top, width, height }) {
  const share = (/** @type {number} */ at, /** @type {number} */ of, /** @type {number} */ most) =>
    Math.max(0, Math.min(most, Math.round((at / of) * most)));
  return [share(clientX - left, width, WIDE), share(clientY - top, height, HIGH)];
}

/**
 * The strokes with one more point at the end of the last, unless it says nothing more.
 * @param {Strokes} strokes
 * @param {[number, number]} point
 * @returns {Strokes}
 */
export function drawnOn(strokes, point) {
  const last = strokes.at(-1)?.at(-1);
  const points = strokes.reduce((sum, stroke) => sum + stroke.length, 0);
  if (!last || points >= MOST_POINTS || Math.hypot(point[0] - last[0], point[1] - last[1]) < NEAR) return strokes;
  return [...strokes.slice(0, -1), [...strokes[strokes.length - 1], point]];
}

/**
 * Strokes as the data of an SVG path; a dot is a line of no length, which a round pen draws.
 * @param {Strokes} strokes
 */
export function pathOf(strokes) {
  const line = (/** @type {[number, number][]} */ stroke) => (stroke.length > 1 ? stroke : [...stroke, ...stroke]);
  return strokes.map((stroke) => `M${line(stroke).map(([x, y]) => `${x} ${y}`).join("L")}`).join("");
}

/**
 * The strokes that a field keeps; none where it keeps none.
 * @param {string} kept
 * @returns {Strokes}
 */
export const strokesIn = (kept) => (kept ? JSON.parse(kept) : []);

/**
 * The box and its hidden field `strokes`, which a draft keeps like any other.
 */
export function signaturePad() {
  const field = h("input", { type: "hidden", name: "strokes" });
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  const named = { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", "aria-label": "Box for the signature" };
  for (const [name, value] of Object.entries(named)) svg.setAttribute(name, value);
  svg.append(path);
  const draw = () => path.setAttribute("d", pathOf(strokesIn(field.value)));
  const keep = (/** @type {Strokes} */ strokes) => {
    field.value = strokes.length ? JSON.stringify(strokes) : "";
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  let down = false;
  svg.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    down = true;
    svg.setPointerCapture(event.pointerId);
    keep([...strokesIn(field.value), [within(event, svg.getBoundingClientRect())]]);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!down) return;
    const strokes = strokesIn(field.value);
    const more = drawnOn(strokes, within(event, svg.getBoundingClientRect()));
    if (more !== strokes) keep(more);
  });
  for (const name of ["pointerup", "pointercancel"]) svg.addEventListener(name, () => { down = false; });
  field.addEventListener("input", draw);
  const clear = h("button", { type: "button", class: "small", onclick: () => keep([]) }, "Clear the box");
  return h("div", { class: "signing" }, svg, field, clear);
}
