// The job on the phone with what waits counted in, and what a measure says. Lengths are worked by hand.

import assert from "node:assert/strict";
import { test } from "node:test";
import { next, standing } from "static/reports/phone/job.js";
import { faults, points } from "static/reports/phone/measure.js";

const state = () => ({ up: false, up_at: null, drop_mm: null, apart_mm: 0, measured: null, problems: [], photos: 0 });
const job = () => ({
  pieces: [1, 2, 3].map((placement) => ({ placement, number: placement, state: state(), by_photo: null })),
  problems: [{ what: "wall", text: "The wall is not as surveyed" }],
});
const waiting = (...actions) => actions.map(([kind, placement, payload = {}]) => ({ action: { kind, placement, payload, done_at: "T" } }));

test("what waits is counted in, in order, and the job itself is left as it came", () => {
  const came = job();
  const [first, second] = standing(came, waiting(["up", 1], ["down", 1], ["up", 1], ["photo", 2]));
  assert.equal(first.state.up, true);
  assert.equal(first.state.up_at, "T");
  assert.equal(first.pending, 3);
  assert.equal(second.state.photos, 1);
  assert.deepEqual(came, job());
});

test("a drop, a measure and a problem are shown before the office has them", () => {
  const problems = [["problem", 1, { what: "wall" }], ["problem", 1, { what: "new" }]];
  const [first] = standing(job(), waiting(["drop", 1, { drop_mm: 60 }], ["measured", 1, { left_mm: 1 }], ...problems));
  assert.equal(first.state.drop_mm, 60);
  assert.equal(first.state.apart_mm, 0);
  assert.deepEqual(first.state.measured, { left_mm: 1 });
  assert.deepEqual(first.state.problems.map(({ text }) => text), ["The wall is not as surveyed", "new"]);
});

test("a photo with the card waits to be measured; one without does not", () => {
  const [first, second] = standing(job(), waiting(["photo", 1, { card_left_mm: 0 }], ["photo", 2]));
  assert.equal(first.by_photo?.waiting, true);
  assert.equal(second.by_photo, null);
});

test("an action for a piece that is not in the job changes nothing", () => {
  assert.deepEqual(standing(job(), waiting(["up", 99], ["problem", null, { what: "wall" }])).map(({ pending }) => pending), [0, 0, 0]);
});

test("the next piece is the one after this, then from the start", () => {
  const up = (...ups) => ups.map((each) => ({ state: { up: each } }));
  assert.equal(next(up(false, true, false), 0), 2);
  assert.equal(next(up(false, true, true), 1), 0);
  assert.equal(next(up(true, true)), -1);
});

// A piece whose top edge hangs 60 in above the floor with its middle 40 in from the left end; a sofa 34 in high.
const PIECE = { number: 4, reckon: { left_mm: 635, top_mm: 1524, middle_mm: 1016, bearer_mm: 863.6 } };

test("one hook is at the middle, two evenly about it; heights are below the top by the drop", () => {
  const [hook] = points(PIECE, 76.2, 0, "in"); // a drop of 3 in
  assert.deepEqual(hook, { label: "4", datum: "40″", floor: "57″", bearer: "23″", stud: "find it", fixing: "" });
  const two = points(PIECE, 76.2, 406.4, "in"); // 16 in apart
  assert.deepEqual(two.map(({ label, datum }) => `${label} ${datum}`), ["4a 32″", "4b 48″"]);
  assert.equal(points({ ...PIECE, reckon: { ...PIECE.reckon, bearer_mm: null } }, 76.2, 0, "in")[0].bearer, "");
});

test("what hangs off plan is said with its direction and amount, within tolerance nothing", () => {
  const tolerance = { mm: 3.175, level_mm: 1.5875 }; // 1/8 in and 1/16 in
  const measured = (left, right, topRight) => ({
    left_mm: 635 + left * 25.4,
    top_left_mm: 1524 + right * 25.4,
    ...(topRight === undefined ? {} : { top_right_mm: 1524 + topRight * 25.4 }),
  });
  assert.deepEqual(faults(PIECE, measured(1 / 8, -1 / 8), tolerance, "in"), []);
  assert.deepEqual(faults(PIECE, measured(0.5, 0), tolerance, "in"), ["move left by ½″"]);
  assert.deepEqual(faults(PIECE, measured(-0.25, 1), tolerance, "in"), ["move right by ¼″", "lower by 1″"]);
  assert.deepEqual(faults(PIECE, measured(0, 0, -0.25), tolerance, "in"), ["level it: the left corner is ¼″ high"]);
});
