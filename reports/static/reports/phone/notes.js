// What is noted of a piece or of the job: problems and how they were solved, its condition, its way off the van, photos.

import { all, field, need } from "../../studio/dom.js";
import { button, choice, fileInput, folded, form, formName, h, list, nameField } from "./parts.js";

/**
 * @typedef {import("./job.js").Standing} Standing
 * @typedef {import("./job.js").Piece} Piece
 * @typedef {import("./job.js").Problem} Problem
 * @typedef {import("./store.js").Kept} Kept
 * @typedef {import("./parts.js").Acts} Acts
 * @typedef {{ what: string, text: string }} Kind
 */

/**
 * The problems of a piece or of the job: each stays, with the word that solved it.
 * @param {Piece | null} piece
 * @param {Problem[]} problems
 * @param {Acts} act
 */
export function problemList(piece, problems, act) {
  return problems.map(({ uuid, text, note, solved }) => {
    const said = note ? `${text}: ${note}` : text;
    if (solved) return h("p", { class: "notice good" }, `${said}. `, h("b", {}, "Solved: "), solved);
    const solving = form(
      formName(piece, `solved-${uuid}`),
      null,
      (sent) => act.solved(piece, uuid, field(sent, "note", HTMLTextAreaElement).value.trim()),
      h("label", {}, "How was it solved?", h("textarea", { name: "note", rows: "2", required: true })),
      h("button", { type: "submit" }, "It is solved"),
    );
    return h("div", { class: "notice look" }, h("p", {}, said), folded("It is solved", "form", solving));
  });
}

/**
 * @param {Piece | null} piece
 * @param {Kept} kept
 * @param {Acts} act
 */
export function problemForm(piece, kept, act) {
  const kinds = kept.job.problems.map(({ what, text }) =>
    choice({ type: "radio", name: "what", value: what, required: true }, text),
  );
  return form(
    formName(piece, "problem"),
    null,
    (sent) => {
      const what = need(sent, "[name=what]:checked", HTMLInputElement).value;
      const note = field(sent, "note", HTMLTextAreaElement).value.trim();
      act.problem(piece, what, note, field(sent, "photo").files?.[0]);
    },
    h("fieldset", {}, h("legend", {}, "What is wrong"), kinds),
    h("label", {}, "Describe it", h("textarea", { name: "note", rows: "2" })),
    withPhoto("With a photo"),
    h("button", { type: "submit" }, "Report it"),
  );
}

/**
 * A photo that goes with a form.
 * @param {string} text
 */
function withPhoto(text) {
  const told = h("span", {}, text);
  const chosen = () => {
    told.textContent = "With the photo that you took";
  };
  return h("label", { class: "file" }, told, fileInput({ name: "photo", onchange: chosen }));
}

/**
 * How a piece was found at unpacking and after hanging, with marks on its picture.
 * @param {Standing} piece
 * @param {Kept} kept
 * @param {Acts} act
 * @param {string | null} picture its address
 */
export function conditionForm(piece, kept, act, picture) {
  const { job } = kept;
  const { conditions, up } = piece.state;
  const choices = (/** @type {string} */ name, /** @type {Kind[]} */ of, first = "") =>
    of.map(({ what, text }) => choice({ type: "radio", name, value: what, required: true, checked: what === first }, text));
  const textOf = (/** @type {Kind[]} */ of, /** @type {string} */ what) => of.find((one) => one.what === what)?.text ?? what;
  const made = form(
    formName(piece, "condition"),
    null,
    (sent) => {
      const chosen = (/** @type {string} */ name) => need(sent, `[name=${name}]:checked`, HTMLInputElement).value;
      const marks = picture ? JSON.parse(field(sent, "marks").value || "[]") : [];
      const note = field(sent, "note", HTMLTextAreaElement).value.trim();
      act.condition(piece, { when: chosen("when"), found: chosen("found"), note, marks }, field(sent, "photo").files?.[0]);
    },
    h("fieldset", {}, h("legend", {}, "When"), choices("when", job.moments, up ? "hung" : "unpacked")),
    h("fieldset", {}, h("legend", {}, "How it is"), choices("found", job.conditions)),
    picture && markOn(picture),
    h("label", {}, "In words", h("textarea", { name: "note", rows: "2" })),
    withPhoto("With a photo of it"),
    h("button", { type: "submit" }, "Note the condition"),
  );
  return [
    conditions.map(({ when, found, note, marks }) =>
      h(
        "p",
        { class: found === "marked" ? "notice look" : "notice good" },
        `${textOf(job.moments, when)}: ${textOf(job.conditions, found).toLowerCase()}`,
        note && ` (${note})`,
        marks.length > 0 && `, ${marks.length} marked on the picture`,
        ".",
      ),
    ),
    folded("Condition", "form", made),
  ];
}

/**
 * The piece's picture, on which a tap sets a mark; the field `marks` keeps them.
 * @param {string} picture its address
 */
function markOn(picture) {
  const kept = h("input", { type: "hidden", name: "marks" });
  const rings = h("span", { class: "rings" });
  const marks = () => /** @type {[number, number][]} */ (JSON.parse(kept.value || "[]"));
  const keep = (/** @type {[number, number][]} */ now) => {
    kept.value = now.length ? JSON.stringify(now) : "";
    kept.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const tap = (/** @type {PointerEvent & { currentTarget: HTMLElement }} */ event) => {
    const box = event.currentTarget.getBoundingClientRect();
    const share = (/** @type {number} */ at, /** @type {number} */ of) => Math.max(0, Math.min(1000, Math.round((at / of) * 1000)));
    keep([...marks(), [share(event.clientX - box.left, box.width), share(event.clientY - box.top, box.height)]]);
  };
  kept.addEventListener("input", () => {
    rings.replaceChildren(
      ...marks().map(([x, y], index) => {
        const ring = h("i", {}, String(index + 1));
        [ring.style.left, ring.style.top] = [`${x / 10}%`, `${y / 10}%`];
        return ring;
      }),
    );
  });
  return h(
    "div",
    { class: "mark-on" },
    h("p", {}, "Tap the picture where a mark or damage is."),
    h("span", { class: "marked-picture", onclick: tap }, h("img", { src: picture, alt: "The piece, to be marked" }), rings),
    kept,
    button("Take the last mark back", "small", () => keep(marks().slice(0, -1))),
  );
}

/**
 * Photos of a piece or of the job, several at once, from the camera or from the gallery.
 * @param {Piece | null} piece
 * @param {{ photos: number, after: boolean }} state how many there are, and whether it hangs already
 * @param {Acts} act
 */
export function photoPick(piece, { photos, after }, act) {
  const pick = (/** @type {Event & { target: HTMLInputElement }} */ { target }) => {
    act.photos(piece, [...(target.files ?? [])], after ? "after" : "before");
  };
  const when = after ? "after hanging" : "before hanging";
  return h(
    "section",
    { class: "photos" },
    h("h2", {}, photos ? `Photos: ${photos}` : "Photos"),
    h("p", { class: "quiet" }, `What is added now is kept as taken ${when}.`),
    h(
      "div",
      { class: "ways" },
      h("label", { class: "file" }, "Camera", fileInput({ capture: "environment", onchange: pick })),
      h("label", { class: "file" }, "From the gallery", fileInput({ multiple: true, onchange: pick })),
    ),
  );
}

/**
 * What stands on the van, and who takes it off.
 * @param {Standing[]} pieces
 * @param {Acts} act
 */
export function unloadForm(pieces, act) {
  const here = pieces.filter(({ state }) => !state.unloaded_by && !state.up);
  const off = pieces.filter(({ state }) => state.unloaded_by);
  return [
    list(off.map(({ number, title, state }) => `${number}, ${title}: taken off by ${state.unloaded_by}`)),
    here.length > 0 &&
      form(
        formName(null, "unloaded"),
        null,
        (sent) => {
          const taken = new Set(all(sent, "[type=checkbox]:checked", HTMLInputElement).map(({ name }) => name));
          const first = all(sent, "[type=checkbox]", HTMLInputElement)[0];
          first.setCustomValidity(taken.size ? "" : "Tick what was taken off the van.");
          if (!first.reportValidity()) return;
          act.unloaded(here.filter(({ placement }) => taken.has(`piece-${placement}`)), field(sent, "by").value.trim());
        },
        nameField("Who takes them off the van", "by"),
        here.map(({ placement, number, title }) => choice({ type: "checkbox", name: `piece-${placement}` }, `${number}, ${title}`)),
        h("button", { type: "submit" }, "They are off the van"),
      ),
  ];
}
