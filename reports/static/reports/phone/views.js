// The screens: built from data alone; what a tap does is in `act` (a handful of callbacks of app.js).

import { all, field } from "../../studio/dom.js";
import { length } from "../../studio/lengths.js";
import { between, faults, heights, lower, minded, points, seats } from "./measure.js";
import { signed } from "./handover.js";
import { conditionForm, photoPick, problemForm, problemList, unloadForm } from "./notes.js";
import { button, clock, fileInput, folded, form, formName, h, lengthField, lengthIn, light, list, moment } from "./parts.js";
import { canSpeak, sentence, speak, speaks } from "./voice.js";
import { asSvg, zooming } from "./zoom.js";

/**
 * @typedef {import("./job.js").Standing} Standing
 * @typedef {import("./job.js").Piece} Piece
 * @typedef {import("./job.js").Entry} Entry
 * @typedef {import("./store.js").Kept} Kept
 *
 * @typedef {import("./parts.js").Acts} Acts
 * @typedef {import("./parts.js").Page} Page
 */

/**
 * The wall as the office drew it; the hooks of a drop that it does not know yet are marked here.
 * @param {Standing} piece
 */
function drawing(piece) {
  const made = asSvg(piece.drawing);
  if (piece.fresh && piece.state.drop_mm !== null) {
    for (const former of all(made, ".marks, .running", SVGElement)) former.remove();
    made.append(crosses(made, seats(piece, piece.state.drop_mm, piece.state.apart_mm)));
  }
  return zooming(made);
}

/**
 * @param {Element} made the drawing, which says how large a millimetre is on it and where the wall begins
 * @param {{ x: number, y: number }[]} at on the wall [mm]
 */
function crosses(made, at) {
  const told = (/** @type {string} */ name) => Number(made.getAttribute(`data-${name}`));
  const [scale, left, floor] = ["scale", "origin-x", "origin-y"].map(told);
  const arm = 8;
  const lines = at.map(({ x, y }) => {
    const [across, down] = [left + x * scale, floor - y * scale];
    return `M${across - arm} ${down}h${2 * arm}M${across} ${down - arm}v${2 * arm}`;
  });
  const drawn = document.createElementNS("http://www.w3.org/2000/svg", "path");
  for (const [name, value] of Object.entries({ class: "marks fresh", d: lines.join(""), fill: "none" })) drawn.setAttribute(name, value);
  return drawn;
}

/** @param {Page} page */
export function stops({ kept, waiting, act }) {
  return h(
    "div",
    { class: "stops" },
    kept.gone && h("p", { class: "notice stop" }, kept.gone),
    kept.gone && waiting.map((entry) => unsent(kept, entry, "Not sent yet.", act)),
    outdated(kept.job),
  );
}

/** @param {Page} page */
export function notices({ kept, waiting, refused, act, offline }) {
  const { zone } = kept.job.facts;
  const toSend = waiting.length && `${waiting.length} to send${offline ? ", waiting for a signal" : ""}.`;
  const aside = refused.length && `${refused.length} not taken by the office, kept here.`;
  return h(
    "div",
    { class: "notices" },
    kept.said.map(({ placement, text }, index) => notice(kept, placement, text, () => act.read(index))),
    refused.map((entry) => unsent(kept, entry, `Not taken by the office: ${entry.refused}`, act)),
    h(
      "p",
      { class: "signal", role: "status" },
      [toSend, aside].filter(Boolean).join(" ") || "All sent.",
      ` Job fetched ${clock(kept.fetched, zone)}.`,
      offline && " No signal: everything is on this phone.",
    ),
  );
}

/** @type {Record<import("./job.js").Kind, string>} */
const DONE = {
  up: "is up",
  down: "taken down",
  drop: "drop measured",
  measured: "measured as hung",
  photo: "photo",
  problem: "problem",
  solved: "problem solved",
  unloaded: "taken off the van",
  condition: "condition",
  handed_over: "handed over",
};

/**
 * What a note says, line by line, for whoever reads it on the phone or is sent it.
 * @param {Kept} kept
 * @param {Entry} entry
 * @returns {string[]}
 */
export function noteLines({ job }, { action }) {
  const { kind, placement, payload, done_at } = action;
  const piece = job.pieces.find((each) => each.placement === placement);
  const { style } = job.units;
  const which = piece ? `Piece ${piece.number}, ${piece.title}` : "The job";
  const lengths = Object.entries(payload).filter(([name]) => name in MEASURES);
  return [
    `${which}: ${DONE[kind]}`,
    ...lengths.map(([name, mm]) => `${MEASURES[name]}: ${length(Number(mm), style)}`),
    ...job.problems.filter(({ what }) => what === payload.what).map(({ text }) => text),
    ...job.moments.filter(({ what }) => what === payload.when).map(({ text }) => text),
    ...job.conditions.filter(({ what }) => what === payload.found).map(({ text }) => text),
    ...[payload.name ?? "", payload.by ?? "", payload.note ?? ""].filter(Boolean),
    `${moment(done_at, job.facts.zone)}, ${job.facts.hanger}`,
    `${job.facts.project}, revision ${job.facts.revision}`,
  ];
}

/** @type {Record<string, string>} */
const MEASURES = {
  drop_mm: "Drop from the top edge",
  apart_mm: "Between two hooks",
  left_mm: "Left edge from the wall's left end",
  top_left_mm: "Top left corner from the floor",
  top_right_mm: "Top right corner from the floor",
  card_left_mm: "Card's left edge from the wall's left end",
  card_bottom_mm: "Card's lower edge from the floor",
};

/**
 * A note that is on the phone alone, with what can be done.
 * @param {Kept} kept
 * @param {Entry} entry
 * @param {string} why
 * @param {Acts} act
 */
function unsent(kept, entry, why, act) {
  return h(
    "div",
    { class: "notice look" },
    h("p", {}, h("b", {}, noteLines(kept, entry)[0]), ` ${why}`),
    h(
      "p",
      { class: "ways" },
      entry.refused && button("Send again", "small", () => act.again(entry)),
      button("Show to the office", "small", () => act.look(entry)),
      button("Share", "small", () => act.share(entry)),
    ),
  );
}

/**
 * One note in full, to be shown or read out.
 * @param {Page} page
 * @param {Entry} entry
 * @param {string | null} picture the address of its photo
 */
export function noteScreen({ kept, act }, entry, picture) {
  const [first, ...rest] = noteLines(kept, entry);
  return [
    h("header", { class: "top" }, button("‹ Back", "back", () => history.back()), light(act)),
    h("h1", {}, first),
    entry.refused && h("p", { class: "notice look" }, `Not taken by the office: ${entry.refused}`),
    h("ul", { class: "told" }, rest.map((line) => h("li", {}, line))),
    picture && h("img", { class: "whole", src: picture, alt: "The photo of this note" }),
    h(
      "p",
      { class: "ways" },
      entry.refused && button("Send again", "small", () => act.again(entry)),
      button("Share", "small", () => act.share(entry)),
      entry.refused && button("Throw it away", "small", () => act.discard(entry)),
    ),
  ];
}

/** @param {import("./job.js").Job} job */
function outdated({ outdated: newer, facts }) {
  if (!newer) return null;
  const warning = `Out of date. Revision ${newer.revision} is signed; this job is revision ${facts.revision}.`;
  return h(
    "details",
    { class: "notice stop", open: true },
    h("summary", {}, `${warning} Stop and ask the office for the new link.`),
    newer.walls.map(({ wall, changes }) => [h("h3", {}, wall), list(changes)]),
  );
}

/** @param {import("./job.js").Job} job */
function carriedOver({ carried }) {
  if (!carried) return null;
  const { revision, numbers: up, walls } = carried;
  const right = up.length > 1 ? `Pieces ${up.join(", ")} hang right already. ` : up.length ? `Piece ${up[0]} hangs right already. ` : "";
  return folded(
    `${right}What changes from revision ${revision}`,
    "notice",
    walls.length ? walls.map(({ wall, changes }) => [h("h3", {}, wall), list(changes)]) : h("p", {}, "Nothing that hangs is moved."),
  );
}

/**
 * @param {Kept} kept
 * @param {number | null} placement
 * @param {string} text
 * @param {() => void} read
 */
function notice(kept, placement, text, read) {
  const piece = kept.job.pieces.find((each) => each.placement === placement);
  return h("p", { class: "notice look" }, piece ? `Piece ${piece.number}: ${text}` : text, " ", button("I have read this", "small", read));
}

/** @param {Page} page */
export function overview(page) {
  const { kept, pieces, problems, act } = page;
  const { job } = kept;
  const { facts } = job;
  const nextUp = pieces.find((piece) => !piece.state.up);
  const done = pieces.filter((piece) => piece.state.up).length;
  const up = `${done} of ${pieces.length}`;
  return [
    h("header", { class: "top" }, h("p", { class: "quiet" }, facts.studio), light(act)),
    h("h1", {}, facts.project),
    facts.address && h("p", {}, facts.address),
    facts.note && h("p", { class: "notice" }, facts.note),
    h("p", { class: "quiet" }, `Revision ${facts.revision}, signed by ${facts.signed_by}`),
    stops(page),
    carriedOver(job),
    notices(page),
    signed(page),
    problemList(null, problems, act),
    h("p", { class: "count" }, h("b", {}, up), " up"),
    h("progress", { value: done, max: pieces.length }, up),
    job.walls.map((wall) =>
      h(
        "section",
        {},
        h("h2", {}, wall.name),
        h("p", { class: "quiet" }, `${wall.size}, ${wall.build}`),
        h("ol", { class: "pieces", role: "list" }, pieces.filter((piece) => piece.wall === wall.name).map((piece) => row(piece, act))),
      ),
    ),
    folded(
      "To bring",
      null,
      list([...job.fixings.map(brought), ...job.tools]),
    ),
    folded("Off the van", "form", unloadForm(pieces, act)),
    folded(
      "To load, what hangs last first",
      null,
      job.loading.map(({ place, pieces: there }) => [h("h3", {}, place), list(there.map(loaded))]),
    ),
    folded("Report a problem with the job", "form", problemForm(null, kept, act)),
    folded("When something does not match", null, h("dl", {}, job.mismatches.map((m) => [h("dt", {}, m.what), h("dd", {}, m.do)]))),
    photoPick(null, { photos: 0, after: done > 0 }, act),
    h(
      "p",
      { class: "ways" },
      button("Hand over", "small", act.handOver),
      canSpeak() && button(speaks() ? "Reading measures aloud: on" : "Reading measures aloud: off", "small", act.voice),
      button("Take this job off the phone", "small", act.forget),
    ),
    h(
      "div",
      { class: "thumb" },
      nextUp
        ? button(`Go to piece ${nextUp.number}`, "wide", () => act.show(nextUp))
        : button("All up. Hand over", "wide", act.handOver),
    ),
  ];
}

/** @param {import("./job.js").Job["fixings"][number]} fixing */
const brought = ({ count, spare, name, builds }) => `${count} and ${spare} spare: ${name} (${builds})`;

/** @param {{ number: number, title: string, size: string, weight: string }} piece */
const loaded = ({ number, title, size, weight }) => `${number}, ${title}: ${size}, ${weight}`;

/**
 * @param {Standing} piece
 * @param {Acts} act
 */
function row(piece, act) {
  const marks = [
    piece.state.problems.some((problem) => !problem.solved) && "problem",
    !piece.hooks.length && !piece.stands && !piece.fresh && "measure first",
  ].filter(Boolean);
  const inner = [
    h("span", { class: "number" }, String(piece.number)),
    h("span", { class: "name" }, piece.title, marks.length > 0 && h("small", {}, ` ${marks.join(", ")}`)),
    h("span", { class: "tick" }, piece.state.up && "✓ up"),
  ];
  const press = () => act.show(piece);
  return h("li", {}, h("button", { type: "button", class: piece.state.up ? "row up" : "row", onclick: press }, inner));
}

/**
 * The piece as it is shown: with the hooks of a drop that waits to be sent.
 * @param {Standing} piece
 * @param {Kept} kept
 * @returns {Piece}
 */
export function asShown(piece, kept) {
  const { drop_mm, apart_mm } = piece.state;
  return piece.fresh && drop_mm !== null ? remeasured(piece, drop_mm, apart_mm, kept.job.units.style) : piece;
}

/**
 * @param {Page} page
 * @param {number} at the piece's place in the order
 * @param {string | null} picture its address
 */
export function onePiece(page, at, picture) {
  const { kept, pieces, act } = page;
  const piece = pieces[at];
  const { state } = piece;
  const shown = asShown(piece, kept);
  const { hooks } = shown;
  const ready = hooks.length > 0 || Boolean(piece.stands);
  return [
    h(
      "header",
      { class: "top" },
      button("‹ All pieces", "back", act.overview),
      h("p", { class: "quiet" }, `${piece.step} of ${piece.steps} on this wall`),
      light(act),
    ),
    stops(page),
    heading(piece, picture),
    hooks.length ? numbers(shown, kept) : piece.stands ? h("p", {}, piece.order) : dropForm(piece, kept, act),
    speaks() && button("Say it again", "small", () => speak(sentence(shown))),
    notices(page),
    kept.floors?.[piece.wall] && uneven(piece, kept, act),
    shown.check && h("p", { class: "check" }, "Check: between hooks ", h("b", {}, shown.check)),
    drawing(piece),
    hooks.length > 0 && how(shown),
    list(piece.notes, "marked"),
    shown.cautions.length > 0 && h("section", {}, h("h2", {}, "Mind"), list(shown.cautions.map(({ text }) => text), "marked")),
    asHung(piece, kept, act),
    folded("Report a problem", "form", problemForm(piece, kept, act)),
    problemList(piece, state.problems, act),
    conditionForm(piece, kept, act, picture),
    photoPick(piece, { photos: state.photos, after: state.up }, act),
    folded("The floor is not level", "form", floorForm(piece, kept, act)),
    hooks.length > 0 && folded("The drop is different", "form", dropForm(piece, kept, act)),
    thumb(page, at, ready),
  ];
}

/**
 * Which piece it is: its number, title, size and picture.
 * @param {Standing} piece
 * @param {string | null} picture its address
 */
function heading(piece, picture) {
  return h(
    "section",
    { class: "which" },
    h("p", { class: "big-number" }, String(piece.number)),
    h(
      "div",
      {},
      h("h1", {}, piece.title),
      h("p", {}, piece.maker && `${piece.maker}. `, `${piece.size}, ${piece.weight}`),
      h("p", { class: "quiet" }, piece.wall, piece.state.carried !== null && `, hung with revision ${piece.state.carried}`),
    ),
    picture && h("img", { src: picture, alt: "" }),
  );
}

/**
 * What the thumb reaches: the piece before, up or not, the next one.
 * @param {Page} page
 * @param {number} at the piece's place in the order
 * @param {boolean} ready whether it can go up
 */
function thumb({ kept, pieces, act }, at, ready) {
  const piece = pieces[at];
  const { state } = piece;
  return h(
    "div",
    { class: "thumb" },
    button("‹", "side", () => act.show(pieces[at - 1]), { disabled: at === 0, "aria-label": "The piece before" }),
    state.up
      ? button(`Up ${clock(state.up_at, kept.job.facts.zone)}. Take down?`, "wide done", () => act.down(piece))
      : button(ready ? "It is up" : "Measure first", "wide", () => act.up(piece), { disabled: !ready }),
    button("›", "side", () => act.show(pieces[at + 1]), { disabled: at === pieces.length - 1, "aria-label": "The next piece" }),
  );
}

/**
 * A piece as a drop that waits to be sent has it.
 * @param {Piece} piece
 * @param {number} drop [mm]
 * @param {number} apart [mm]
 * @param {import("./job.js").Style} style
 * @returns {Piece}
 */
function remeasured(piece, drop, apart, style) {
  return {
    ...piece,
    drop: length(drop, style),
    hooks: points(piece, drop, apart, style),
    check: between(piece, apart, style),
    cautions: minded(piece, drop, apart, style),
    order: "",
  };
}

/** @param {Piece} piece */
function how({ hooks, order }) {
  const steps =
    "Mark each hook from the wall's left end and from the finished floor. The numbers are to the seat of the hook, not the nail. ";
  const fixed = hooks.filter((hook) => hook.fixing);
  return h(
    "section",
    {},
    h("h2", {}, "How"),
    h("p", {}, steps, order),
    h("ul", {}, fixed.map(({ label, fixing, stud }) => h("li", {}, `${label}: ${[fixing, stud].filter(Boolean).join(", ")}`))),
  );
}

/**
 * @param {Piece} piece
 * @param {Kept} kept
 */
function numbers({ hooks, drop, bearer, wall, reckon }, { job, floors }) {
  const floor = floors?.[wall];
  const { style } = job.units;
  const told = hooks.map((hook) => heights(hook, floor, { wall_mm: reckon.wall_mm, level_mm: job.level.mm }, style));
  const level = floor ? length(Math.min(floor.left_mm, floor.right_mm), style) : job.level.text;
  const below = drop && `Hook ${drop} below the top edge`;
  const above = bearer && hooks[0].bearer && `${hooks[0].bearer} above the ${bearer}`;
  const levels = [...new Set(told.map((each) => each.level))].join(", ");
  const heads = ["Hook", "From left end", floor ? "From floor here" : "From floor"];
  return h(
    "table",
    { class: "numbers" },
    h("thead", {}, h("tr", {}, heads.map((head) => h("th", { scope: "col" }, head)))),
    h(
      "tbody",
      {},
      hooks.map(({ label, datum }, index) =>
        h("tr", {}, h("th", { scope: "row" }, label), h("td", {}, datum), h("td", {}, told[index].floor)),
      ),
    ),
    h("caption", {}, [below, above, `${levels} from a level line ${level} up`].filter(Boolean).join("; ")),
  );
}

/**
 * @param {Piece} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
function uneven(piece, kept, act) {
  const floor = kept.floors?.[piece.wall];
  if (!floor) return null;
  const apart = length(Math.abs(floor.left_mm - floor.right_mm), kept.job.units.style);
  const end = floor.left_mm > floor.right_mm ? "left" : "right";
  return h(
    "p",
    { class: "notice look" },
    `The floor is ${apart} lower at the ${end} end: heights are from the floor under each hook. `,
    button("Take it back", "small", () => act.floor(piece, null)),
  );
}

/**
 * The floor measured down from a level line at both ends of the wall: it is kept on this phone.
 * @param {Piece} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
function floorForm(piece, kept, act) {
  const most = /** @type {const} */ ([1, 10_000]);
  return form(
    `${piece.wall}/floor`,
    null,
    (sent) => {
      const left = lengthIn(sent, "floorLeft", most, kept);
      const right = lengthIn(sent, "floorRight", most, kept);
      if (typeof left === "number" && typeof right === "number") act.floor(piece, { left_mm: left, right_mm: right });
    },
    h("p", {}, `Strike a level line about ${kept.job.level.text} up. Measure from it down to the floor at both ends of this wall.`),
    lengthField("Line to floor at the left end", "floorLeft", kept),
    lengthField("Line to floor at the right end", "floorRight", kept),
    h("button", { type: "submit" }, "Correct the heights"),
  );
}

/**
 * A drop is said back before it gives points: a hole in the wrong place cannot be taken back.
 * @param {Piece} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
function dropForm(piece, kept, act) {
  const { style } = kept.job.units;
  const { limits } = piece.reckon;
  const said = h("div", { class: "said-back", role: "status" });
  const show = h("button", { type: "submit" }, "Show the hook points");
  const back = () => {
    said.replaceChildren();
    show.hidden = false;
  };
  const made = form(
    formName(piece, "drop"),
    "measure-first",
    (sent) => {
      const drop = lengthIn(sent, "drop", limits.drop_mm, kept);
      const apart = lengthIn(sent, "apart", limits.apart_mm, kept) ?? (field(sent, "apart").value.trim() ? null : 0);
      if (typeof drop !== "number" || apart === null) return;
      const hooks = apart > 0 ? `Two hooks, ${length(apart, style)} from one to the other.` : "One hook, at the middle of the piece.";
      show.hidden = true;
      said.replaceChildren(
        h("p", {}, "You measured ", h("b", {}, length(drop, style)), ` from the top edge down to the hook. ${hooks}`),
        button("Yes, that is what I measured", "wide", () => act.drop(piece, drop, apart)),
        button("No, change it", "wide", back),
      );
    },
    h("h2", {}, "Measure before drilling"),
    h("p", {}, "Pull the wire up as the hook will, or find where the ring rests. Measure from there to the top edge of the frame."),
    lengthField("Drop from the top edge", "drop", kept),
    lengthField("Between two hooks (blank for one)", "apart", kept, false),
    show,
    said,
  );
  made.addEventListener("input", back);
  return made;
}

/**
 * @param {Piece} piece
 * @param {Kept} kept
 */
function hungAs(piece, kept) {
  const { measured } = piece.state;
  if (!measured) return null;
  const { left_mm } = measured;
  const { tolerance, units } = kept.job;
  const wrong = left_mm === undefined ? (measured.faults ?? []) : faults(piece, { ...measured, left_mm }, tolerance, units.style);
  return h(
    "p",
    { class: wrong.length ? "notice stop" : "notice good" },
    wrong.length ? `As hung: ${wrong.join("; ")}.` : "As hung: within tolerance.",
  );
}

/**
 * @param {Piece} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
function asHung(piece, kept, act) {
  const { tolerance } = kept.job;
  const planned = `Planned: left edge ${piece.plan.left}, top edge ${piece.plan.top}.`;
  const measuring = form(
    formName(piece, "measured"),
    null,
    (sent) => {
      const { left_mm, top_left_mm, top_right_mm } = piece.reckon.limits;
      const left = lengthIn(sent, "left", left_mm, kept);
      const topLeft = lengthIn(sent, "topLeft", top_left_mm, kept);
      const topRight = lengthIn(sent, "topRight", top_right_mm, kept);
      if (typeof left !== "number" || typeof topLeft !== "number" || topRight === null) return;
      // Measured from the floor under each corner, judged from the floor's highest point.
      const low = (/** @type {number} */ x) => lower(kept.floors?.[piece.wall], x, piece.reckon.wall_mm);
      const end = left + 2 * (piece.reckon.middle_mm - piece.reckon.left_mm);
      const right = topRight === undefined ? {} : { top_right_mm: topRight - low(end) };
      act.measured(piece, { left_mm: left, top_left_mm: topLeft - low(left), ...right });
    },
    h("p", {}, `${planned} Tolerance ${tolerance.text}, level ${tolerance.level_text}.`),
    lengthField("Left edge from the wall's left end", "left", kept),
    lengthField("Top left corner from the floor", "topLeft", kept),
    lengthField("Top right corner from the floor", "topRight", kept, false),
    h("button", { type: "submit" }, "Save as hung"),
  );
  return h(
    "section",
    {},
    hungAs(piece, kept),
    byPhoto(piece),
    folded("Measure as hung", "form", measuring),
    folded("Measure by photo", "form", cardForm(piece, kept, act)),
  );
}

/** @param {Piece} piece */
function byPhoto({ by_photo: seen }) {
  if (!seen) return null;
  const kind = seen.waiting ? "notice" : seen.off ? "notice stop" : seen.conclusive ? "notice good" : "notice look";
  return h("p", { class: kind }, `By photo: ${seen.text}`.replace(/[^.]$/, "$&."));
}

/**
 * The whole photo goes to the office: its detail is what is measured.
 * @param {Piece} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
function cardForm(piece, kept, act) {
  const steps =
    "Tape the reference card level beside the piece, flat on the wall. Measure where it is, then photograph the piece and " +
    "the card together, straight on and as close as shows both.";
  const taken = h("span", {}, "Take the photo");
  const pick = (/** @type {Event & { target: HTMLInputElement }} */ { target }) => {
    taken.textContent = target.files?.length ? "Photo taken. Take another" : "Take the photo";
  };
  return form(
    formName(piece, "card"),
    null,
    (sent) => {
      const { card_left_mm, card_bottom_mm } = piece.reckon.limits;
      const left = lengthIn(sent, "cardLeft", card_left_mm, kept);
      const bottom = lengthIn(sent, "cardBottom", card_bottom_mm, kept);
      const file = field(sent, "photo").files?.[0];
      if (left === null || bottom === null || !file) return;
      const ruler = field(sent, "ruler").checked ? 100 : undefined;
      act.measuredPhoto(piece, file, { card_left_mm: left, card_bottom_mm: bottom, ruler_mm: ruler });
    },
    h("p", {}, steps),
    lengthField("Card's left edge from the wall's left end", "cardLeft", kept),
    lengthField("Card's lower edge from the floor", "cardBottom", kept),
    h("label", { class: "choice" }, h("input", { type: "checkbox", name: "ruler" }), "The card's printed ruler measures 100 mm"),
    h("label", { class: "file" }, taken, fileInput({ name: "photo", required: true, onchange: pick })),
    h("button", { type: "submit" }, "Send it to be measured"),
  );
}

/**
 * @param {Kept[]} known
 * @param {(link: string) => void} open
 */
export function several(known, open) {
  if (!known.length) {
    const empty = "No job is on this phone. Open the link or scan the code that the office gave you.";
    return [h("h1", {}, "Jobs on this phone"), h("p", { class: "notice" }, empty)];
  }
  const rows = known.map(({ links, job: { facts } }) => {
    const name = h("span", { class: "name" }, `${facts.project}, revision ${facts.revision}`, h("small", {}, ` for ${facts.hanger}`));
    return h("li", {}, h("button", { type: "button", class: "row", onclick: () => open(links[0]) }, name));
  });
  return [h("h1", {}, "Jobs on this phone"), h("ul", { class: "pieces", role: "list" }, rows)];
}

/** @param {string} text */
export function closed(text) {
  return [h("h1", {}, "This link does not open"), h("p", { class: "notice stop" }, text)];
}
