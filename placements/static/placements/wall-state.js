// What a wall's page knows of the hand: which piece it moves, what was put down and is not stored, what is asked.
// Every change is a function from one state to the next; `wall.js` draws the state and talks to the server.

/** @typedef {import("./elevation.js").Box} Box */
/** @typedef {{ left: number, bottom: number }} Place where a piece's lower left corner is on the wall [mm] */
/** @typedef {{ id: string, at: Place }} Put a piece at a place */
/** @typedef {{ id: string, from: Place, at: Place, moved: boolean, lift: number }} Hand the piece being moved */
/**
 * @typedef {object} WallState
 * @property {Hand | null} hand
 * @property {number} lifts how often a piece was lifted: tells one hand from the next
 * @property {readonly Put[]} put what was put down, oldest first, until an answer draws it there
 * @property {boolean} storing one of these is with the server
 * @property {Put | null} question the newest place that the server has not been asked about
 * @property {boolean} trying a question is with the server
 * @property {string | null} focus the piece that has the focus again after the next answer
 */

/** @type {WallState} */
export const AT_REST = Object.freeze({
  hand: null,
  lifts: 0,
  put: Object.freeze([]),
  storing: false,
  question: null,
  trying: false,
  focus: null,
});

/** @param {Place} a @param {Place} b */
const same = (a, b) => a.left === b.left && a.bottom === b.bottom;

/**
 * A piece is taken in hand where it was last put down, else where it is drawn. A hand that is full takes nothing.
 * @param {WallState} state
 * @param {string} id
 * @param {Place} drawn
 * @returns {WallState}
 */
export function lifted(state, id, drawn) {
  if (state.hand) return state;
  const { left, bottom } = state.put.find((put) => put.id === id)?.at ?? drawn;
  const lifts = state.lifts + 1;
  const from = { left, bottom };
  return { ...state, lifts, hand: { id, from, at: from, moved: false, lift: lifts } };
}

/**
 * The piece in hand is now there, and the server is to be asked about that place and no earlier one.
 * @param {WallState} state
 * @param {Place} at
 * @returns {WallState}
 */
export function carried(state, at) {
  if (!state.hand) return state;
  return { ...state, hand: { ...state.hand, at, moved: true }, question: { id: state.hand.id, at } };
}

/**
 * The hand lets go; what it moved goes back to where it was lifted from.
 * @param {WallState} state
 * @returns {WallState}
 */
export const letGo = (state) => ({ ...state, hand: null, question: null });

/**
 * The hand puts the piece down: what went anywhere waits to be stored, in the place of an earlier wish for it.
 * @param {WallState} state
 * @returns {WallState}
 */
export function putDown(state) {
  const { hand, put } = state;
  if (!hand?.moved || same(hand.at, hand.from)) return letGo(state);
  const wish = { id: hand.id, at: hand.at };
  const waits = put.some(({ id }) => id === wish.id);
  return { ...letGo(state), put: waits ? put.map((each) => (each.id === wish.id ? wish : each)) : [...put, wish] };
}

/**
 * What is stored next, if anything is to be and nothing is on its way.
 * @param {WallState} state
 */
export const toStore = (state) => (state.storing ? null : (state.put[0] ?? null));

/**
 * A piece put down is on its way to the server.
 * @param {WallState} state
 * @returns {WallState}
 */
export const storing = (state) => ({ ...state, storing: true });

/**
 * The server has stored what was sent; a newer place of the same piece still waits.
 * @param {WallState} state
 * @param {Put} sent
 * @returns {WallState}
 */
export const stored = (state, sent) => ({ ...state, storing: false, put: state.put.filter((wish) => wish !== sent) });

/**
 * What was sent was not stored: all that waits was meant for a wall that is no longer so, and is given up.
 * @param {WallState} state
 * @returns {WallState}
 */
export const givenUp = (state) => ({ ...letGo(state), storing: false, put: [] });

/**
 * What to ask the server now, if the hand is anywhere new and no question is on its way.
 * @param {WallState} state
 */
export const toAsk = (state) => (state.trying || !state.hand ? null : state.question);

/**
 * The newest question is on its way to the server.
 * @param {WallState} state
 * @returns {WallState}
 */
export const trying = (state) => ({ ...state, trying: true, question: null });

/**
 * The server has answered, or nobody did: then the place is not asked about again before the hand goes on.
 * @param {WallState} state
 * @param {boolean} came
 * @returns {WallState}
 */
export const tried = (state, came) => ({ ...state, trying: false, question: came ? state.question : null });

/**
 * The next answer gives this piece the focus; none once it has it.
 * @param {WallState} state
 * @param {string | null} id
 * @returns {WallState}
 */
export const focusing = (state, id) => ({ ...state, focus: id });
