// The hooks of a measured drop, and what an as-hung measure says, as the office reckons them. Millimetres inside.
// `tests/reports/drops.json` holds this and `reports/contexts/drops.py` to the same numbers and words.

import { length, onTape, parse } from "../../studio/lengths.js";

/**
 * @typedef {import("./job.js").Style} Style
 * @typedef {import("./job.js").Hook} Hook
 * @typedef {Pick<import("./job.js").Piece, "number" | "reckon" | "cautions">} Reckoned
 */

const LONGEST = 100_000;
const NEAR = 1e-6;

/**
 * What to say of a measure that cannot be; empty where it can.
 * @param {number} mm
 * @param {readonly [number, number]} ends the least and the most [mm]
 * @param {Style} style
 */
export function impossible(mm, [least, most], style) {
  if (least <= mm && mm <= most) return "";
  const found = Math.abs(mm) <= LONGEST ? length(mm, style) : "A length like this";
  return `${found} is not possible: it must be between ${length(least, style)} and ${length(most, style)}.`;
}

/**
 * Where the hooks of a measured drop bear: one at the piece's middle, or two evenly about it.
 * @param {Pick<Reckoned, "reckon">} piece
 * @param {number} drop from the top edge to the hook [mm]
 * @param {number} apart between two hooks, 0 for one [mm]
 */
export function seats({ reckon }, drop, apart) {
  const { middle_mm, top_mm } = reckon;
  const xs = apart > 0 ? [middle_mm - apart / 2, middle_mm + apart / 2] : [middle_mm];
  return xs.map((x) => ({ x, y: top_mm - drop }));
}

/**
 * The hooks of a measured drop in words: where they bear, what holds them, and what is behind them.
 * @param {Reckoned} piece
 * @param {number} drop [mm]
 * @param {number} apart [mm]
 * @param {Style} style
 * @returns {Hook[]}
 */
export function points(piece, drop, apart, style) {
  const { bearer_mm, fixings } = piece.reckon;
  const found = seats(piece, drop, apart);
  return found.map(({ x, y }, index) => {
    const { stud, held } = behind(piece.reckon, x, style);
    const fixing = fixings[found.length - 1][held ? "stud" : "bare"];
    return {
      label: `${piece.number}${found.length > 1 ? "ab"[index] : ""}`,
      datum: length(x, style),
      floor: length(y, style),
      bearer: bearer_mm === null ? "" : length(onTape(y, style) - onTape(bearer_mm, style), style),
      stud,
      fixing: fixing.text,
    };
  });
}

/**
 * The distance between the two hooks of a measured drop; empty for one.
 * @param {Reckoned} piece
 * @param {number} apart [mm]
 * @param {Style} style
 */
export function between(piece, apart, style) {
  const [first, second] = seats(piece, 0, apart);
  return second ? length(onTape(second.x, style) - onTape(first.x, style), style) : "";
}

/**
 * What to mind with the hooks of a measured drop: what was said of other points is said of these instead.
 * @param {Reckoned} piece
 * @param {number} drop [mm]
 * @param {number} apart [mm]
 * @param {Style} style
 * @returns {import("./job.js").Caution[]}
 */
export function minded(piece, drop, apart, style) {
  const { fixings, over_load, services } = piece.reckon;
  const found = seats(piece, drop, apart);
  const enough = found.every(({ x }) => fixings[found.length - 1][behind(piece.reckon, x, style).held ? "stud" : "bare"].enough);
  const within = (/** @type {number} */ at, /** @type {readonly [number, number]} */ [low, high]) => low <= at && at <= high;
  const near = services.filter(({ across, up }) => found.some(({ x, y }) => within(x, across) || within(y, up)));
  const names = [...new Set(near.map(({ name }) => name))].sort();
  return [
    ...(enough ? [] : [{ code: "over-load", text: over_load }]),
    ...piece.cautions.filter(({ code }) => code !== "over-load" && code !== "services"),
    ...(names.length ? [{ code: "services", text: inLine(names) }] : []),
  ];
}

/**
 * The stud behind a point, in words, and whether it holds there.
 * @param {import("./job.js").Reckon} reckon
 * @param {number} x [mm]
 * @param {Style} style
 */
function behind({ studs, hold_mm, no_studs }, x, style) {
  if (!studs.length) return { stud: no_studs, held: false };
  const offset = studs.map((stud) => stud - x).reduce((best, each) => (Math.abs(each) < Math.abs(best) ? each : best));
  if (Math.abs(offset) <= hold_mm + NEAR) return { stud: "on stud", held: true };
  return { stud: `stud ${length(Math.abs(offset), style)} ${offset > 0 ? "right" : "left"}`, held: false };
}

/** @param {string[]} names */
function inLine(names) {
  const near = names.length > 1 ? `${names.slice(0, -1).join(", ")} and ${names.at(-1)}` : names[0];
  return `A hook is in line with the ${near}: scan for cables and pipes and switch off before drilling.`;
}

/**
 * How much lower the floor is at a place along the wall than at its highest end [mm].
 * @param {import("./store.js").Floor | undefined} floor
 * @param {number} x along the wall [mm]
 * @param {number} wall its length [mm]
 */
export function lower(floor, x, wall) {
  if (!floor) return 0;
  const { left_mm: left, right_mm: right } = floor;
  return left + ((right - left) * x) / wall - Math.min(left, right);
}

/**
 * A hook's height where the floor is not level: from the floor under it, and from the level line.
 * @param {Pick<Hook, "datum" | "floor">} hook
 * @param {import("./store.js").Floor | undefined} floor
 * @param {{ wall_mm: number, level_mm: number }} wall its length, and the level line where no floor was measured
 * @param {Style} style
 */
export function heights(hook, floor, { wall_mm, level_mm }, style) {
  const [x, height] = [parse(hook.datum, style) ?? 0, parse(hook.floor, style) ?? 0];
  const off = height - (floor ? Math.min(floor.left_mm, floor.right_mm) : level_mm);
  const level = `${off > 0 ? "+" : ""}${length(off, style)}`;
  return { floor: length(height + lower(floor, x, wall_mm), style), level };
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
  if (Math.abs(right) > tolerance.mm + NEAR) found.push(`move ${right > 0 ? "left" : "right"} by ${by(right)}`);
  if (Math.abs(up) > tolerance.mm + NEAR) found.push(`${up > 0 ? "lower" : "raise"} by ${by(up)}`);
  if (Math.abs(tilt) > tolerance.level_mm + NEAR) {
    found.push(`level it: the ${tilt > 0 ? "right" : "left"} corner is ${by(tilt)} high`);
  }
  return found;
}
