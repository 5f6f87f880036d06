// What a carried piece snaps to: edges and middles of the wall, of what stands and hangs on it, of bands, and equal gaps.
// Everything is in millimetres on the wall.

/** The box of a drawn piece. */
export function boxOf({ dataset }) {
  const [left, bottom, width, height] = ["left", "bottom", "width", "height"].map((name) => Number(dataset[name]));
  return { left, bottom, width, height };
}

function boxSaid({ dataset }) {
  const [left, bottom, width, height] = JSON.parse(dataset.box);
  return { left, bottom, width, height };
}

/** The lines across and up that a held piece may snap to, and the gaps that it may repeat. */
export function snapLines(svg, held) {
  const xs = [Number(svg.dataset.length) / 2];
  const ys = [];
  const hung = [...svg.querySelectorAll(".piece[tabindex]")].filter((node) => node !== held).map(boxOf);
  for (const b of [...hung, ...[...svg.querySelectorAll(".item")].map(boxSaid)]) {
    xs.push(b.left, b.left + b.width / 2, b.left + b.width);
    ys.push(b.bottom, b.bottom + b.height / 2, b.bottom + b.height);
  }
  for (const node of svg.querySelectorAll(".guide")) {
    const b = boxSaid(node);
    if (node.dataset.layer === "centre") {
      xs.push(b.left);
      continue;
    }
    ys.push(b.bottom, b.bottom + b.height / 2, b.bottom + b.height);
    if (node.dataset.layer === "span") xs.push(b.left, b.left + b.width);
  }
  return { xs, ys, across: equalGaps(hung, "left", "width"), up: equalGaps(hung, "bottom", "height") };
}

/** Edges at which the gap to a neighbour equals a gap that is already there, beside it or between the two. */
function equalGaps(hung, edge, size) {
  const found = [];
  for (const a of hung) {
    for (const b of hung) {
      const end = a[edge] + a[size];
      const gap = b[edge] - end;
      if (gap > 20 && gap < 200) found.push({ low: b[edge] + b[size] + gap }, { high: a[edge] - gap });
      if (gap > 0) found.push({ middle: (end + b[edge]) / 2 });
    }
  }
  return found;
}

/** The nearest snap of a span that starts at `start`: how far off it is and the line it comes to; or nothing. */
function nearest(start, size, lines, gaps, reach) {
  let best = null;
  const offer = (off, target) => {
    if (Math.abs(off) <= reach && (!best || Math.abs(off) < Math.abs(best.off))) best = { off, target };
  };
  for (const edge of [start, start + size / 2, start + size]) for (const target of lines) offer(target - edge, target);
  for (const { low, high, middle } of gaps) {
    const at = low ?? (high ?? middle + size / 2) - size;
    offer(at - start, low ?? high ?? middle);
  }
  return best;
}

/** Where a piece of that size goes from `left`, `bottom`; `x` and `y` are the lines it came to, if any within `reach`. */
export function snapped(left, bottom, size, lines, reach) {
  const x = nearest(left, size.width, lines.xs, lines.across, reach);
  const y = nearest(bottom, size.height, lines.ys, lines.up, reach);
  return { left: left + (x?.off ?? 0), bottom: bottom + (y?.off ?? 0), x: x?.target, y: y?.target };
}
