// Drawn walls: between the screen's pixels and the wall's millimetres, and what is drawn onto them.

const SVG = "http://www.w3.org/2000/svg";
const number = (svg, name) => Number(svg.dataset[name]);

/** How many millimetres of wall a pixel of the screen shows, whatever the drawing was scaled by. */
export function mmPerPixel(svg) {
  return 1 / (svg.getScreenCTM().a * number(svg, "scale"));
}

/** Where a pointer is in the drawing's own units. */
export function inDrawing(svg, event) {
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
}

/** The place on the wall under a pointer: x from the left end, y from the floor [mm]. */
export function onWall(svg, event) {
  const at = inDrawing(svg, event);
  return {
    x: (at.x - number(svg, "originX")) / number(svg, "scale"),
    y: (number(svg, "originY") - at.y) / number(svg, "scale"),
  };
}

/** Where a place on the wall [mm] is in the drawing's own units. */
export function drawnAt(svg, x, y) {
  return { x: number(svg, "originX") + x * number(svg, "scale"), y: number(svg, "originY") - y * number(svg, "scale") };
}

/** Whether the drawing was made for another window than this, so that its lettering comes out too small or too large. */
export function misfits(svg) {
  if (svg.closest(".enlarged")) return !matchMedia("(max-width: 47.99rem)").matches;
  const shrunk = svg.getScreenCTM().a;
  return shrunk < 0.8 || (svg.classList.contains("hand") && shrunk > 1.6);
}

/** An element of a drawing. */
export function make(name, attributes) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}
