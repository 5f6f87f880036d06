// Drawn walls: between the screen's pixels and the wall's millimetres, and what is drawn onto them.

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{ x: number, y: number }} Point */
/** @typedef {{ left: number, bottom: number, width: number, height: number }} Box a rectangle on the wall [mm] */

/**
 * @param {SVGElement} svg
 * @param {string} name
 */
const number = (svg, name) => Number(svg.dataset[name]);

/**
 * Between the drawing's own units and the screen's pixels.
 * @param {SVGGraphicsElement} svg
 */
function onScreen(svg) {
  const matrix = svg.getScreenCTM();
  if (!matrix) throw new Error("the drawing is not shown");
  return matrix;
}

/**
 * How many units of the drawing a pixel of the screen shows.
 * @param {SVGGraphicsElement} svg
 */
export const unitsPerPixel = (svg) => 1 / onScreen(svg).a;

/**
 * How many millimetres of wall a pixel of the screen shows, whatever the drawing was scaled by.
 * @param {SVGGraphicsElement} svg
 */
export const mmPerPixel = (svg) => unitsPerPixel(svg) / number(svg, "scale");

/**
 * The size of a drawn wall [mm].
 * @param {SVGElement} svg
 */
export const sizeOf = (svg) => ({ length: number(svg, "length"), height: number(svg, "height") });

/**
 * The box of a drawn piece.
 * @param {SVGElement} node
 * @returns {Box}
 */
export const boxOf = (node) => ({
  left: number(node, "left"),
  bottom: number(node, "bottom"),
  width: number(node, "width"),
  height: number(node, "height"),
});

/**
 * The box of a drawn item or guide.
 * @param {SVGElement} node
 * @returns {Box}
 */
export function boxOfItem(node) {
  const [left, bottom, width, height] = JSON.parse(node.dataset.box ?? "[]").map(Number);
  return { left, bottom, width, height };
}

/**
 * Where a pointer is in the drawing's own units.
 * @param {SVGGraphicsElement} svg
 * @param {MouseEvent} event
 */
export function inDrawing(svg, event) {
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(onScreen(svg).inverse());
}

/**
 * The place on the wall under a pointer: x from the left end, y from the floor [mm].
 * @param {SVGGraphicsElement} svg
 * @param {MouseEvent} event
 * @returns {Point}
 */
export function onWall(svg, event) {
  const at = inDrawing(svg, event);
  return {
    x: (at.x - number(svg, "originX")) / number(svg, "scale"),
    y: (number(svg, "originY") - at.y) / number(svg, "scale"),
  };
}

/**
 * Where a place on the wall [mm] is in the drawing's own units.
 * @param {SVGElement} svg
 * @param {number} x
 * @param {number} y
 * @returns {Point}
 */
export function drawnAt(svg, x, y) {
  return { x: number(svg, "originX") + x * number(svg, "scale"), y: number(svg, "originY") - y * number(svg, "scale") };
}

/**
 * Whether the drawing was made for another window than this, so that its lettering comes out too small or too large.
 * @param {SVGGraphicsElement} svg
 */
export function misfits(svg) {
  if (svg.closest(".enlarged")) return !matchMedia("(max-width: 47.99rem)").matches;
  const shrunk = onScreen(svg).a;
  return shrunk < 0.8 || (svg.classList.contains("hand") && shrunk > 1.6);
}

/**
 * An element of a drawing.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, string | number>} attributes
 */
export function make(name, attributes) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  return /** @type {SVGElementTagNameMap[K]} */ (node);
}
