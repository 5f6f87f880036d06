// The phone's store, on a database in memory that keeps to the standard of indexed databases.

import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { test } from "node:test";
import * as store from "static/reports/phone/store.js";

const up = (placement) => ({ kind: "up", placement, payload: {} });
const begun = (token) => store.change(token, () => {});
const numbers = async (token) => (await store.waiting(token)).map(({ action }) => action.sequence);

test("a new record has the phone's own name, no actions, and keeps both", async () => {
  const first = await begun("a");
  assert.match(first.device, /^[0-9a-f]{32}$/);
  assert.equal(first.sequence, 0);
  const again = await store.change("a", (kept) => { kept.gone = "why"; });
  assert.equal(again.device, first.device);
  assert.equal((await store.job("a"))?.gone, "why");
  assert.notEqual((await begun("b")).device, first.device);
});

test("actions are numbered without a gap, in order, each with its own name", async () => {
  await begun("c");
  await Promise.all([1, 2, 3, 4, 5].map((placement) => store.enqueue("c", up(placement))));
  const waiting = await store.waiting("c");
  assert.deepEqual(waiting.map(({ action }) => action.sequence), [1, 2, 3, 4, 5]);
  assert.deepEqual(waiting.map(({ action }) => action.placement), [1, 2, 3, 4, 5]);
  const names = waiting.map(({ action }) => action.uuid);
  assert.equal(new Set(names).size, 5);
  const version4 = /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/; // RFC 9562
  for (const name of names) assert.match(name, version4);
});

test("a photo waits with its action, byte for byte", async () => {
  await begun("d");
  await store.enqueue("d", { kind: "photo", placement: 1, payload: {} }, new Blob([new Uint8Array([1, 2, 250])]));
  const [entry] = await store.waiting("d");
  assert.deepEqual([...new Uint8Array(await entry.photo.arrayBuffer())], [1, 2, 250]);
});

test("jobs on one phone do not see one another's queues", async () => {
  await begun("e");
  await begun("f");
  await store.enqueue("e", up(1));
  await store.enqueue("f", up(2));
  await store.enqueue("e", up(3));
  assert.deepEqual(await numbers("e"), [1, 2]);
  assert.deepEqual(await numbers("f"), [1]);
});

test("what was sent leaves the queue, and numbers go on", async () => {
  await begun("g");
  await store.enqueue("g", up(1));
  await store.enqueue("g", up(2));
  const [sent] = await store.waiting("g");
  await store.unqueue(sent.id);
  await store.enqueue("g", up(3));
  assert.deepEqual(await numbers("g"), [2, 3]);
});

test("waiting actions are numbered anew from what the office expects, in their order", async () => {
  await begun("h");
  for (const placement of [1, 2, 3]) await store.enqueue("h", up(placement));
  await store.renumber("h", 8);
  await store.enqueue("h", up(4));
  assert.deepEqual(await numbers("h"), [8, 9, 10, 11]);
  assert.deepEqual((await store.waiting("h")).map(({ action }) => action.placement), [1, 2, 3, 4]);
});

test("a job that is taken off leaves nothing, and leaves the others", async () => {
  await begun("i");
  await begun("ij");
  for (const token of ["i", "ij"]) {
    await store.enqueue(token, up(1));
    await store.keepPicture(token, "1-v", new Blob(["picture"]));
  }
  await store.forget("i");
  assert.equal(await store.job("i"), undefined);
  assert.deepEqual(await store.waiting("i"), []);
  assert.equal(await store.picture("i", "1-v"), undefined);
  assert.deepEqual(await numbers("ij"), [1]);
  assert.equal(await (await store.picture("ij", "1-v"))?.text(), "picture");
  assert.ok((await store.jobs()).some(({ token }) => token === "ij"));
});

test("an edit that fails changes nothing", async () => {
  await begun("k");
  await assert.rejects(store.change("k", () => { throw new Error("no"); }));
  assert.equal((await store.job("k"))?.sequence, 0);
});
