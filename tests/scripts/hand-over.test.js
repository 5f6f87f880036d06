// What a finger draws in the box, what two fingers enlarge, and how a measure is said. Worked by hand.

import assert from "node:assert/strict";
import { test } from "node:test";
import { drawnOn, pathOf, strokesIn, within } from "static/reports/phone/pad.js";
import { aloud, sentence } from "static/reports/phone/voice.js";
import { enlarged, pushed } from "static/reports/phone/zoom.js";

const box = { left: 20, top: 100, width: 350, height: 140 };

test("a finger's place is in thousandths of the box, and never outside it", () => {
  assert.deepEqual(within({ clientX: 195, clientY: 170 }, box), [500, 200]);
  assert.deepEqual(within({ clientX: 0, clientY: 900 }, box), [0, 400]);
});

test("a stroke grows by points that say something more", () => {
  const begun = [[[100, 100]]];
  assert.equal(drawnOn(begun, [103, 104]), begun);
  assert.deepEqual(drawnOn(begun, [110, 100]), [[[100, 100], [110, 100]]]);
  assert.deepEqual(begun, [[[100, 100]]]);
  assert.deepEqual(drawnOn([], [1, 1]), []);
});

test("strokes are drawn as the office draws them; a dot shows", () => {
  assert.equal(pathOf([[[100, 200], [300, 120]], [[700, 200]]]), "M100 200L300 120M700 200L700 200");
  assert.deepEqual(strokesIn(""), []);
  assert.deepEqual(strokesIn("[[[1,2]]]"), [[[1, 2]]]);
});

const whole = { x: 0, y: 0, wide: 400, high: 200 };

test("a drawing is enlarged about the place between the fingers, eight times at most, and never less than whole", () => {
  assert.deepEqual(enlarged(whole, whole, 2, { x: 0.25, y: 0.5 }), { x: 50, y: 50, wide: 200, high: 100 });
  assert.deepEqual(enlarged(whole, whole, 100, { x: 1, y: 1 }), { x: 350, y: 175, wide: 50, high: 25 });
  assert.deepEqual(enlarged({ x: 50, y: 50, wide: 200, high: 100 }, whole, 0.1, { x: 0, y: 0 }), whole);
});

test("an enlarged drawing is pushed up to its ends", () => {
  const shown = { x: 50, y: 50, wide: 200, high: 100 };
  assert.deepEqual(pushed(shown, whole, { x: 0.1, y: -0.2 }), { ...shown, x: 30, y: 70 });
  assert.deepEqual(pushed(shown, whole, { x: 5, y: 5 }), { ...shown, x: 0, y: 0 });
});

test("a measure is said in words, in either system", () => {
  assert.equal(aloud("63½″"), "63 and a half inches");
  assert.equal(aloud("5′-3″"), "5 feet 3 inches");
  assert.equal(aloud("61⁹⁄₁₆″"), "61 and 9 sixteenths inches");
  assert.equal(aloud("¹³⁄₁₆″"), "13 sixteenths inches");
  assert.equal(aloud("½″"), "a half inches");
  assert.equal(aloud("161.4 cm"), "161.4 centimetres");
  const hooks = [{ label: "3a", datum: "120 cm", floor: "155 cm" }, { label: "3b", datum: "150 cm", floor: "155 cm" }];
  assert.equal(
    sentence({ number: 3, hooks }),
    "Piece 3. Hook 3 a. 120 centimetres from the left end. 155 centimetres up from the floor. " +
      "Hook 3 b. 150 centimetres from the left end. 155 centimetres up from the floor.",
  );
  assert.equal(sentence({ number: 4, hooks: [] }), "Piece 4. Measure its drop first.");
});
