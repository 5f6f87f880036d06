// What the thumb needs of a drawing: steps in four directions, how long they are, and the drawing enlarged.

import { all, around, find } from "../studio/dom.js";

/** @type {{ metric: [string, number][], inches: [string, number][] }} */
const STRIDES = {
  metric: [["1 cm", 10], ["1 mm", 1], ["10 cm", 100]],
  inches: [["1 in", 25.4], ["⅛ in", 3.175], ["6 in", 152.4]],
};

/**
 * The strides of a step and of a fine step [mm].
 * @param {boolean} metric
 */
export function strides(metric) {
  const [[, step], [, fine]] = STRIDES[metric ? "metric" : "inches"];
  return { step, fine };
}

/**
 * Serve the bars within `root`: move(across, up) goes so far [mm], redraw() asks for the drawing anew.
 * The answer makes a page that was drawn anew ready.
 * @param {Document | HTMLElement} root
 * @param {boolean} metric
 * @param {{ move: (across: number, up: number) => void, redraw: () => void }} acts
 */
export function thumbs(root, metric, { move, redraw }) {
  const lengths = STRIDES[metric ? "metric" : "inches"];
  let chosen = 0;
  root.addEventListener("click", (event) => {
    const nudge = around(event, "[data-nudge]")?.dataset.nudge;
    if (nudge) {
      const [across, up] = nudge.split(" ").map((way) => Number(way) * lengths[chosen][1]);
      move(across, up);
    }
    if (around(event, "[data-step]")) {
      chosen = (chosen + 1) % lengths.length;
      nameStep();
    }
    if (around(event, "[data-enlarge]")) {
      document.cookie = `enlarged=${find(root, ".enlarged") ? 0 : 1}; path=/; samesite=lax`;
      redraw();
    }
  });
  function nameStep() {
    const button = find(root, "[data-step]");
    if (!button) return;
    const [name] = lengths[chosen];
    button.textContent = name;
    button.setAttribute("aria-label", `Step: ${name}`);
  }
  const ready = () => {
    nameStep();
    for (const enlarged of all(root, ".enlarged")) centre(enlarged);
  };
  ready();
  return ready;
}

/**
 * An enlarged drawing shows the chosen piece in its middle.
 * @param {HTMLElement} enlarged
 */
function centre(enlarged) {
  const chosen = find(enlarged, ".piece.selected", SVGElement);
  if (!chosen) return;
  const [a, b] = [enlarged.getBoundingClientRect(), chosen.getBoundingClientRect()];
  enlarged.scrollBy({ left: b.left + b.width / 2 - a.left - a.width / 2, top: b.top + b.height / 2 - a.top - a.height / 2 });
}
