// What waits on the phone reaches the office once, in order, whatever the network does; what is refused is not lost.

import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import * as store from "static/reports/phone/store.js";
import { LinkGone, sync } from "static/reports/phone/sync.js";

const PLACES = { job: "/job/", actions: "/actions/", pictures: "/pictures/0/" };
const JOB = { version: "v1", facts: { job: 0 }, pieces: [{ placement: 5, picture: "p1" }, { placement: 6, picture: "" }], sequences: {} };
const json = (status, body) => new Response(JSON.stringify(body), { status });

let token = "";
let office;
let run = 0; // the number of the job, too

/** The office as the API describes it: actions by their names once, in the order of their numbers. */
function opened() {
  const taken = [];
  const asked = [];
  return {
    taken,
    asked,
    job: { ...JOB, facts: { job: run } },
    /** What goes wrong with a request: a status and a body, "lost" before or "cut" after it was taken; null for nothing. */
    trouble: () => null,
    async fetch(address, options = {}) {
      asked.push({ address, ...options });
      const action = address === PLACES.actions ? await actionOf(options.body) : null;
      const trouble = this.trouble(address, action);
      if (trouble === "lost") throw new TypeError("Failed to fetch");
      if (trouble instanceof Response) return trouble;
      const answer = action ? this.take(action) : this.give(address, options);
      if (trouble === "cut") throw new TypeError("Failed to fetch");
      return answer;
    },
    take(action) {
      if (taken.some(({ uuid }) => uuid === action.uuid)) return json(200, { conflict: "" });
      const expected = taken.filter(({ device }) => device === action.device).length + 1;
      if (action.sequence !== expected) return json(409, { detail: "out of order", expected });
      taken.push(action);
      return json(201, { conflict: action.kind === "down" ? "Another phone took it down before." : "" });
    },
    give(address, { headers }) {
      if (address !== PLACES.job) return new Response("bytes of the picture");
      return headers["If-None-Match"] === `"${this.job.version}"` ? new Response(null, { status: 304 }) : json(200, this.job);
    },
  };
}

async function actionOf(body) {
  if (!(body instanceof FormData)) return JSON.parse(body);
  const fields = Object.fromEntries(body);
  return { ...fields, sequence: Number(fields.sequence), photo: new Uint8Array(await fields.photo.arrayBuffer()) };
}

const wish = (kind, placement = 5, payload = {}) => store.enqueue(run, { kind, placement, payload });
const kinds = () => office.taken.map(({ kind }) => kind);

beforeEach(async () => {
  run += 1;
  token = `token-${run}`;
  office = opened();
  globalThis.fetch = (address, options) => office.fetch(address, options);
  await store.adopt(token, { ...office.job, version: "v0" });
});

test("what waits is sent in order before the job is fetched, and the queue is empty", async () => {
  for (const kind of ["up", "down", "up"]) await wish(kind);
  const kept = await sync(token, PLACES);
  assert.deepEqual(kinds(), ["up", "down", "up"]);
  assert.deepEqual(office.asked.map(({ address }) => address), ["/actions/", "/actions/", "/actions/", "/job/", "/pictures/5/"]);
  assert.deepEqual(await store.waiting(run), []);
  assert.equal(kept.job?.version, "v1");
  assert.ok(kept.fetched);
});

test("the link stands in a header alone, and nothing else of the browser goes with it", async () => {
  await sync(token, PLACES);
  for (const { address, headers, credentials, referrerPolicy, cache } of office.asked) {
    assert.ok(!address.includes(token));
    assert.equal(headers.Authorization, `Link ${token}`);
    assert.deepEqual([credentials, referrerPolicy, cache], ["omit", "no-referrer", "no-store"]);
  }
});

test("a job and a picture that are on the phone are not sent again", async () => {
  await sync(token, PLACES);
  office.asked.length = 0;
  const kept = await sync(token, PLACES);
  assert.deepEqual(office.asked.map(({ address, headers }) => [address, headers["If-None-Match"]]), [["/job/", '"v1"']]);
  assert.equal(kept.job?.version, "v1");
  assert.equal(await (await store.picture(run, "5-p1"))?.text(), "bytes of the picture");
});

test("what the office says of an action that it took is shown", async () => {
  await wish("down", 6);
  const kept = await sync(token, PLACES);
  assert.deepEqual(kept.said, [{ placement: 6, text: "Another phone took it down before." }]);
});

test("a photo goes with its action, byte for byte, nothing empty beside it", async () => {
  await store.enqueue(run, { kind: "photo", placement: 5, payload: { card_left_mm: 12.5 } }, new Blob([new Uint8Array([7, 0, 255])]));
  await sync(token, PLACES);
  const [action] = office.taken;
  assert.deepEqual([...action.photo], [7, 0, 255]);
  assert.deepEqual(JSON.parse(action.payload), { card_left_mm: 12.5 });
  assert.equal(action.placement, "5");
});

test("without a signal everything stays", async () => {
  await wish("up");
  office.trouble = () => "lost";
  await assert.rejects(sync(token, PLACES), TypeError);
  assert.equal((await store.waiting(run)).length, 1);
});

for (const status of [408, 429, 500, 502, 503, 504]) {
  test(`an office that is busy or broken (${status}) gets it later`, async () => {
    await wish("up");
    office.trouble = () => json(status, { detail: "Later." });
    await assert.rejects(sync(token, PLACES), /Later/);
    office.trouble = () => null;
    await sync(token, PLACES);
    assert.deepEqual(kinds(), ["up"]);
  });
}

for (const status of [401, 403]) {
  test(`a link that is gone (${status}) says so and loses nothing`, async () => {
    await wish("up");
    office.trouble = () => json(status, { detail: "This link was revoked." });
    await assert.rejects(sync(token, PLACES), (error) => error instanceof LinkGone && error.message === "This link was revoked.");
    assert.equal((await store.waiting(run)).length, 1);
  });
}

for (const status of [400, 404, 405, 410, 413, 415, 422]) {
  test(`what will never be taken (${status}) is set aside where it is seen, and the rest goes on`, async () => {
    await wish("drop", 5, { drop_mm: -1 });
    await wish("up");
    office.trouble = (address, action) => (action?.kind === "drop" ? json(status, { detail: "A drop is above zero." }) : null);
    await sync(token, PLACES);
    const refused = await store.refused(run);
    const told = refused.map(({ action, refused: why }) => [action.kind, action.payload, why]);
    assert.deepEqual(told, [["drop", { drop_mm: -1 }, "A drop is above zero."]]);
    assert.deepEqual(kinds(), ["up"], "numbered anew, since the refused one has left a gap");
    assert.deepEqual(await store.waiting(run), []);
  });
}

test("actions that come out of order are numbered anew once; a second refusal sets them aside", async () => {
  await wish("up");
  await wish("down");
  await store.renumber(run, 40);
  await sync(token, PLACES);
  assert.deepEqual(kinds(), ["up", "down"]);
  office.trouble = (address) => (address === PLACES.actions ? json(409, { detail: "No.", expected: 3 }) : null);
  await wish("up");
  await sync(token, PLACES);
  assert.deepEqual((await store.refused(run)).map(({ refused }) => refused), ["No."]);
});

test("a number that the office already has is not given again", async () => {
  const { device } = await store.job(run);
  office.job = { ...office.job, version: "v2", sequences: { [device]: 12 } };
  await sync(token, PLACES);
  await wish("up");
  const [{ action }] = await store.waiting(run);
  assert.equal(action.sequence, 13);
});

test("whatever is lost on the way or cut off after it arrived, each action arrives once and in order", async () => {
  let seed = 7_654_321;
  const chance = () => {
    seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
    return seed / 2_147_483_648;
  };
  office.trouble = () => (chance() < 0.3 ? "lost" : chance() < 0.3 ? "cut" : chance() < 0.1 ? json(503, {}) : null);
  const wished = [];
  for (let turn = 0; turn < 150; turn += 1) {
    if (chance() < 0.6) {
      wished.push(turn);
      await wish("problem", 5, { note: String(turn) });
    }
    await sync(token, PLACES).catch(() => {});
  }
  office.trouble = () => null;
  await sync(token, PLACES);
  assert.ok(wished.length > 50);
  assert.deepEqual(office.taken.map(({ payload }) => Number(payload.note)), wished);
  assert.deepEqual(await store.refused(run), []);
});

for (const status of [500, 403]) {
  test(`an action that the office breaks down over (${status}) holds the others up three times, then is set aside`, async () => {
    await wish("photo", 5);
    await wish("up");
    office.trouble = (address, action) => (action?.kind === "photo" ? json(status, { detail: "Something broke." }) : null);
    for (let turn = 1; turn < 3; turn += 1) await assert.rejects(sync(token, PLACES), /Something broke/);
    await sync(token, PLACES);
    assert.deepEqual(kinds(), ["up"]);
    const [aside] = await store.refused(run);
    assert.match(aside.refused, /Something broke.*3 times/);
    office.trouble = () => null;
    await store.again(aside.id, null);
    await sync(token, PLACES);
    assert.deepEqual(kinds(), ["up", "photo"]);
    assert.deepEqual(await store.unsent(run), []);
  });
}

test("an office that is down altogether costs no action its place", async () => {
  await wish("up");
  office.trouble = () => json(500, { detail: "Down." });
  for (let turn = 0; turn < 5; turn += 1) await assert.rejects(sync(token, PLACES), /Down/);
  assert.equal((await store.waiting(run)).length, 1);
});

test("what waited with a withdrawn link goes with the new one, once", async () => {
  await wish("up");
  office.trouble = () => json(401, { detail: "Withdrawn." });
  await assert.rejects(sync(token, PLACES), LinkGone);
  office.trouble = () => null;
  const kept = await sync(`new-${token}`, PLACES);
  assert.equal(kept.id, run);
  assert.deepEqual(kept.links, [`new-${token}`, token]);
  assert.deepEqual(kinds(), ["up"]);
});

test("a withdrawn link on the home screen goes on by the job's newer one", async () => {
  await sync(`new-${token}`, PLACES);
  await wish("down");
  const usual = office.fetch.bind(office);
  office.fetch = (address, options) =>
    options.headers.Authorization === `Link ${token}` ? json(401, { detail: "Withdrawn." }) : usual(address, options);
  await sync(token, PLACES);
  assert.deepEqual(kinds(), ["down"]);
});

test("a closed job takes what waits as a late note, and says so", async () => {
  await wish("photo", 6);
  office.trouble = (address, action) => (action ? json(201, { conflict: "", late: true }) : json(403, { detail: "This job is closed." }));
  await assert.rejects(sync(token, PLACES), (error) => error instanceof LinkGone && error.message === "This job is closed.");
  assert.deepEqual(await store.unsent(run), []);
  assert.match((await store.job(run)).said[0].text, /late note/);
});

test("the moment of sending goes with what was done before", async () => {
  await wish("up");
  await sync(token, PLACES);
  const [{ done_at: done, sent_at: sent }] = office.taken;
  assert.ok(done <= sent && !Number.isNaN(Date.parse(sent)));
});
