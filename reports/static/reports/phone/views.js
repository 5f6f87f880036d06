// The screens: built from data alone, told what to do by `act` (a handful of callbacks of app.js).

import { length, parse } from "../../studio/lengths.js";
import { faults, points } from "./measure.js";

export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(key, value);
  }
  made.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false && child !== ""));
  return made;
}

function drawing(svg) {
  const read = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  const made = document.importNode(read, true);
  made.removeAttribute("width");
  made.removeAttribute("height");
  return h("figure", { class: "drawing" }, made);
}

function clock(iso) {
  return iso ? new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" }) : "";
}

function notices(kept, waiting, act, offline) {
  const { job } = kept;
  return h(
    "div",
    { class: "notices" },
    kept.gone && h("p", { class: "notice stop" }, kept.gone, waiting.length ? ` ${waiting.length} of your notes are kept on this phone: show them to the office.` : ""),
    job.outdated &&
      h(
        "details",
        { class: "notice stop", open: true },
        h("summary", {}, `Out of date. Revision ${job.outdated.revision} is signed; this job is revision ${job.facts.revision}. Stop and ask the office for the new link.`),
        job.outdated.walls.map((wall) => [h("h3", {}, wall.wall), h("ul", {}, wall.changes.map((change) => h("li", {}, change)))]),
      ),
    job.facts.closed && h("p", { class: "notice" }, "This job is closed."),
    kept.said.map((one, index) => notice(kept, one.placement, one.text, () => act.read("said", index))),
    kept.refused.map((one, index) => notice(kept, one.placement, `Not taken: ${one.why}`, () => act.read("refused", index))),
    h(
      "p",
      { class: "signal", role: "status" },
      waiting.length ? `${waiting.length} to send${offline ? ", waiting for a signal" : ""}.` : "All sent.",
      ` Job fetched ${clock(kept.fetched)}.`,
      offline ? " No signal: everything is on this phone." : "",
    ),
  );
}

function notice(kept, placement, text, read) {
  const piece = kept.job.pieces.find((one) => one.placement === placement);
  return h("p", { class: "notice look" }, piece ? `Piece ${piece.number}: ${text}` : text, " ", h("button", { type: "button", class: "small", onclick: read }, "I have read this"));
}

function light(act) {
  return h("button", { type: "button", class: "light", onclick: act.light, "aria-label": "Change the light: by the phone, dark, bright sun" }, act.lightName());
}

export function overview(kept, pieces, waiting, act, offline) {
  const { job } = kept;
  const up = pieces.filter((piece) => piece.state.up).length;
  const nextUp = pieces.find((piece) => !piece.state.up);
  const walls = job.walls.map((wall) => ({ ...wall, pieces: pieces.filter((piece) => piece.wall === wall.name) }));
  return [
    h("header", { class: "top" }, h("p", { class: "quiet" }, job.facts.studio), light(act)),
    h("h1", {}, job.facts.project),
    job.facts.address && h("p", {}, job.facts.address),
    job.facts.note && h("p", { class: "notice" }, job.facts.note),
    h("p", { class: "quiet" }, `Revision ${job.facts.revision}, signed by ${job.facts.signed_by}`),
    notices(kept, waiting, act, offline),
    h("p", { class: "count" }, h("b", {}, `${up} of ${pieces.length}`), " up"),
    h("progress", { value: up, max: pieces.length }, `${up} of ${pieces.length}`),
    walls.map((wall) =>
      h(
        "section",
        {},
        h("h2", {}, wall.name),
        h("p", { class: "quiet" }, `${wall.size}, ${wall.build}`),
        h("ol", { class: "pieces", role: "list" }, wall.pieces.map((piece) => h("li", {}, h("button", { type: "button", class: piece.state.up ? "row up" : "row", onclick: () => act.show(piece) }, h("span", { class: "number" }, String(piece.number)), h("span", { class: "name" }, piece.title, mark(piece)), h("span", { class: "tick" }, piece.state.up ? "✓ up" : ""))))),
      ),
    ),
    h("details", {}, h("summary", {}, "To bring"), h("ul", {}, job.fixings.map((one) => h("li", {}, `${one.count} × ${one.name} (${one.builds})`)), job.tools.map((tool) => h("li", {}, tool)))),
    h("details", {}, h("summary", {}, "To load"), job.loading.map((place) => [h("h3", {}, place.place), h("ul", {}, place.pieces.map((piece) => h("li", {}, `${piece.number}, ${piece.title}: ${piece.size}, ${piece.weight}`)))])),
    h("details", {}, h("summary", {}, "When something does not match"), h("dl", {}, job.mismatches.map((one) => [h("dt", {}, one.what), h("dd", {}, one.do)]))),
    h("p", {}, h("button", { type: "button", class: "small", onclick: act.forget }, "Take this job off the phone")),
    h("div", { class: "thumb" }, h("button", { type: "button", class: "wide", onclick: () => act.show(nextUp ?? pieces[0]) }, nextUp ? `Go to piece ${nextUp.number}` : "All up. Look through them")),
  ];
}

function mark(piece) {
  const said = [];
  if (piece.state.problems.length) said.push("problem");
  if (!piece.hooks.length && piece.state.drop_mm === null) said.push("measure first");
  return said.length ? h("small", {}, ` ${said.join(", ")}`) : null;
}

export function onePiece(kept, pieces, at, waiting, act, offline, picture) {
  const piece = pieces[at];
  const { state } = piece;
  const { style } = kept.job.units;
  const measuredDrop = !piece.hooks.length && state.drop_mm !== null;
  const hooks = measuredDrop ? points(piece, state.drop_mm, state.apart_mm, style) : piece.hooks;
  return [
    h("header", { class: "top" }, h("button", { type: "button", class: "back", onclick: act.overview }, "‹ All pieces"), h("p", { class: "quiet" }, `${piece.step} of ${piece.steps} on this wall`), light(act)),
    notices(kept, waiting, act, offline),
    h("section", { class: "which" }, h("p", { class: "big-number" }, String(piece.number)), h("div", {}, h("h1", {}, piece.title), h("p", {}, piece.maker ? `${piece.maker}. ` : "", `${piece.size}, ${piece.weight}`), h("p", { class: "quiet" }, piece.wall)), picture && h("img", { src: picture, alt: "" })),
    hooks.length ? numbers(piece, hooks, measuredDrop ? length(state.drop_mm, style) : piece.drop) : dropForm(piece, kept, act),
    piece.check && h("p", { class: "check" }, "Check: between hooks ", h("b", {}, piece.check)),
    drawing(piece.drawing),
    hooks.length > 0 && h("section", {}, h("h2", {}, "How"), h("p", {}, `Mark each hook from the wall's left end and from the finished floor. The numbers are to the seat of the hook, not the nail. `, piece.order), h("ul", {}, hooks.map((hook) => hook.fixing && h("li", {}, `${hook.label}: ${[hook.fixing, hook.stud].filter(Boolean).join(", ")}`)))),
    piece.notes.length > 0 && h("ul", { class: "marked" }, piece.notes.map((note) => h("li", {}, note))),
    piece.cautions.length > 0 && h("section", {}, h("h2", {}, "Mind"), h("ul", { class: "marked" }, piece.cautions.map((caution) => h("li", {}, caution)))),
    asHung(piece, kept, act),
    h("details", { class: "form" }, h("summary", {}, "Report a problem"), problemForm(piece, kept, act)),
    state.problems.map((one) => h("p", { class: "notice look" }, one.note ? `${one.text}: ${one.note}` : one.text)),
    h("label", { class: "file" }, state.photos ? `Photos: ${state.photos}. Add one` : "Add a photo", h("input", { type: "file", accept: "image/*", capture: "environment", onchange: (event) => event.target.files[0] && act.photo(piece, event.target.files[0]) })),
    measuredDrop && h("details", { class: "form" }, h("summary", {}, "Measure the drop again"), dropForm(piece, kept, act)),
    h(
      "div",
      { class: "thumb" },
      h("button", { type: "button", class: "side", disabled: at === 0, onclick: () => act.show(pieces[at - 1]), "aria-label": "The piece before" }, "‹"),
      state.up
        ? h("button", { type: "button", class: "wide done", onclick: () => act.down(piece) }, `Up ${clock(state.up_at)}. Take down?`)
        : h("button", { type: "button", class: "wide", disabled: !hooks.length, onclick: () => act.up(piece) }, hooks.length ? "It is up" : "Measure first"),
      h("button", { type: "button", class: "side", disabled: at === pieces.length - 1, onclick: () => act.show(pieces[at + 1]), "aria-label": "The next piece" }, "›"),
    ),
  ];
}

function numbers(piece, hooks, drop) {
  return h(
    "table",
    { class: "numbers" },
    h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "Hook"), h("th", { scope: "col" }, "From left end"), h("th", { scope: "col" }, "From floor"))),
    h("tbody", {}, hooks.map((hook) => h("tr", {}, h("th", { scope: "row" }, hook.label), h("td", {}, hook.datum), h("td", {}, hook.floor)))),
    h("caption", {}, [drop && `Hook ${drop} below the top edge`, piece.bearer && hooks[0].bearer && `${hooks[0].bearer} above the ${piece.bearer}`].filter(Boolean).join("; ")),
  );
}

function lengthField(label, name, kept, required = true) {
  return h("label", { class: "length" }, label, h("input", { name, inputmode: "text", autocomplete: "off", required, placeholder: kept.job.units.metric ? "mm" : "5' 3 1/2\"" }));
}

function read(form, name, kept) {
  const field = form.elements[name];
  if (!field.value.trim()) return undefined;
  const mm = parse(field.value, kept.job.units.style);
  field.setCustomValidity(mm === null ? "This is not a length. Type it like 63 1/2, 5' 3 1/2\" or 161 cm." : "");
  if (mm === null) field.reportValidity();
  return mm;
}

function dropForm(piece, kept, act) {
  return h(
    "form",
    {
      class: "measure-first",
      oninput: (event) => event.target.setCustomValidity?.(""),
      onsubmit: (event) => {
        event.preventDefault();
        const drop = read(event.target, "drop", kept);
        const apart = read(event.target, "apart", kept);
        if (drop === null || apart === null || drop === undefined) return;
        act.drop(piece, drop, apart ?? 0);
      },
    },
    h("h2", {}, "Measure before drilling"),
    h("p", {}, "Pull the wire up as the hook will, or find where the ring rests. Measure from there to the top edge of the frame."),
    lengthField("Drop from the top edge", "drop", kept),
    lengthField("Between two hooks (blank for one)", "apart", kept, false),
    h("button", { type: "submit" }, "Show the hook points"),
  );
}

function asHung(piece, kept, act) {
  const { measured } = piece.state;
  const { style } = kept.job.units;
  let result = null;
  if (measured) {
    const wrong = measured.left_mm === undefined ? measured.faults ?? [] : faults(piece, measured, kept.job.tolerance, style);
    result = h("p", { class: wrong.length ? "notice stop" : "notice good" }, wrong.length ? `As hung: ${wrong.join("; ")}.` : "As hung: within tolerance.");
  }
  const form = h(
    "form",
    {
      oninput: (event) => event.target.setCustomValidity?.(""),
      onsubmit: (event) => {
        event.preventDefault();
        const values = { left_mm: read(event.target, "left", kept), top_left_mm: read(event.target, "topLeft", kept), top_right_mm: read(event.target, "topRight", kept) };
        if (Object.values(values).includes(null) || values.left_mm === undefined || values.top_left_mm === undefined) return;
        act.measured(piece, values);
      },
    },
    h("p", {}, `Planned: left edge ${piece.plan.left}, top edge ${piece.plan.top}. Tolerance ${kept.job.tolerance.text}, level ${kept.job.tolerance.level_text}.`),
    lengthField("Left edge from the wall's left end", "left", kept),
    lengthField("Top left corner from the floor", "topLeft", kept),
    lengthField("Top right corner from the floor", "topRight", kept, false),
    h("button", { type: "submit" }, "Note as hung"),
  );
  return h("section", {}, result, byPhoto(piece), h("details", { class: "form" }, h("summary", {}, "Measure as hung"), form), h("details", { class: "form" }, h("summary", {}, "Measure by photo"), cardForm(piece, kept, act)));
}

function byPhoto(piece) {
  const seen = piece.by_photo;
  if (!seen) return null;
  const kind = seen.waiting ? "notice" : seen.off ? "notice stop" : seen.told ? "notice good" : "notice look";
  return h("p", { class: kind }, `By photo: ${seen.text}`.replace(/[^.]$/, "$&."));
}

// The whole photo goes to the office: its detail is what is measured.
function cardForm(piece, kept, act) {
  return h(
    "form",
    {
      oninput: (event) => event.target.setCustomValidity?.(""),
      onsubmit: (event) => {
        event.preventDefault();
        const card_left_mm = read(event.target, "cardLeft", kept);
        const card_bottom_mm = read(event.target, "cardBottom", kept);
        const file = event.target.elements.photo.files[0];
        if (card_left_mm === null || card_bottom_mm === null || !file) return;
        act.measuredPhoto(piece, file, { card_left_mm, card_bottom_mm, ruler_mm: event.target.elements.ruler.checked ? 100 : undefined });
      },
    },
    h("p", {}, "Tape the reference card level beside the piece, flat on the wall. Tape where it is, then photograph the piece and the card together, straight on and no farther than needed."),
    lengthField("Card's left edge from the wall's left end", "cardLeft", kept),
    lengthField("Card's lower edge from the floor", "cardBottom", kept),
    h("label", { class: "choice" }, h("input", { type: "checkbox", name: "ruler" }), "The card's ruler is 100 mm by tape"),
    h("label", { class: "file" }, h("span", {}, "Take the photo"), h("input", { type: "file", name: "photo", accept: "image/*", capture: "environment", required: true, onchange: (event) => (event.target.previousSibling.textContent = event.target.files[0] ? "Photo taken. Take another" : "Take the photo") })),
    h("button", { type: "submit" }, "Have it measured"),
  );
}

function problemForm(piece, kept, act) {
  return h(
    "form",
    {
      onsubmit: (event) => {
        event.preventDefault();
        const { what, note, photo } = event.target.elements;
        act.problem(piece, what.value, note.value.trim(), photo.files[0]);
      },
    },
    h("fieldset", {}, h("legend", {}, "What is wrong"), kept.job.problems.map((one) => h("label", { class: "choice" }, h("input", { type: "radio", name: "what", value: one.what, required: true }), one.text))),
    h("label", {}, "In words", h("textarea", { name: "note", rows: "2" })),
    h("label", { class: "file" }, "With a photo", h("input", { type: "file", name: "photo", accept: "image/*", capture: "environment" })),
    h("button", { type: "submit" }, "Report it"),
  );
}

export function several(all, act) {
  return [
    h("h1", {}, "Jobs on this phone"),
    all.length
      ? h("ul", { class: "pieces", role: "list" }, all.map((kept) => h("li", {}, h("button", { type: "button", class: "row", onclick: () => act.open(kept.token) }, h("span", { class: "name" }, `${kept.job.facts.project}, revision ${kept.job.facts.revision}`)))))
      : h("p", { class: "notice" }, "No job is on this phone. Open the link or scan the code that the office gave you."),
  ];
}

export function closed(text) {
  return [h("h1", {}, "This link does not open"), h("p", { class: "notice stop" }, text)];
}
