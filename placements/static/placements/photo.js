// Marking a photograph: choose a mark, drag its corners, draw a rectangle, say where the wall is. The server measures.

import { ask, sayStatus } from "../studio/base.js";
import { arrow, carries } from "../studio/hand.js";
import { inDrawing, make } from "./elevation.js";

let draft = null; // { points, form, mark }
let ahead = null; // { mark, points }: where the hand put a mark's corners, until an answer draws them there
let focused = null; // { mark, index }: the corner that has the focus again after an answer

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

let later = null;

/** The hand has moved corners of a mark: they are sent so many milliseconds later, or not yet while it carries them. */
function changed(wait = 0) {
  if (!draft.mark) return;
  ahead = { mark: draft.mark, points: draft.points };
  clearTimeout(later);
  later = wait === null ? null : setTimeout(send, wait);
}

async function send() {
  clearTimeout(later);
  later = null;
  const sent = ahead;
  await ask("POST", photo().dataset.edit, "#photo", () => ({ mark: sent.mark, points: JSON.stringify(sent.points) }));
  if (ahead !== sent) return;
  ahead = null;
  if (draft?.mark === sent.mark) settle(); // there was no answer
}

/** Whether what was taken hold of is still there, drawn anew or not. */
const holds = ({ mark, form }) => draft && draft.mark === mark && draft.form === form;

carries(document, ".handle", {
  slack: 0,
  take(handle, event) {
    handle.focus();
    const index = Number(handle.dataset.index);
    const [[x, y], at] = [draft.points[index], inDrawing(svg(), event)];
    return { index, across: x - at.x, down: y - at.y, mark: draft.mark, form: draft.form };
  },
  carry(held, event) {
    if (!holds(held)) return;
    const { x, y } = inDrawing(svg(), event);
    draft.points[held.index] = inside([x + held.across, y + held.down]);
    placeAll();
    changed(null);
  },
  put(held, event, moved) {
    if (moved && holds(held)) changed();
  },
});

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
  changed(900);
});

// Choosing a mark -----------------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const mark = event.target.closest?.("a.mark");
  if (!mark) return;
  event.preventDefault();
  if (later) send();
  ask("GET", `${location.pathname}${mark.getAttribute("href")}`, "#photo");
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
  if (!chosen) return;
  const { mark, corners } = chosen.dataset;
  show(ahead?.mark === mark ? ahead.points : JSON.parse(corners), { mark });
  if (focused?.mark === mark) draft.handles[focused.index].focus({ preventScroll: true });
  focused = null;
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
  const index = draft?.handles.indexOf(document.activeElement) ?? -1;
  if (index >= 0) focused = { mark: draft.mark, index };
  draft = null;
});
document.addEventListener("htmx:afterSettle", () => {
  ready();
  sayStatus(photo());
});
ready();
