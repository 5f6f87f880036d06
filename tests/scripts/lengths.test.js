// The same table as of the server's units: one reader must not be told two lengths.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { length, onTape, parse } from "static/studio/lengths.js";

const table = JSON.parse(readFileSync(new URL("../studio/lengths.json", import.meta.url), "utf8"));
const near = (found, wanted, text) => assert.ok(Math.abs(found - wanted) < 1e-9 * Math.max(1, wanted), `${text}: ${found}, not ${wanted}`);

test("lengths are read as people write them", () => {
  assert.ok(Object.keys(table.read).length > 30);
  for (const [text, mm] of Object.entries(table.read)) near(parse(text, "in"), mm, text);
  for (const [text, mm] of Object.entries(table.read)) near(parse(text, "ft_in"), mm, text);
});

test("bare numbers are in the reader's unit, others in their own", () => {
  assert.equal(parse("161.3", "cm"), 1613);
  assert.equal(parse("1613", "mm"), 1613);
  near(parse('63"', "mm"), 1600.2);
  near(parse("5' 3\"", "cm"), 1600.2);
});

test("what is no length is refused", () => {
  assert.ok(table.refused.length > 20);
  for (const text of table.refused) assert.equal(parse(text, "in"), null, text);
});

test("nought is a place", () => assert.equal(parse("0", "ft_in"), 0));

test("lengths are set with real primes and fractions", () => {
  assert.ok(table.set.length > 15);
  for (const [style, mm, text] of table.set) assert.equal(length(mm, style), text);
});

test("what is set reads back to the nearest sixteenth or millimetre", () => {
  for (const style of ["ft_in", "in", "cm", "mm"]) {
    const step = style === "cm" || style === "mm" ? 1 : 25.4 / 16;
    for (let mm = 0; mm < 9000; mm += 7.3) near(Math.abs(parse(length(mm, style), style) - mm) <= step / 2 + 1e-9, 1, `${mm} ${style}`);
  }
});

test("what is set is a mark of the tape", () => {
  assert.deepEqual([12.4, 12.5, -12.5, 0].map((mm) => onTape(mm, "cm")), [12, 13, -13, 0]);
  near(onTape(1.6, "in"), 25.4 / 16, "a sixteenth");
  near(onTape(-1.6, "ft_in"), -25.4 / 16, "a sixteenth below");
});
