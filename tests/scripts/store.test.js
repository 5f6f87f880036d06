// The phone's store, on a database in memory that keeps to the standard of indexed databases.

import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { test } from "node:test";
import * as store from "static/reports/phone/store.js";

const up = (placement) => ({ kind: "up", placement, payload: {} });
const begun = (id, link = `link-${id}`) => store.adopt(link, { facts: { job: id }, sequences: {} });
const numbers = async (id) => (await store.waiting(id)).map(({ action }) => action.sequence);

test("a new record has the phone's own name, no actions, and keeps both", async () => {
  const first = await begun(1);
  assert.match(first.device, /^[0-9a-f]{32}$/);
  assert.equal(first.sequence, 0);
  const again = await store.change(1, (kept) => { kept.gone = "why"; });
  assert.equal(again.device, first.device);
  assert.equal((await store.job(1))?.gone, "why");
  assert.notEqual((await begun(2)).device, first.device);
});

test("actions are numbered without a gap, in order, each with its own name", async () => {
  await begun(3);
  await Promise.all([1, 2, 3, 4, 5].map((placement) => store.enqueue(3, up(placement))));
  const waiting = await store.waiting(3);
  assert.deepEqual(waiting.map(({ action }) => action.sequence), [1, 2, 3, 4, 5]);
  assert.deepEqual(waiting.map(({ action }) => action.placement), [1, 2, 3, 4, 5]);
  const names = waiting.map(({ action }) => action.uuid);
  assert.equal(new Set(names).size, 5);
  const version4 = /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/; // RFC 9562
  for (const name of names) assert.match(name, version4);
});

test("a photo waits with its action, byte for byte", async () => {
  await begun(4);
  await store.enqueue(4, { kind: "photo", placement: 1, payload: {} }, new Blob([new Uint8Array([1, 2, 250])]));
  const [entry] = await store.waiting(4);
  assert.deepEqual([...new Uint8Array(await entry.photo.arrayBuffer())], [1, 2, 250]);
});

test("jobs on one phone do not see one another's queues", async () => {
  await begun(5);
  await begun(6);
  await store.enqueue(5, up(1));
  await store.enqueue(6, up(2));
  await store.enqueue(5, up(3));
  assert.deepEqual(await numbers(5), [1, 2]);
  assert.deepEqual(await numbers(6), [1]);
});

test("what was sent leaves the queue, and numbers go on", async () => {
  await begun(7);
  await store.enqueue(7, up(1));
  await store.enqueue(7, up(2));
  const [sent] = await store.waiting(7);
  await store.unqueue(sent.id);
  await store.enqueue(7, up(3));
  assert.deepEqual(await numbers(7), [2, 3]);
});

test("waiting actions are numbered anew from what the office expects, in their order", async () => {
  await begun(8);
  for (const placement of [1, 2, 3]) await store.enqueue(8, up(placement));
  await store.renumber(8, 8);
  await store.enqueue(8, up(4));
  assert.deepEqual(await numbers(8), [8, 9, 10, 11]);
  assert.deepEqual((await store.waiting(8)).map(({ action }) => action.placement), [1, 2, 3, 4]);
});

test("a job that is taken off leaves nothing, and leaves the others", async () => {
  await begun(9);
  await begun(10);
  for (const id of [9, 10]) {
    await store.enqueue(id, up(1));
    await store.keepPicture(id, "1-v", new Blob(["picture"]));
  }
  await store.keepDraft(9, "1/drop", { drop: "2 1/2" });
  await store.forget(9);
  assert.equal((await store.drafts(9)).size, 0);
  assert.equal(await store.job(9), undefined);
  assert.deepEqual(await store.waiting(9), []);
  assert.equal(await store.picture(9, "1-v"), undefined);
  assert.deepEqual(await numbers(10), [1]);
  assert.equal(await (await store.picture(10, "1-v"))?.text(), "picture");
  assert.ok((await store.jobs()).some(({ id }) => id === 10));
});

test("an edit that fails changes nothing", async () => {
  await begun(11);
  await assert.rejects(store.change(11, () => { throw new Error("no"); }));
  assert.equal((await store.job(11))?.sequence, 0);
});

test("a job is kept once, whatever links open it, and what waits goes with the newest", async () => {
  const first = await begun(20, "old");
  await store.enqueue(20, up(1));
  const second = await begun(20, "new");
  assert.equal(second.device, first.device);
  assert.deepEqual(second.links, ["new", "old"]);
  assert.equal((await store.byLink("old"))?.id, 20);
  assert.equal((await store.byLink("new"))?.id, 20);
  assert.equal((await store.jobs()).filter(({ id }) => id === 20).length, 1);
  assert.deepEqual(await numbers(20), [1]);
});

test("what the office does not take stays with its photo and reason, and is sent again under its own name", async () => {
  await begun(21);
  await store.enqueue(21, up(1), new Blob(["photo"]));
  await store.enqueue(21, up(2));
  const [entry] = await store.waiting(21);
  await store.setAside(entry.id, "Too large.");
  assert.deepEqual((await store.waiting(21)).map(({ action }) => action.placement), [2]);
  const [kept] = await store.refused(21);
  assert.equal(kept.refused, "Too large.");
  assert.equal(await kept.photo.text(), "photo");
  await store.renumber(21, 1);
  await store.again(entry.id, new Blob(["small"]));
  assert.deepEqual(await store.refused(21), []);
  const [, last] = await store.waiting(21);
  assert.deepEqual([last.action.uuid, last.action.sequence, await last.photo.text()], [entry.action.uuid, 2, "small"]);
});

test("what is typed is kept form by form, with what was photographed, until it is recorded", async () => {
  await begun(22);
  await store.keepDraft(22, "5/problem", { note: "Cable behind", photo: new Blob(["p"]) });
  await store.keepDraft(22, "5/drop", { drop: "2 1/2" });
  await store.keepDraft(22, "5/drop", {});
  const kept = await store.drafts(22);
  assert.deepEqual([...kept.keys()], ["5/problem"]);
  assert.equal(kept.get("5/problem").note, "Cable behind");
  assert.equal(await kept.get("5/problem").photo.text(), "p");
});
