// The hand on a wall: what it moves, what waits to be stored, what is asked.

import assert from "node:assert/strict";
import { test } from "node:test";
import * as states from "static/placements/wall-state.js";

const DRAWN = { left: 100, bottom: 1500 };
const place = (left, bottom = 1500) => ({ left, bottom });
const held = (id = "7") => states.lifted(states.AT_REST, id, DRAWN);
const put = (state, id, at) => states.putDown(states.carried(states.lifted(state, id, DRAWN), at));

test("a piece is lifted where it is drawn, and nothing else is known to have changed", () => {
  const state = held();
  assert.deepEqual(state.hand, { id: "7", from: DRAWN, at: DRAWN, moved: false, lift: 1 });
  assert.deepEqual({ ...state, hand: null, lifts: 0 }, { ...states.AT_REST });
});

test("a full hand takes nothing", () => {
  const state = held();
  assert.equal(states.lifted(state, "8", DRAWN), state);
});

test("an empty hand carries nothing", () => {
  assert.equal(states.carried(states.AT_REST, place(1)), states.AT_REST);
});

test("the newest place is what is asked, one question at a time", () => {
  let state = states.carried(states.carried(held(), place(110)), place(120));
  assert.deepEqual(states.toAsk(state), { id: "7", at: place(120) });
  state = states.trying(state);
  assert.equal(states.toAsk(state), null);
  state = states.carried(states.carried(state, place(130)), place(140));
  assert.equal(states.toAsk(state), null, "a question is on its way");
  assert.deepEqual(states.toAsk(states.tried(state, true)), { id: "7", at: place(140) });
});

test("where no answer came the place is not asked again before the hand goes on", () => {
  const state = states.tried(states.carried(states.trying(states.carried(held(), place(110))), place(120)), false);
  assert.equal(states.toAsk(state), null);
  assert.deepEqual(states.toAsk(states.carried(state, place(130)))?.at, place(130));
});

test("a hand that let go asks nothing more", () => {
  const state = states.letGo(states.carried(held(), place(110)));
  assert.equal(state.hand, null);
  assert.equal(states.toAsk(state), null);
  assert.deepEqual(state.put, []);
});

test("a piece put down waits to be stored; one that went nowhere does not", () => {
  assert.deepEqual(put(states.AT_REST, "7", place(200)).put, [{ id: "7", at: place(200) }]);
  assert.deepEqual(put(states.AT_REST, "7", DRAWN).put, []);
  assert.deepEqual(states.putDown(held()).put, []);
  assert.deepEqual(states.putDown(states.AT_REST), { ...states.AT_REST });
});

test("a piece is lifted again from where it was put down, not from where it is still drawn", () => {
  const state = states.lifted(put(states.AT_REST, "7", place(200)), "7", DRAWN);
  assert.deepEqual(state.hand?.from, place(200));
});

test("what was put down first is stored first, and a second wish for a piece takes the first one's place", () => {
  let state = put(put(states.AT_REST, "7", place(200)), "8", place(900));
  state = put(state, "7", place(300));
  assert.deepEqual(state.put, [{ id: "7", at: place(300) }, { id: "8", at: place(900) }]);
  assert.deepEqual(states.toStore(state), { id: "7", at: place(300) });
});

test("nothing is sent while something is on its way", () => {
  const state = put(states.AT_REST, "7", place(200));
  assert.equal(states.toStore(states.storing(state)), null);
});

test("an answer ends the wish that was sent, not a newer one for the same piece", () => {
  let state = put(states.AT_REST, "7", place(200));
  const sent = states.toStore(state);
  state = put(states.storing(state), "7", place(250));
  state = states.stored(state, sent);
  assert.deepEqual(states.toStore(state), { id: "7", at: place(250) });
  assert.deepEqual(states.stored(states.storing(state), states.toStore(state)).put, []);
});

test("an answer leaves a piece in the hand", () => {
  let state = put(states.AT_REST, "7", place(200));
  const sent = states.toStore(state);
  state = states.carried(states.lifted(states.storing(state), "7", DRAWN), place(260));
  assert.deepEqual(states.stored(state, sent).hand, state.hand);
});

test("when something is not stored all that waits is given up, and the hand lets go", () => {
  let state = states.storing(put(put(states.AT_REST, "7", place(200)), "8", place(900)));
  state = states.givenUp(states.carried(states.lifted(state, "9", DRAWN), place(400)));
  assert.deepEqual(state, { ...states.AT_REST, lifts: 3 });
});

test("each lift has a number of its own, so that an old hand is known as such", () => {
  const first = held();
  const second = states.lifted(states.letGo(first), "7", DRAWN);
  assert.notEqual(first.hand?.lift, second.hand?.lift);
});

test("the focus is asked for once", () => {
  const state = states.focusing(states.AT_REST, "7");
  assert.equal(state.focus, "7");
  assert.equal(states.focusing(state, null).focus, null);
});

test("no order of events leaves two wishes for a piece, two requests, or a question without a hand", () => {
  let seed = 20_240_501;
  const random = (/** @type {number} */ most) => {
    seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
    return seed % most;
  };
  let state = states.AT_REST;
  let sent = null;
  const events = [
    () => states.lifted(state, String(random(3)), DRAWN),
    () => states.carried(state, place(random(5) * 100)),
    () => states.putDown(state),
    () => states.letGo(state),
    () => (states.toAsk(state) ? states.trying(state) : state),
    () => states.tried(state, random(4) > 0),
    () => {
      if (!states.toStore(state)) return state;
      sent = states.toStore(state);
      return states.storing(state);
    },
    () => (state.storing ? states.stored(state, sent) : state),
    () => (random(8) === 0 ? states.givenUp(state) : state),
  ];
  for (let turn = 0; turn < 20_000; turn += 1) {
    const before = Object.freeze(state);
    state = events[random(events.length)]();
    const ids = state.put.map(({ id }) => id);
    assert.equal(new Set(ids).size, ids.length);
    if (!state.hand) assert.equal(state.question, null);
    if (state.question) assert.equal(state.question.id, state.hand?.id);
    assert.ok(state.lifts >= before.lifts);
  }
  assert.ok(state.lifts > 100);
});
