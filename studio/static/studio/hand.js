// The hand on a drawing: a thing pressed, carried and put down by mouse, finger or pen; and the arrows in its place.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** Where an arrow key points, across and up; nothing for another key. */
export const arrow = (event) => ARROWS[event.key];

/**
 * Let what `selector` names be carried within `root`, one thing at a time.
 *
 * take(node, event) says what is taken hold of, or nothing where it stays; carry(held, event, way) follows the hand once
 * it is `slack` pixels away, with `way` the pixels gone across and down; put(held, event, moved) ends it, and drop the
 * same way where the browser took the pointer away.
 */
export function carries(root, selector, { take, carry, put = () => {}, drop = put, slack = 3 }) {
  let hand = null;
  root.addEventListener("pointerdown", (event) => {
    const node = event.target.closest?.(selector);
    if (!node || hand || event.button !== 0) return;
    const held = take(node, event);
    if (!held) return;
    event.preventDefault();
    node.setPointerCapture(event.pointerId);
    hand = { held, pointer: event.pointerId, x: event.clientX, y: event.clientY, moved: false };
  });
  root.addEventListener("pointermove", (event) => {
    if (event.pointerId !== hand?.pointer) return;
    const [across, down] = [event.clientX - hand.x, event.clientY - hand.y];
    if (!hand.moved && Math.hypot(across, down) < slack) return;
    hand.moved = true;
    carry(hand.held, event, { across, down });
  });
  const ends = (act) => (event) => {
    if (event.pointerId !== hand?.pointer) return;
    const { held, moved } = hand;
    hand = null;
    act(held, event, moved);
  };
  root.addEventListener("pointerup", ends(put));
  root.addEventListener("pointercancel", ends(drop));
}

/** A finger on what `selector` names moves that, not the page: browsers pass over `touch-action` inside a drawing. */
export function keepsStill(root, selector) {
  const hold = (event) => event.touches.length === 1 && event.target.closest?.(selector) && event.preventDefault();
  root.addEventListener("touchstart", hold, { passive: false });
}
