// The hand-over: whoever stands there looks at each wall, and signs by name and with a finger.

import { field } from "../../studio/dom.js";
import { signaturePad, strokesIn } from "./pad.js";
import { button, choice, form, formName, h, light, list, moment, nameField } from "./parts.js";
import { asSvg } from "./zoom.js";

/**
 * @typedef {import("./job.js").Standing} Standing
 * @typedef {import("./parts.js").Page} Page
 */

/**
 * How a piece stands, in a line for whoever takes it over.
 * @param {Standing} piece
 */
function line({ number, title, state }) {
  const open = state.problems.filter((problem) => !problem.solved);
  const measured = state.measured ? "as hung, measured" : "as planned";
  return [
    h("b", {}, String(number)),
    ` ${title}: `,
    state.up ? `up, ${measured}` : h("b", {}, "not up"),
    open.length > 0 && h("b", {}, `; to solve: ${open.map(({ text, note }) => note || text).join(", ")}`),
  ];
}

/** @param {Page} page */
export function signed({ kept, waiting }) {
  const { handed_over, facts } = kept.job;
  const mine = waiting.filter(({ action }) => action.kind === "handed_over").map(({ action }) => action);
  return [
    handed_over.map(({ name, at, up, count }) =>
      h("p", { class: "notice good" }, `Handed over to ${name}, ${moment(at, facts.zone)}: ${up} of ${count} up.`),
    ),
    mine.map(({ payload, done_at }) =>
      h("p", { class: "notice" }, `Signed by ${payload.name}, ${moment(done_at, facts.zone)}: waits to be sent.`),
    ),
  ];
}

/** @param {Page} page */
export function handOver(page) {
  const { kept, pieces, problems, act } = page;
  const { job } = kept;
  const up = pieces.filter(({ state }) => state.up).length;
  const open = problems.filter((problem) => !problem.solved).map(({ text, note }) => note || text);
  const fault = h("p", { class: "notice look", role: "alert", hidden: true }, "Sign with a finger in the box first.");
  const walls = job.walls.map((wall, index) =>
    h(
      "section",
      { class: "looked" },
      h("h2", {}, wall.name),
      h("figure", { class: "drawing" }, asSvg(wall.drawing)),
      list(pieces.filter((piece) => piece.wall === wall.name).map(line), "plain"),
      choice({ type: "checkbox", name: `wall-${index}`, required: true }, "I have looked at this wall"),
    ),
  );
  return [
    h("header", { class: "top" }, button("‹ All pieces", "back", act.overview), light(act)),
    h("h1", {}, "Hand over"),
    h("p", {}, `For the client, or whoever stands here. ${up} of ${pieces.length} pieces are up. Look at each wall, then sign.`),
    open.length > 0 && h("p", { class: "notice look" }, `Of the job, still to solve: ${open.join("; ")}.`),
    signed(page),
    form(
      formName(null, "handed_over"),
      null,
      (sent) => {
        const strokes = strokesIn(field(sent, "strokes").value);
        fault.hidden = strokes.length > 0;
        if (!strokes.length) return;
        act.handedOver({
          name: field(sent, "name").value.trim(),
          note: field(sent, "note", HTMLTextAreaElement).value.trim(),
          sha256: job.facts.sha256,
          walls: job.walls.map(({ id }) => id),
          strokes,
        });
      },
      walls,
      nameField("Your name", "name"),
      h("label", {}, "Anything to add (optional)", h("textarea", { name: "note", rows: "2" })),
      h("p", { class: "quiet" }, "Sign with a finger. The signature goes with your name and the time into the record of this job."),
      h("div", { oninput: () => { fault.hidden = true; } }, signaturePad()),
      fault,
      h("p", { class: "quiet hash" }, `Revision ${job.facts.revision}, record ${job.facts.sha256.slice(0, 16)}…`),
      h("button", { type: "submit" }, "Sign for it"),
    ),
  ];
}
