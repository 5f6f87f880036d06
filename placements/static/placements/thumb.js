// What the thumb needs of a drawing: steps in four directions, how long they are, and the drawing enlarged.

const STRIDES = {
  metric: [["1 cm", 10], ["1 mm", 1], ["10 cm", 100]],
  inches: [["1 in", 25.4], ["⅛ in", 3.175], ["6 in", 152.4]],
};

/** The strides of a step and of a fine step [mm]. */
export function strides(metric) {
  const [[, step], [, fine]] = STRIDES[metric ? "metric" : "inches"];
  return { step, fine };
}

/**
 * Serve the bars within `root`: move(across, up) goes so far [mm], redraw() asks for the drawing anew.
 * The answer makes a page that was drawn anew ready.
 */
export function thumbs(root, metric, { move, redraw }) {
  const lengths = STRIDES[metric ? "metric" : "inches"];
  let chosen = 0;
  root.addEventListener("click", (event) => {
    const nudge = event.target.closest("[data-nudge]");
    if (nudge) {
      const [across, up] = nudge.dataset.nudge.split(" ").map((way) => Number(way) * lengths[chosen][1]);
      move(across, up);
    }
    if (event.target.closest("[data-step]")) {
      chosen = (chosen + 1) % lengths.length;
      tell();
    }
    if (event.target.closest("[data-enlarge]")) {
      document.cookie = `enlarged=${root.querySelector(".enlarged") ? 0 : 1}; path=/; samesite=lax`;
      redraw();
    }
  });
  function tell() {
    const button = root.querySelector("[data-step]");
    if (!button) return;
    const [name] = lengths[chosen];
    button.textContent = name;
    button.setAttribute("aria-label", `Step: ${name}`);
  }
  const ready = () => {
    tell();
    for (const around of root.querySelectorAll(".enlarged")) centre(around);
  };
  ready();
  return ready;
}

/** An enlarged drawing shows the chosen piece in its middle. */
function centre(around) {
  const chosen = around.querySelector(".piece.selected");
  if (!chosen) return;
  const [a, b] = [around.getBoundingClientRect(), chosen.getBoundingClientRect()];
  around.scrollBy({ left: b.left + b.width / 2 - a.left - a.width / 2, top: b.top + b.height / 2 - a.top - a.height / 2 });
}
