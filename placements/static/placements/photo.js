// Marking a photograph: choose a mark, drag its corners, draw a rectangle, say where the wall is. The server measures.

import { ask, sayStatus } from "../studio/base.js";
import { all, around, field, find, need } from "../studio/dom.js";
import { arrow, carries } from "../studio/hand.js";
import { inDrawing, make } from "./elevation.js";

/** @typedef {[number, number]} Point a point of the photograph [px] */
/** @typedef {{ mark?: string, form?: HTMLFormElement }} Whose the stored mark, or the tool's form, that has the points */
/**
 * @typedef {Whose & { points: Point[], shape: SVGElement, handles: SVGElement[], cross: SVGElement, radius: number }} Draft
 *   the points in hand, as they are drawn
 */

/** @type {Draft | null} */
let draft = null;
/** @type {{ mark: string, points: Point[] } | null} */
let ahead = null; // where the hand put a mark's corners, until an answer draws them there
/** @type {{ mark?: string, index: number } | null} */
let focused = null; // the corner that has the focus again once it is drawn anew

const photo = () => find(document, "#photo");
const svg = () => need(document, "#photo svg.photo-drawing", SVGSVGElement);
const size = () => svg().viewBox.baseVal;

const within = (/** @type {number} */ value, /** @type {number} */ most) => Math.min(Math.max(value, 0), most);
/**
 * A point of the photograph, kept inside it.
 * @param {Point} point
 * @returns {Point}
 */
const inside = ([x, y]) => [within(x, size().width), within(y, size().height)];

// Handles -------------------------------------------------------------------------------------------------------------

/**
 * @param {Point[]} points
 * @param {Whose} whose
 */
function show(points, whose) {
  clear();
  const layer = make("g", { class: "in-hand" });
  const shape = make(points.length === 2 ? "polyline" : "polygon", { class: "draft", "vector-effect": "non-scaling-stroke" });
  layer.append(shape);
  const radius = Number(svg().dataset.handle) * 1.1;
  const names = points.length === 2 ? ["left corner", "right corner"] : ["top left", "top right", "bottom right", "bottom left"];
  const handles = points.map((_point, index) => {
    const handle = make("circle", {
      class: "handle", r: radius, tabindex: 0, role: "button", "data-index": index,
      "aria-label": `${names[index]}; arrows move it`, "vector-effect": "non-scaling-stroke",
    });
    layer.append(handle);
    return handle;
  });
  const cross = make("path", { class: "cross", "vector-effect": "non-scaling-stroke" });
  layer.append(cross);
  svg().append(layer);
  draft = { points, shape, handles, cross, radius, ...whose };
  placeAll(draft);
}

/** @param {Draft} drawn */
function placeAll({ points, shape, handles, cross, radius, form }) {
  shape.setAttribute("points", points.map((p) => p.join(",")).join(" "));
  handles.forEach((handle, index) => {
    handle.setAttribute("cx", String(points[index][0]));
    handle.setAttribute("cy", String(points[index][1]));
  });
  // Fine lines in the open middle of each handle: the corner itself stays visible.
  const arm = radius * 0.45;
  cross.setAttribute("d", points.map(([x, y]) => `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`).join(""));
  if (form) field(form, "points").value = JSON.stringify(points);
}

function clear() {
  find(document, "#photo .in-hand", SVGElement)?.remove();
  draft = null;
}

/** @type {number | null} */
let later = null;

/**
 * The hand has moved corners of a mark: they are sent so many milliseconds later, or not yet while it carries them.
 * @param {Draft} drawn
 * @param {number | null} [wait]
 */
function changed({ mark, points }, wait = 0) {
  if (!mark) return;
  ahead = { mark, points };
  clearTimeout(later ?? undefined);
  later = wait === null ? null : setTimeout(send, wait);
}

async function send() {
  clearTimeout(later ?? undefined);
  later = null;
  const sent = ahead;
  if (!sent) return;
  const address = need(document, "#photo").dataset.edit ?? "";
  await ask("POST", address, "#photo", () => ({ mark: sent.mark, points: JSON.stringify(sent.points) }));
  if (ahead !== sent) return;
  ahead = null;
  if (draft?.mark === sent.mark) settle(); // where the server has them, be it as before
}

/**
 * The draft, if what was taken hold of is still there, drawn anew or not.
 * @param {Whose} whose
 */
const held = ({ mark, form }) => (draft && draft.mark === mark && draft.form === form ? draft : null);

carries(document, ".handle", {
  slack: 0,
  take(handle, event) {
    if (!draft) return null;
    handle.focus();
    const index = Number(handle.dataset.index);
    const [[x, y], at] = [draft.points[index], inDrawing(svg(), event)];
    return { index, across: x - at.x, down: y - at.y, mark: draft.mark, form: draft.form };
  },
  carry(grip, event) {
    const drawn = held(grip);
    if (!drawn) return;
    const { x, y } = inDrawing(svg(), event);
    drawn.points[grip.index] = inside([x + grip.across, y + grip.down]);
    placeAll(drawn);
    changed(drawn, null);
  },
  put(grip, _event, moved) {
    const drawn = held(grip);
    if (moved && drawn) changed(drawn);
  },
});

document.addEventListener("keydown", (event) => {
  const handle = around(event, ".handle", SVGElement);
  const way = arrow(event);
  if (!handle || !way || !draft) return;
  event.preventDefault();
  const step = event.shiftKey ? 1 : 5;
  const index = Number(handle.dataset.index);
  const [x, y] = draft.points[index];
  draft.points[index] = inside([x + way[0] * step, y - way[1] * step]);
  placeAll(draft);
  changed(draft, 900);
});

// Choosing a mark -----------------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const mark = around(event, "a.mark", SVGElement);
  if (!mark) return;
  event.preventDefault();
  if (later) send();
  ask("GET", `${location.pathname}${mark.getAttribute("href")}`, "#photo");
});

// Tools: one open at a time, each with its points in the photograph -----------------------------------------------------

/**
 * @param {HTMLDetailsElement} tool
 * @returns {Point[]}
 */
function start(tool) {
  const { width, height } = size();
  if (tool.dataset.start) return JSON.parse(tool.dataset.start);
  if (tool.dataset.draft === "line") return [[width * 0.06, height * 0.9], [width * 0.94, height * 0.9]];
  const [left, right, top, bottom] = [0.4 * width, 0.6 * width, 0.4 * height, 0.6 * height];
  return [[left, top], [right, top], [right, bottom], [left, bottom]];
}

/** @param {HTMLDetailsElement} tool */
function begin(tool) {
  const form = all(tool, "form", HTMLFormElement).find((each) => each.elements.namedItem("points"));
  if (form) show(start(tool), { form });
}

document.addEventListener("toggle", (event) => {
  const tool = event.target;
  if (!(tool instanceof HTMLDetailsElement && tool.matches(".tool[data-draft]"))) return;
  if (!tool.open) {
    if (draft?.form && tool.contains(draft.form)) settle();
    return;
  }
  for (const other of all(document, "#photo .tool[open]", HTMLDetailsElement)) if (other !== tool) other.open = false;
  begin(tool);
}, true);

/** What is in hand when nothing is being drawn: the chosen mark's corners. */
function settle() {
  keepFocus();
  clear();
  const chosen = find(document, "#photo .photo-drawing .mark.chosen", SVGElement);
  if (!chosen) return;
  const { mark, corners } = chosen.dataset;
  show(ahead && ahead.mark === mark ? ahead.points : JSON.parse(corners ?? "[]"), { mark });
  const again = focused?.mark === mark ? focused?.index : undefined;
  if (again !== undefined) /** @type {Draft | null} */ (draft)?.handles[again]?.focus({ preventScroll: true });
  focused = null;
}

// Which work only matters for a work ------------------------------------------------------------------------------------

function kinds() {
  for (const form of all(document, "form[data-kinds]", HTMLFormElement)) {
    const part = find(form, "[data-for-work]");
    if (part) part.hidden = new FormData(form).get("kind") !== "work";
  }
}
document.addEventListener("change", (event) => {
  if (around(event, "[name=kind]")) kinds();
});

document.addEventListener("input", (event) => {
  const slider = around(event, "[data-slider]");
  if (slider && event.target instanceof HTMLInputElement) slider.style.setProperty("--shown", `${event.target.value}%`);
});

function ready() {
  kinds();
  const open = find(document, "#photo .tool[data-draft][open]", HTMLDetailsElement);
  if (open) begin(open);
  else settle();
}

function keepFocus() {
  const index = draft?.handles.findIndex((handle) => handle === document.activeElement) ?? -1;
  if (draft && index >= 0) focused = { mark: draft.mark, index };
}

document.addEventListener("htmx:beforeSwap", () => {
  keepFocus();
  draft = null;
});
document.addEventListener("htmx:afterSettle", () => {
  ready();
  sayStatus(photo());
});
ready();
