// The job as it stands on this phone: what the office last knew, with the waiting actions counted in.

/**
 * @typedef {import("../../studio/lengths.js").Style} Style
 *
 * @typedef {object} Job what the office sends: texts ready to read, lengths to reckon with in millimetres
 * @property {string} version
 * @property {{ job: number, project: string, client: string, address: string, note: string, studio: string, hanger: string,
 *   revision: number, sha256: string, signed_by: string, zone: string }} facts the zone is the clock of the place
 * @property {{ style: Style, metric: boolean }} units
 * @property {{ mm: number, text: string }} level the level line, above the floor's highest point
 * @property {Tolerance & { text: string, level_text: string }} tolerance
 * @property {Piece[]} pieces in order of hanging
 * @property {{ id: string, name: string, size: string, build: string, drawing: string }[]} walls
 * @property {{ count: number, spare: number, name: string, builds: string }[]} fixings
 * @property {string[]} tools
 * @property {{ place: string, pieces: { number: number, title: string, size: string, weight: string }[] }[]} loading
 * @property {{ what: string, do: string }[]} mismatches
 * @property {{ what: string, text: string }[]} problems what a hanger may report
 * @property {{ what: string, text: string }[]} moments when a piece's condition is looked at
 * @property {{ what: string, text: string }[]} conditions how it may be found
 * @property {Problem[]} job_problems those of the job and of no piece
 * @property {{ name: string, at: string, up: number, count: number, unsolved: number }[]} handed_over
 * @property {{ revision: number, numbers: number[], walls: Changes[] } | null} carried what is taken over of the revision before
 * @property {{ revision: number, walls: Changes[] } | null} outdated
 * @property {Record<string, number>} sequences the last action that the office has of each phone
 *
 * @typedef {{ wall: string, changes: string[] }} Changes
 * @typedef {{ uuid: string, what: string, text: string, note: string, solved: string }} Problem solved says how; empty while it stands
 * @typedef {{ when: string, found: string, note: string, marks: [number, number][] }} Condition marks are on the picture, in
 *   thousandths of its width and height from the upper left
 *
 * @typedef {{ mm: number, level_mm: number }} Tolerance
 *
 * @typedef {object} Piece
 * @property {number} placement
 * @property {number} number
 * @property {string} title
 * @property {string} maker
 * @property {string} size
 * @property {string} weight
 * @property {string} wall
 * @property {number} step
 * @property {number} steps
 * @property {string} picture its version, or empty
 * @property {string} drawing SVG
 * @property {string} drop
 * @property {Hook[]} hooks none where the drop is not measured yet
 * @property {string} [stands] where it stands and does not hang: it needs no fixing
 * @property {string} bearer what the piece hangs above
 * @property {string} check
 * @property {string} order
 * @property {string[]} notes
 * @property {Caution[]} cautions
 * @property {Reckon} reckon
 * @property {{ left: string, top: string }} plan
 * @property {State} state
 * @property {{ text: string, waiting?: boolean, off?: boolean, conclusive?: boolean } | null} by_photo
 *
 * @typedef {{ code: string, text: string }} Caution
 * @typedef {{ text: string, enough: boolean }} Fixing
 *
 * @typedef {object} Reckon what the hooks of a measured drop follow from
 * @property {number} left_mm
 * @property {number} top_mm
 * @property {number} middle_mm
 * @property {number} wall_mm the wall's length
 * @property {number | null} bearer_mm
 * @property {number[]} studs their middles, none where they are not known
 * @property {number} hold_mm how far from a stud's middle a screw holds in it
 * @property {string} no_studs what to say where none are known
 * @property {{ stud: Fixing, bare: Fixing }[]} fixings for one hook and for each of two
 * @property {string} over_load
 * @property {{ name: string, across: readonly [number, number], up: readonly [number, number] }[]} services
 * @property {Record<string, readonly [number, number]>} limits the least and the most of each measure [mm]
 *
 * @typedef {{ label: string, datum: string, floor: string, bearer: string, stud: string, fixing: string }} Hook
 * @typedef {{ left_mm?: number, top_left_mm?: number, top_right_mm?: number, faults?: string[] }} Measured
 *
 * @typedef {object} State
 * @property {boolean} up
 * @property {string | null} up_at
 * @property {number | null} drop_mm
 * @property {number} apart_mm
 * @property {Measured | null} measured
 * @property {Problem[]} problems
 * @property {Condition[]} conditions
 * @property {string} unloaded_by who took it off the van; empty while nobody has
 * @property {number | null} carried the revision with which it was hung, where it was hung before this one
 * @property {number} photos
 *
 * @typedef {object} Payload
 * @property {number} [drop_mm]
 * @property {number} [apart_mm]
 * @property {number} [left_mm]
 * @property {number} [top_left_mm]
 * @property {number} [top_right_mm]
 * @property {number} [card_left_mm]
 * @property {number} [card_bottom_mm]
 * @property {number} [ruler_mm]
 * @property {string} [what]
 * @property {string} [note]
 * @property {string} [problem] the name of the one that is solved
 * @property {string} [by]
 * @property {string} [when]
 * @property {string} [found]
 * @property {[number, number][]} [marks]
 * @property {string} [name]
 * @property {string} [sha256]
 * @property {string[]} [walls]
 * @property {[number, number][][]} [strokes]
 *
 * @typedef {"up" | "down" | "drop" | "measured" | "photo" | "problem" | "solved" | "unloaded" | "condition" |
 *   "handed_over"} Kind
 * @typedef {{ kind: Kind, placement: number | null, payload: Payload }} Wish what the hanger did
 * @typedef {Wish & { uuid: string, device: string, sequence: number, done_at: string }} Action the same, named and numbered
 * @typedef {{ id: number, job: number, photo: Blob | null, action: Action, failures: number, refused?: string }} Entry an
 *   action in the queue; refused says why the office did not take it
 * @typedef {Piece & { pending: number, fresh: boolean }} Standing a piece, with how many actions of it wait; fresh while the
 *   office has not worked out the hooks of a drop that waits
 */

/**
 * The pieces with what waits counted in; the job itself is left as it came.
 * @param {Pick<Job, "pieces" | "problems">} job
 * @param {Pick<Entry, "action">[]} waiting
 * @returns {Standing[]}
 */
export function standing(job, waiting) {
  const pieces = job.pieces.map((piece) => ({
    ...piece,
    state: { ...piece.state, problems: piece.state.problems.map((one) => ({ ...one })), conditions: [...piece.state.conditions] },
    pending: 0,
    fresh: false,
  }));
  const byPlacement = new Map(pieces.map((piece) => [piece.placement, piece]));
  for (const { action } of waiting) {
    const piece = action.placement === null ? undefined : byPlacement.get(action.placement);
    if (piece) count(piece, action, job);
  }
  return pieces;
}

/**
 * @param {Standing} piece
 * @param {Action} action
 * @param {Pick<Job, "problems">} job
 */
function count(piece, action, job) {
  const { kind, payload, done_at } = action;
  const { state } = piece;
  piece.pending += 1;
  switch (kind) {
    case "up":
      state.up = true;
      state.up_at = done_at;
      break;
    case "down":
      state.up = false;
      state.up_at = null;
      break;
    case "drop":
      [state.drop_mm, state.apart_mm] = [payload.drop_mm ?? null, payload.apart_mm ?? 0];
      piece.fresh = true;
      break;
    case "measured":
      state.measured = { ...payload };
      break;
    case "photo":
      state.photos += 1;
      if (payload.card_left_mm !== undefined) piece.by_photo = { text: "waits to be sent and measured", waiting: true };
      break;
    case "condition":
      state.conditions.push({ when: "", found: "", note: "", marks: [], ...payload });
      break;
    case "unloaded":
      state.unloaded_by = payload.by ?? "";
      break;
    default:
      countProblem(state.problems, action, job);
  }
}

/**
 * A problem that is reported, or the word that solves one.
 * @param {Problem[]} problems
 * @param {Action} action
 * @param {Pick<Job, "problems">} job
 */
function countProblem(problems, { uuid, kind, payload }, job) {
  const { what = "", note = "" } = payload;
  if (kind === "problem") {
    const text = job.problems.find((problem) => problem.what === what)?.text ?? what;
    problems.push({ uuid, what, text, note, solved: "" });
  } else if (kind === "solved") {
    const solved = problems.find((problem) => problem.uuid === payload.problem);
    if (solved && !solved.solved) solved.solved = note;
  }
}

/**
 * The problems of the job itself, with what waits counted in.
 * @param {Pick<Job, "problems" | "job_problems">} job
 * @param {Pick<Entry, "action">[]} waiting
 * @returns {Problem[]}
 */
export function jobProblems(job, waiting) {
  const found = job.job_problems.map((one) => ({ ...one }));
  for (const { action } of waiting) if (action.placement === null) countProblem(found, action, job);
  return found;
}

/**
 * The index of the next piece that is not up, after this one and from the start again; -1 where all are up.
 * @param {{ state: { up: boolean } }[]} pieces
 */
export function next(pieces, after = -1) {
  const order = [...pieces.slice(after + 1), ...pieces.slice(0, after + 1)];
  const piece = order.find((each) => !each.state.up);
  return piece ? pieces.indexOf(piece) : -1;
}
