// What is under a finger on a drawing, larger, beside it.

import { inDrawing, make, unitsPerPixel } from "./elevation.js";

const REACH_PX = 24;
const ARM_PX = 6;

/**
 * Show in `glass` what of the drawing is under the finger.
 * @param {HTMLElement} glass
 * @param {SVGGraphicsElement} svg
 * @param {PointerEvent} event
 */
export function magnify(glass, svg, event) {
  if (event.pointerType !== "touch") return;
  const px = unitsPerPixel(svg);
  const { x, y } = inDrawing(svg, event);
  const [reach, arm] = [REACH_PX * px, ARM_PX * px];
  const view = make("svg", { class: "elevation", viewBox: `${x - reach} ${y - reach} ${2 * reach} ${2 * reach}` });
  for (const part of svg.children) {
    if (part.matches("title, desc")) continue;
    const copy = /** @type {Element} */ (part.cloneNode(true));
    for (const node of [copy, ...copy.querySelectorAll("[id]")]) node.removeAttribute("id");
    view.append(copy);
  }
  view.append(make("path", { class: "cross", d: `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}` }));
  glass.replaceChildren(view);
  glass.hidden = false;
  const box = svg.getBoundingClientRect();
  glass.classList.toggle("right", event.clientX < box.left + box.width / 2);
}

/** @param {HTMLElement} glass */
export function putAway(glass) {
  glass.hidden = true;
  glass.replaceChildren();
}
