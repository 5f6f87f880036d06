// The hook points of a measured drop, and what an as-hung measure says. Millimetres inside.

import { length } from "../../studio/lengths.js";

/** @typedef {import("./job.js").Style} Style */

/**
 * The same points as the office reckons: one at the piece's middle, or two evenly about it.
 * @param {Pick<import("./job.js").Piece, "number" | "reckon">} piece
 * @param {number} drop from the top edge to the hook [mm]
 * @param {number} apart between two hooks, 0 for one [mm]
 * @param {Style} style
 * @returns {import("./job.js").Hook[]}
 */
export function points(piece, drop, apart, style) {
  const { middle_mm, top_mm, bearer_mm } = piece.reckon;
  const xs = apart > 0 ? [middle_mm - apart / 2, middle_mm + apart / 2] : [middle_mm];
  return xs.map((x, index) => ({
    label: `${piece.number}${xs.length > 1 ? "ab"[index] : ""}`,
    datum: length(x, style),
    floor: length(top_mm - drop, style),
    bearer: bearer_mm === null ? "" : length(top_mm - drop - bearer_mm, style),
    stud: "find it",
    fixing: "",
  }));
}

/**
 * What an as-hung measure says against the plan, as the office will say it.
 * @param {Pick<import("./job.js").Piece, "reckon">} piece
 * @param {{ left_mm: number, top_left_mm?: number, top_right_mm?: number }} measured
 * @param {import("./job.js").Tolerance} tolerance
 * @param {Style} style
 */
export function faults(piece, measured, tolerance, style) {
  const { left_mm, top_mm } = piece.reckon;
  const right = measured.left_mm - left_mm;
  const tops = [measured.top_left_mm, measured.top_right_mm].filter((top) => top !== undefined);
  const up = tops.reduce((sum, top) => sum + top, 0) / tops.length - top_mm;
  const tilt = tops.length === 2 ? tops[1] - tops[0] : 0;
  const by = (/** @type {number} */ mm) => length(Math.abs(mm), style);
  const found = [];
  if (Math.abs(right) > tolerance.mm + 1e-6) found.push(`move ${right > 0 ? "left" : "right"} by ${by(right)}`);
  if (Math.abs(up) > tolerance.mm + 1e-6) found.push(`${up > 0 ? "lower" : "raise"} by ${by(up)}`);
  if (Math.abs(tilt) > tolerance.level_mm + 1e-6) {
    found.push(`level it: the ${tilt > 0 ? "right" : "left"} corner is ${by(tilt)} high`);
  }
  return found;
}
