// The hand on a drawing: a thing pressed, carried and put down by mouse, finger or pen; and the arrows in its place.

import { around } from "./dom.js";

/** @type {Record<string, [number, number]>} */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/**
 * Where an arrow key points, across and up; nothing for another key.
 * @param {KeyboardEvent} event
 * @returns {[number, number] | undefined}
 */
export const arrow = (event) => ARROWS[event.key];

/** @typedef {HTMLElement | SVGElement} Node what can be carried */
/** @typedef {{ across: number, down: number }} Way pixels gone since the press */

/**
 * Let what `selector` names be carried within `root`, one thing at a time.
 *
 * take(node, event) says what is taken hold of, or nothing where it stays; carry(held, event, way) follows the hand once
 * it is `slack` pixels away, with `way` the pixels gone across and down; put(held, event, moved) ends it, and drop the
 * same way where the browser took the pointer away.
 * @template T
 * @param {Document | HTMLElement} root
 * @param {string} selector
 * @param {{
 *   take: (node: Node, event: PointerEvent) => T | null,
 *   carry: (held: T, event: PointerEvent, way: Way) => void,
 *   put?: (held: T, event: PointerEvent, moved: boolean) => void,
 *   drop?: (held: T, event: PointerEvent, moved: boolean) => void,
 *   slack?: number,
 * }} acts
 */
export function carries(root, selector, { take, carry, put = () => {}, drop = put, slack = 3 }) {
  /** @type {{ held: T, pointer: number, x: number, y: number, moved: boolean } | null} */
  let hand = null;
  const listen = /** @type {HTMLElement} */ (root); // a document tells of the same events
  listen.addEventListener("pointerdown", (event) => {
    const node = around(event, selector, /** @type {import("./dom.js").Kind<Node & Element>} */ (Element));
    if (!node || hand || event.button !== 0) return;
    const held = take(node, event);
    if (!held) return;
    event.preventDefault();
    node.setPointerCapture(event.pointerId);
    hand = { held, pointer: event.pointerId, x: event.clientX, y: event.clientY, moved: false };
  });
  listen.addEventListener("pointermove", (event) => {
    if (!hand || event.pointerId !== hand.pointer) return;
    const [across, down] = [event.clientX - hand.x, event.clientY - hand.y];
    if (!hand.moved && Math.hypot(across, down) < slack) return;
    hand.moved = true;
    carry(hand.held, event, { across, down });
  });
  const ends = (/** @type {typeof put} */ act) => (/** @type {PointerEvent} */ event) => {
    if (!hand || event.pointerId !== hand.pointer) return;
    const { held, moved } = hand;
    hand = null;
    act(held, event, moved);
  };
  listen.addEventListener("pointerup", ends(put));
  listen.addEventListener("pointercancel", ends(drop));
}

/**
 * A finger on what `selector` names moves that, not the page: browsers pass over `touch-action` inside a drawing.
 * @param {Document | HTMLElement} root
 * @param {string} selector
 */
export function keepsStill(root, selector) {
  const hold = (/** @type {TouchEvent} */ event) => {
    if (event.touches.length === 1 && event.target instanceof Element && event.target.closest(selector)) event.preventDefault();
  };
  /** @type {HTMLElement} */ (root).addEventListener("touchstart", hold, { passive: false });
}
