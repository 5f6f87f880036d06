// Marking a photograph: choose a mark, drag its corners, draw a rectangle, say where the wall is. The server measures.

import { sayStatus } from "../studio/base.js";
import { arrow, carries } from "../studio/hand.js";
import { inDrawing, make } from "./elevation.js";

let draft = null; // { points, form, mark }

const photo = () => document.getElementById("photo");
const svg = () => photo()?.querySelector("svg.photo-drawing");
const size = () => svg().viewBox.baseVal;

const within = (value, most) => Math.min(Math.max(value, 0), most);
/** A point of the photograph, kept inside it [px]. */
const inside = ([x, y]) => [within(x, size().width), within(y, size().height)];

// Handles -------------------------------------------------------------------------------------------------------------

function show(points, options) {
  clear();
  const layer = make("g", { class: "in-hand" });
  const shape = make(points.length === 2 ? "polyline" : "polygon", { class: "draft", "vector-effect": "non-scaling-stroke" });
  layer.append(shape);
  const radius = Number(svg().dataset.handle) * 1.1;
  const names = points.length === 2 ? ["left corner", "right corner"] : ["top left", "top right", "bottom right", "bottom left"];
  const handles = points.map((point, index) => {
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
  draft = { points, shape, handles, cross, radius, ...options };
  placeAll();
}

function placeAll() {
  const { points, shape, handles, cross, radius, form } = draft;
  shape.setAttribute("points", points.map((p) => p.join(",")).join(" "));
  handles.forEach((handle, index) => {
    handle.setAttribute("cx", points[index][0]);
    handle.setAttribute("cy", points[index][1]);
  });
  // Fine lines in the open middle of each handle: the corner itself stays visible.
  const arm = radius * 0.45;
  cross.setAttribute("d", points.map(([x, y]) => `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`).join(""));
  if (form) form.elements.points.value = JSON.stringify(points);
}

function clear() {
  svg()?.querySelector(".in-hand")?.remove();
  draft = null;
}

function send() {
  if (!draft?.mark) return;
  const values = { mark: draft.mark, points: JSON.stringify(draft.points) };
  htmx.ajax("POST", photo().dataset.edit, { target: "#photo", swap: "outerHTML", values });
}

carries(document, ".handle", {
  slack: 0,
  take(handle, event) {
    handle.focus();
    const index = Number(handle.dataset.index);
    const [[x, y], at] = [draft.points[index], inDrawing(svg(), event)];
    return { index, across: x - at.x, down: y - at.y, draft };
  },
  carry(held, event) {
    if (held.draft !== draft) return;
    const { x, y } = inDrawing(svg(), event);
    draft.points[held.index] = inside([x + held.across, y + held.down]);
    placeAll();
  },
  put(held, event, moved) {
    if (moved && held.draft === draft) send();
  },
});

let later = null;
document.addEventListener("keydown", (event) => {
  const handle = event.target.closest?.(".handle");
  const way = arrow(event);
  if (!handle || !way || !draft) return;
  event.preventDefault();
  const step = event.shiftKey ? 1 : 5;
  const index = Number(handle.dataset.index);
  const [x, y] = draft.points[index];
  draft.points[index] = inside([x + way[0] * step, y - way[1] * step]);
  placeAll();
  clearTimeout(later);
  later = setTimeout(send, 900);
});

// Choosing a mark -----------------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const mark = event.target.closest?.("a.mark");
  if (!mark) return;
  event.preventDefault();
  const where = mark.getAttribute("href");
  htmx.ajax("GET", `${location.pathname}${where}`, { target: "#photo", swap: "outerHTML" });
});

// Tools: one open at a time, each with its points in the photograph -----------------------------------------------------

function start(tool) {
  const { width, height } = size();
  if (tool.dataset.start) return JSON.parse(tool.dataset.start);
  if (tool.dataset.draft === "line") return [[width * 0.06, height * 0.9], [width * 0.94, height * 0.9]];
  return [[0.4, 0.4], [0.6, 0.4], [0.6, 0.6], [0.4, 0.6]].map(([x, y]) => [x * width, y * height]);
}

function begin(tool) {
  const form = [...tool.querySelectorAll("form")].find((one) => one.elements.points);
  if (form) show(start(tool), { form });
}

document.addEventListener("toggle", (event) => {
  const tool = event.target;
  if (!tool.matches?.(".tool[data-draft]")) return;
  if (!tool.open) {
    if (draft?.form && tool.contains(draft.form)) settle();
    return;
  }
  for (const other of photo().querySelectorAll(".tool[open]")) if (other !== tool) other.open = false;
  begin(tool);
}, true);

/** What is in hand when nothing is being drawn: the chosen mark's corners. */
function settle() {
  clear();
  const chosen = svg()?.querySelector(".mark.chosen");
  if (chosen) show(JSON.parse(chosen.dataset.corners), { mark: chosen.dataset.mark });
}

// Which work only matters for a work ------------------------------------------------------------------------------------

function kinds() {
  for (const form of document.querySelectorAll("form[data-kinds]")) {
    const part = form.querySelector("[data-for-work]");
    if (part) part.hidden = form.elements.kind.value !== "work";
  }
}
document.addEventListener("change", (event) => {
  if (event.target.name === "kind") kinds();
});

document.addEventListener("input", (event) => {
  const slider = event.target.closest?.("[data-slider]");
  if (slider) slider.style.setProperty("--shown", `${event.target.value}%`);
});

function ready() {
  kinds();
  const open = photo()?.querySelector(".tool[data-draft][open]");
  if (open) begin(open);
  else settle();
}

document.addEventListener("htmx:beforeSwap", () => {
  draft = null;
  clearTimeout(later);
});
document.addEventListener("htmx:afterSettle", () => {
  ready();
  sayStatus(photo());
});
ready();
