// Where a carried piece snaps to, worked by hand on one wall of 4 m: two pieces 300 mm wide, 100 mm apart, and a sofa.

import assert from "node:assert/strict";
import { test } from "node:test";
import { nearLine, snapLines, snapped } from "static/placements/snapping.js";

const box = (left, bottom, width, height) => ({ left, bottom, width, height });
const PIECES = [box(1000, 1400, 300, 400), box(1400, 1400, 300, 400)];
const SOFA = box(900, 0, 2000, 800);
const EYE_LINE = { box: box(0, 1524, 4000, 152.4), layer: "eye_line" };
const MIDDLE = { box: box(1900, 0, 0, 2400), layer: "centre" };
const lines = snapLines(4000, PIECES, [SOFA], [EYE_LINE, MIDDLE]);
const SIZE = { width: 300, height: 400 };

test("the wall's middle, edges and middles of things, and guides are lines", () => {
  assert.deepEqual(lines.xs, [2000, 1000, 1150, 1300, 1400, 1550, 1700, 900, 1900, 2900, 1900]);
  assert.deepEqual(lines.ys, [1400, 1600, 1800, 1400, 1600, 1800, 0, 400, 800, 1524, 1600.2, 1676.4]);
});

test("a span gives its two ends besides its heights", () => {
  const span = snapLines(4000, [], [], [{ box: box(500, 100, 600, 50), layer: "span" }]);
  assert.deepEqual(span.xs, [2000, 500, 1100]);
  assert.deepEqual(span.ys, [100, 125, 150]);
});

test("the nearest line within reach wins, at either edge or at the middle", () => {
  const at = snapped(1994, 1398, SIZE, lines, 10);
  assert.deepEqual(at, { left: 2000, bottom: 1400, x: 2000, y: 1400 });
  const middle = snapped(1752, 1050, SIZE, lines, 10); // middle at 1902: the sofa's is 1900
  assert.equal(middle.left, 1750);
  assert.equal(middle.x, 1900);
  const right = snapped(2603, 1050, SIZE, lines, 10); // right edge at 2903: the sofa ends at 2900
  assert.equal(right.left, 2600);
});

test("out of reach nothing is moved and no line is drawn", () => {
  assert.deepEqual(snapped(2300, 1050, SIZE, lines, 10), { left: 2300, bottom: 1050, x: undefined, y: undefined });
});

test("a third piece repeats the gap of two, on either side", () => {
  assert.equal(snapped(1806, 1050, SIZE, lines, 10).left, 1800); // 100 after the second one, which ends at 1700
  assert.equal(snapped(594, 1050, SIZE, lines, 10).left, 600); // 100 before the first one, which begins at 1000
});

test("a piece between two has equal gaps", () => {
  const apart = snapLines(9000, [box(1000, 1400, 300, 400), box(3000, 1400, 300, 400)], [], []);
  const at = snapped(2005, 1000, SIZE, apart, 10); // from 1300 to 3000: 700 on either side of 300
  assert.equal(at.left, 2000);
  assert.equal(at.x, 2150);
});

test("gaps beyond a hand's breadth are not repeated", () => {
  const far = snapLines(9000, [box(1000, 1400, 300, 400), box(1500, 1400, 300, 400)], [], []);
  assert.ok(!far.across.some((gap) => "low" in gap || "high" in gap));
});

test("an edge comes to a line no farther than the reach", () => {
  assert.equal(nearLine(997, [0, 1000, 4000], 5), 1000);
  assert.equal(nearLine(990, [0, 1000, 4000], 5), null);
  assert.equal(nearLine(3, [], 5), null);
});
