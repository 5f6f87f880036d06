// The perspective of four corners against OpenCV's, and a straightened picture against SciPy's interpolation;
// `test_scripts.py` computes the numbers of perspective.json anew.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { faultOf, fromUnitSquare, shape, sides, straightened } from "static/studio/perspective.js";

const { cases, picture } = JSON.parse(readFileSync(new URL("perspective.json", import.meta.url), "utf8"));
globalThis.ImageData = class {
  constructor(width, height) {
    Object.assign(this, { width, height, data: new Uint8ClampedArray(4 * width * height) });
  }
};

test("the unit square goes to the corners as OpenCV takes it there", () => {
  assert.ok(cases.length >= 6);
  for (const { corners, matrix } of cases) {
    fromUnitSquare(corners).forEach((found, i) => {
      assert.ok(Math.abs(found - matrix[i]) < 1e-6 * Math.max(1, Math.abs(matrix[i])), `${corners}: ${found}, not ${matrix[i]}`);
    });
  }
});

test("a picture is straightened as SciPy interpolates it", () => {
  const { width, height, values, corners, out } = picture;
  const source = new globalThis.ImageData(width, height);
  values.forEach((value, i) => source.data.set([value, 255 - value, value, 255], 4 * i));
  const found = straightened(source, corners, out.width, out.height);
  assert.equal(out.values.length, out.width * out.height);
  out.values.forEach((value, i) => {
    assert.ok(Math.abs(found.data[4 * i] - value) <= 0.51, `pixel ${i}: ${found.data[4 * i]}, not ${value}`);
    assert.ok(Math.abs(found.data[4 * i + 1] - (255 - value)) <= 0.51);
    assert.equal(found.data[4 * i + 3], 255);
  });
});

test("sides and shape of a rectangle of 3 to 2, however it lies", () => {
  assert.deepEqual(sides([[0, 0], [30, 0], [30, 20], [0, 20]]), [30, 20, 30, 20]);
  assert.equal(shape([[0, 0], [30, 0], [30, 20], [0, 20]]), 1.5);
  assert.equal(shape([[0, 20], [0, 0], [30, 0], [30, 20]]), 2 / 3);
});

test("corners that cannot be used are named, others pass", () => {
  const fault = (corners) => faultOf(corners, 48, 12);
  assert.equal(fault([[100, 100], [900, 120], [880, 700], [110, 690]]), "");
  assert.match(fault([[100, 100], [120, 100], [120, 900], [100, 900]]), /too near one another: 20 pixels/);
  assert.match(fault([[100, 100], [900, 700], [900, 100], [100, 700]]), /crossed/);
  assert.match(fault([[100, 100], [500, 110], [900, 100], [500, 800]]), /almost in a line/);
  assert.match(fault([[100, 100], [100, 700], [900, 700], [900, 100]]), /crossed/, "anticlockwise");
});
