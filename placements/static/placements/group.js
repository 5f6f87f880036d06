// The group in hand: a piece is chosen, dragged or stepped on the floor or on the wall; the server lets the rest settle
// and measures.

import { ask } from "../studio/base.js";
import { all, around, field, find, need } from "../studio/dom.js";
import { arrow, carries, keepsStill } from "../studio/hand.js";
import { misfits, mmPerPixel } from "./elevation.js";
import { strides, thumbs } from "./thumb.js";

const PIECE = "#group .piece[tabindex]";
const REACH_PX = 22; // how far beside a small piece a finger may come down
const group = () => need(document, "#group");
const metric = group().dataset.metric === "1";
const { step: STEP, fine: FINE } = strides(metric);

/** @typedef {{ id: string, across: number, up: number }} Step a piece, and how far it goes [mm] */

/** @type {Step | null} */
let pending = null; // the piece being stepped
let settle = 0; // when it is sent
/** @type {Set<Step>} */
const sent = new Set(); // the steps that no answer has drawn yet
/** @type {string | null} */
let refocus = null; // where the chosen piece is to have the focus again

const form = () => need(document, "#group-form", HTMLFormElement);
const chosen = () => group().dataset.selected;
const pieces = () => all(document, PIECE, SVGElement);

/**
 * Show a piece so far from where it is drawn [mm], on both drawings.
 * @param {string} id
 * @param {number} across
 * @param {number} up
 */
function shift(id, across, up) {
  for (const node of pieces().filter((piece) => piece.dataset.id === id)) {
    const scale = Number(node.ownerSVGElement?.dataset.scale);
    node.setAttribute("transform", `translate(${across * scale} ${-up * scale})`);
  }
}

/**
 * Make a piece the one in hand, with its measures; or edit it.
 * @param {string} id
 * @param {string} [operation]
 * @param {() => object | undefined} [fields]
 */
function choose(id, operation = "", fields = () => ({})) {
  for (const pick of all(form(), "[name=work]", HTMLInputElement)) if (pick.value === id) pick.checked = true;
  return ask("POST", form().action, "#group", () => {
    refocus = [".floor", ".on-wall", ".picks"].find((part) => document.activeElement?.closest(part)) ?? null;
    return { ...Object.fromEntries(new FormData(form())), work: id, do: operation, ...fields() };
  });
}

/**
 * Ask for the piece to go that far from where it then hangs on the wall.
 * @param {Step} step
 */
async function send(step) {
  const { id, across, up } = step;
  sent.add(step);
  await choose(id, "drag", () => {
    /** @type {{ pieces: [number, number, number][] }} */
    const state = JSON.parse(field(form(), "state").value);
    const there = state.pieces.find(([pk]) => String(pk) === id);
    return there && { left_mm: there[1] + across, bottom_mm: there[2] + up };
  });
  sent.delete(step);
  follow();
}

/** Show every piece where it was sent or stepped to, besides where the last answer drew it. */
function follow() {
  const steps = pending ? [...sent, pending] : [...sent];
  for (const id of new Set(pieces().map((node) => node.dataset.id ?? ""))) {
    const gone = steps.filter((step) => step.id === id);
    shift(id, gone.reduce((sum, step) => sum + step.across, 0), gone.reduce((sum, step) => sum + step.up, 0));
  }
}

/**
 * A step; it is sent when no other follows.
 * @param {string} id
 * @param {number} across
 * @param {number} up
 */
function move(id, across, up) {
  if (pending && pending.id !== id) return;
  const step = { id, across: (pending?.across ?? 0) + across, up: (pending?.up ?? 0) + up };
  pending = step;
  follow();
  clearTimeout(settle);
  settle = setTimeout(() => {
    pending = null;
    send(step);
  }, 500);
}

// The hand -----------------------------------------------------------------------------------------------------------
// A mouse takes any piece. A finger takes the chosen one, so that the page and the drawing still scroll under it.

keepsStill(document, `${PIECE}.selected`);
carries(document, PIECE, {
  take(node, event) {
    if (pending || !(node instanceof SVGElement) || !node.ownerSVGElement) return null;
    if (event.pointerType === "touch" && !node.classList.contains("selected")) return null;
    node.focus({ preventScroll: true });
    return { id: node.dataset.id ?? "", perPixel: mmPerPixel(node.ownerSVGElement), across: 0, up: 0 };
  },
  carry(held, _event, way) {
    held.across = way.across * held.perPixel;
    held.up = -way.down * held.perPixel;
    shift(held.id, held.across, held.up);
  },
  put({ id, across, up }, _event, moved) {
    if (moved) send({ id, across, up });
    else if (id !== chosen()) choose(id);
  },
  drop: follow,
});

/**
 * The piece under a finger, or the nearest beside it.
 * @param {Element} drawing
 * @param {MouseEvent} event
 */
function nearest(drawing, event) {
  let least = REACH_PX;
  let id;
  for (const node of all(drawing, ".piece[tabindex]", SVGElement).reverse()) {
    const box = node.getBoundingClientRect();
    const off = Math.hypot(
      Math.max(box.left - event.clientX, 0, event.clientX - box.right),
      Math.max(box.top - event.clientY, 0, event.clientY - box.bottom),
    );
    if (off <= least) [least, id] = [off, node.dataset.id];
  }
  return id;
}

document.addEventListener("click", (event) => {
  const byMouse = event instanceof PointerEvent && event.pointerType === "mouse";
  const drawing = around(event, "#group svg.elevation", SVGElement);
  const id = drawing && !byMouse && nearest(drawing, event);
  if (id && id !== chosen()) choose(id);
});
document.addEventListener("change", (event) => {
  const pick = around(event, ".picks input", HTMLInputElement);
  if (pick) choose(pick.value);
});

// Keys and the thumb -------------------------------------------------------------------------------------------------

document.addEventListener("keydown", (event) => {
  const id = around(event, PIECE, SVGElement)?.dataset.id;
  if (!id) return;
  const way = arrow(event);
  if (event.key === "Enter" || event.key === " ") choose(id);
  else if (way) {
    const stride = event.shiftKey ? FINE : STEP;
    move(id, way[0] * stride, way[1] * stride);
  } else return;
  event.preventDefault();
});

const ready = thumbs(document, metric, {
  move(across, up) {
    const id = chosen();
    if (id) move(id, across, up);
  },
  redraw,
});

/** The same group, drawn for the window as it is now, with the piece that is the chosen one by then. */
function redraw() {
  choose("", "", () => ({ work: chosen() ?? "" }));
}

document.addEventListener("htmx:afterSettle", () => {
  ready();
  if (pending) follow();
  const strip = need(document, ".picks");
  const pick = find(strip, "input:checked")?.closest("label");
  if (pick) strip.scrollTo({ left: pick.offsetLeft - (strip.clientWidth - pick.clientWidth) / 2 });
  const node = refocus && document.querySelector(`#group ${refocus} :is(.piece.selected, input:checked)`);
  if (node instanceof SVGElement || node instanceof HTMLElement) node.focus({ preventScroll: true });
  refocus = null;
});

if (misfits(need(document, "#group .on-wall svg.elevation", SVGSVGElement))) redraw();
