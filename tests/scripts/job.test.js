// The job on the phone with what waits counted in, and what a measure says. Lengths are worked by hand.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { jobProblems, next, standing } from "static/reports/phone/job.js";
import { between, faults, heights, impossible, lower, minded, points, seats } from "static/reports/phone/measure.js";

const state = () => ({ up: false, up_at: null, drop_mm: null, apart_mm: 0, measured: null, problems: [], conditions: [], photos: 0 });
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

test("a problem is solved by the word that waits, in its order; the job's own are apart", () => {
  const solved = { problem: "u1", note: "Two toggles." };
  const queue = [["problem", 1, { what: "wall" }], ["solved", 1, solved], ["solved", 1, { ...solved, note: "Later word" }]];
  const [first] = standing(job(), waiting(...queue).map((one) => ({ action: { ...one.action, uuid: "u1" } })));
  assert.deepEqual(first.state.problems.map(({ solved: how }) => how), ["Two toggles."]);
  const of_job = [{ uuid: "j1", what: "other", text: "Something else", note: "", solved: "" }];
  const came = { ...job(), job_problems: of_job };
  assert.equal(jobProblems(came, waiting(["solved", null, { problem: "j1", note: "Done" }]))[0].solved, "Done");
  assert.equal(of_job[0].solved, "");
});

test("what is noted of a piece's condition and who took it off the van is shown before the office has it", () => {
  const condition = { when: "hung", found: "marked", note: "Rubbed", marks: [[10, 20]] };
  const [first] = standing(job(), waiting(["condition", 1, condition], ["unloaded", 1, { by: "Odd Hand" }]));
  assert.deepEqual(first.state.conditions, [condition]);
  assert.equal(first.state.unloaded_by, "Odd Hand");
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

const drops = JSON.parse(readFileSync(new URL("../reports/drops.json", import.meta.url), "utf8")).cases;
const byCode = (cautions) => cautions.toSorted((one, other) => (one.code < other.code ? -1 : 1));

for (const each of drops) {
  test(`a measured drop on the phone is what the office reckons: ${each.name}`, () => {
    const { reckon, drop_mm: drop, apart_mm: apart, style } = each;
    const piece = { number: 1, reckon, cautions: each.planned_cautions };
    const measures = Object.entries({ drop_mm: drop, apart_mm: apart });
    const found = measures.map(([name, mm]) => [name, impossible(mm, reckon.limits[name], style)]).filter(([, text]) => text);
    assert.deepEqual(found, each.fault ? [each.fault] : []);
    if (each.fault) return;
    const at = seats(piece, drop, apart);
    each.at.forEach(([x, y], index) => assert.ok(Math.hypot(at[index].x - x, at[index].y - y) < 1e-3, `${at[index].x} ${at[index].y}`));
    assert.deepEqual(points(piece, drop, apart, style), each.hooks);
    assert.equal(between(piece, apart, style), each.check);
    assert.deepEqual(byCode(minded(piece, drop, apart, style)), each.cautions);
  });
}

test("a drop that waits has its hooks worked out here; one that the office knows has the office's", () => {
  assert.deepEqual(standing(job(), waiting(["drop", 1, { drop_mm: 60 }])).map(({ fresh }) => fresh), [true, false, false]);
});

// A piece whose top edge hangs 60 in above the floor.
const PIECE = { reckon: { left_mm: 635, top_mm: 1524 } };

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

// A wall of 4 m; the level line is 1500 mm above the floor at its left end and 1540 mm at its right.
test("where the floor falls, heights are from the floor under the hook, and from the level line", () => {
  const floor = { left_mm: 1500, right_mm: 1540 };
  const wall = { wall_mm: 4000, level_mm: 1500 };
  assert.equal(lower(floor, 1000, 4000), 10);
  assert.deepEqual(heights({ datum: "100 cm", floor: "160 cm" }, floor, wall, "cm"), { floor: "161 cm", level: "+10 cm" });
  assert.deepEqual(heights({ datum: "4000 mm", floor: "1400 mm" }, floor, wall, "mm"), { floor: "1440 mm", level: "−100 mm" });
  assert.deepEqual(heights({ datum: "1′ 0″", floor: "5′ 3½″" }, undefined, { wall_mm: 4000, level_mm: 1524 }, "ft_in"), {
    floor: "5′ 3½″",
    level: "+3½″",
  });
  // It falls to the left as well; the highest point is then at the right.
  assert.equal(lower({ left_mm: 1530, right_mm: 1500 }, 1000, 4000), 22.5);
});
