// The group in hand: a piece is chosen, dragged or stepped on the floor or on the wall; the server lets the rest settle
// and measures.

import { ask } from "../studio/base.js";
import { arrow, carries, keepsStill } from "../studio/hand.js";
import { misfits, mmPerPixel } from "./elevation.js";
import { strides, thumbs } from "./thumb.js";

const PIECE = "#group .piece[tabindex]";
const REACH_PX = 22; // how far beside a small piece a finger may come down
const metric = document.getElementById("group").dataset.metric === "1";
const { step: STEP, fine: FINE } = strides(metric);

let pending = null; // the piece being stepped, and how far [mm]
const sent = new Set(); // the steps that no answer has drawn yet
let refocus = null; // where the chosen piece is to have the focus again

const form = () => document.getElementById("group-form");
const chosen = () => document.getElementById("group").dataset.selected;
const drawn = (id) => [...document.querySelectorAll(PIECE)].filter((node) => node.dataset.id === id);

/** Show a piece so far from where it is drawn [mm], on both drawings. */
function shift(id, across, up) {
  for (const node of drawn(id)) {
    const scale = Number(node.ownerSVGElement.dataset.scale);
    node.setAttribute("transform", `translate(${across * scale} ${-up * scale})`);
  }
}

/** Make a piece the one in hand, with its measures; or edit it. */
function choose(id, operation = "", fields = () => ({})) {
  form().elements.work.value = id;
  return ask("POST", form().action, "#group", () => {
    const focused = document.activeElement;
    refocus = focused?.closest(".floor") ? ".floor" : focused?.closest(".on-wall") ? ".on-wall" : focused?.closest(".picks") && ".picks";
    return { ...Object.fromEntries(new FormData(form())), work: id, do: operation, ...fields() };
  });
}

/** Ask for the piece to go that far from where it then hangs on the wall [mm]. */
async function send(id, across, up) {
  const step = { id, across, up };
  sent.add(step);
  await choose(id, "drag", () => {
    const there = JSON.parse(form().elements.state.value).pieces.find(([pk]) => String(pk) === id);
    return there && { left_mm: there[1] + across, bottom_mm: there[2] + up };
  });
  sent.delete(step);
  follow();
}

/** Show every piece where it was sent or stepped to, besides where the last answer drew it. */
function follow() {
  for (const id of new Set([...document.querySelectorAll(PIECE)].map((node) => node.dataset.id))) {
    const steps = [...sent, pending].filter((step) => step?.id === id);
    const sum = (name) => steps.reduce((total, step) => total + step[name], 0);
    shift(id, sum("across"), sum("up"));
  }
}

/** A step; it is sent when no other follows. */
function move(id, across, up) {
  if (pending && pending.id !== id) return;
  pending ??= { id, across: 0, up: 0 };
  pending.across += across;
  pending.up += up;
  follow();
  clearTimeout(pending.timer);
  pending.timer = setTimeout(() => {
    const { across: far, up: high } = pending;
    pending = null;
    send(id, far, high);
  }, 500);
}

// The hand -----------------------------------------------------------------------------------------------------------
// A mouse takes any piece. A finger takes the chosen one, so that the page and the drawing still scroll under it.

keepsStill(document, `${PIECE}.selected`);
carries(document, PIECE, {
  take(node, event) {
    if (pending || (event.pointerType === "touch" && !node.classList.contains("selected"))) return null;
    node.focus({ preventScroll: true });
    return { id: node.dataset.id, perPixel: mmPerPixel(node.ownerSVGElement), across: 0, up: 0 };
  },
  carry(held, event, way) {
    held.across = way.across * held.perPixel;
    held.up = -way.down * held.perPixel;
    shift(held.id, held.across, held.up);
  },
  put({ id, across, up }, event, moved) {
    if (moved) send(id, across, up);
    else if (id !== chosen()) choose(id);
  },
  drop: follow,
});

/** The piece under a finger, or the nearest beside it. */
function nearest(drawing, event) {
  let best = null;
  for (const node of drawing.querySelectorAll(".piece[tabindex]")) {
    const box = node.getBoundingClientRect();
    const off = Math.hypot(
      Math.max(box.left - event.clientX, 0, event.clientX - box.right),
      Math.max(box.top - event.clientY, 0, event.clientY - box.bottom),
    );
    if (off <= REACH_PX && (!best || off < best.off)) best = { off, id: node.dataset.id };
  }
  return best?.id;
}

document.addEventListener("click", (event) => {
  const drawing = event.pointerType !== "mouse" && event.target.closest?.("#group svg.elevation");
  const id = drawing && nearest(drawing, event);
  if (id && id !== chosen()) choose(id);
});
document.addEventListener("change", (event) => {
  if (event.target.matches(".picks input")) choose(event.target.value);
});

// Keys and the thumb -------------------------------------------------------------------------------------------------

document.addEventListener("keydown", (event) => {
  const node = event.target.closest?.(PIECE);
  if (!node) return;
  const way = arrow(event);
  if (event.key === "Enter" || event.key === " ") choose(node.dataset.id);
  else if (way) {
    const stride = event.shiftKey ? FINE : STEP;
    move(node.dataset.id, way[0] * stride, way[1] * stride);
  } else return;
  event.preventDefault();
});

const ready = thumbs(document, metric, {
  move(across, up) {
    if (chosen()) move(chosen(), across, up);
  },
  redraw,
});

/** The same group, drawn for the window as it is now. */
function redraw() {
  choose(chosen());
}

document.addEventListener("htmx:afterSettle", () => {
  ready();
  if (pending) follow();
  const strip = document.querySelector(".picks");
  const pick = strip.querySelector("input:checked")?.closest("label");
  if (pick) strip.scrollTo({ left: pick.offsetLeft - (strip.clientWidth - pick.clientWidth) / 2 });
  const node = refocus && document.querySelector(`#group ${refocus} :is(.piece.selected, input:checked)`);
  node?.focus({ preventScroll: true });
  refocus = null;
});

if (misfits(document.querySelector("#group .on-wall svg.elevation"))) redraw();
