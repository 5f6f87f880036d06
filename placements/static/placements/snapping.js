// What a carried piece snaps to: edges and middles of the wall, of what stands and hangs on it, of bands, and equal gaps.
// Everything is in millimetres on the wall.

/** @typedef {import("./elevation.js").Box} Box */
/** @typedef {{ low: number } | { high: number } | { middle: number }} Gap where an edge, or a middle, makes gaps equal */
/** @typedef {{ xs: number[], ys: number[], across: Gap[], up: Gap[] }} Lines what a piece may snap to, across and up */
/** @typedef {{ box: Box, layer: string }} Guide a band or a line that the drawing shows */
/** @typedef {{ left: number, bottom: number, x?: number, y?: number }} Snap a place, and the lines that it came to */

const LEAST_GAP = 20;
const GREATEST_GAP = 200;

/**
 * The lines across and up that a piece may snap to, and the gaps that it may repeat.
 * @param {number} wall its length [mm]
 * @param {Box[]} hung the other pieces
 * @param {Box[]} standing what is on the wall besides
 * @param {Guide[]} guides
 * @returns {Lines}
 */
export function snapLines(wall, hung, standing, guides) {
  const xs = [wall / 2];
  const ys = [];
  for (const box of [...hung, ...standing]) {
    xs.push(box.left, box.left + box.width / 2, box.left + box.width);
    ys.push(box.bottom, box.bottom + box.height / 2, box.bottom + box.height);
  }
  for (const { box, layer } of guides) {
    if (layer === "centre") {
      xs.push(box.left);
      continue;
    }
    ys.push(box.bottom, box.bottom + box.height / 2, box.bottom + box.height);
    if (layer === "span") xs.push(box.left, box.left + box.width);
  }
  return { xs, ys, across: equalGaps(hung, "left", "width"), up: equalGaps(hung, "bottom", "height") };
}

/**
 * Edges at which the gap to a neighbour equals a gap that is already there, beside it or between the two.
 * @param {Box[]} hung
 * @param {"left" | "bottom"} edge
 * @param {"width" | "height"} size
 * @returns {Gap[]}
 */
function equalGaps(hung, edge, size) {
  /** @type {Gap[]} */
  const found = [];
  for (const a of hung) {
    for (const b of hung) {
      const end = a[edge] + a[size];
      const gap = b[edge] - end;
      if (gap > LEAST_GAP && gap < GREATEST_GAP) found.push({ low: b[edge] + b[size] + gap }, { high: a[edge] - gap });
      if (gap > 0) found.push({ middle: (end + b[edge]) / 2 });
    }
  }
  return found;
}

/**
 * The nearest snap of a span that starts at `start`: how far off it is and the line it comes to; or nothing.
 * @param {number} start
 * @param {number} size
 * @param {number[]} lines
 * @param {Gap[]} gaps
 * @param {number} reach
 */
function nearest(start, size, lines, gaps, reach) {
  let best = { off: Infinity, target: NaN };
  const offer = (/** @type {number} */ off, /** @type {number} */ target) => {
    if (Math.abs(off) <= reach && Math.abs(off) < Math.abs(best.off)) best = { off, target };
  };
  for (const edge of [start, start + size / 2, start + size]) for (const target of lines) offer(target - edge, target);
  for (const gap of gaps) {
    if ("low" in gap) offer(gap.low - start, gap.low);
    else if ("high" in gap) offer(gap.high - size - start, gap.high);
    else offer(gap.middle - size / 2 - start, gap.middle);
  }
  return best.off === Infinity ? null : best;
}

/**
 * Where a piece of that size goes from `left`, `bottom`; `x` and `y` are the lines it came to, if any within `reach`.
 * @param {number} left
 * @param {number} bottom
 * @param {{ width: number, height: number }} size
 * @param {Lines} lines
 * @param {number} reach
 * @returns {Snap}
 */
export function snapped(left, bottom, size, lines, reach) {
  const x = nearest(left, size.width, lines.xs, lines.across, reach);
  const y = nearest(bottom, size.height, lines.ys, lines.up, reach);
  return { left: left + (x?.off ?? 0), bottom: bottom + (y?.off ?? 0), x: x?.target, y: y?.target };
}

/**
 * The number nearest to `at` among lines no farther than `reach` from it, or null.
 * @param {number} at
 * @param {number[]} lines
 * @param {number} reach
 */
export function nearLine(at, lines, reach) {
  const near = lines.reduce((best, line) => (Math.abs(line - at) < Math.abs(best - at) ? line : best), Infinity);
  return Math.abs(near - at) <= reach ? near : null;
}
