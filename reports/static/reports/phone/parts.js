// What screens are built of: elements, buttons, lists, forms and their fields.

import { field } from "../../studio/dom.js";
import { length, parse, unitOf } from "../../studio/lengths.js";
import { impossible } from "./measure.js";

/**
 * @typedef {import("./job.js").Piece} Piece
 * @typedef {import("./store.js").Kept} Kept
 *
 * @typedef {import("./job.js").Standing} Standing
 * @typedef {import("./job.js").Payload} Payload
 * @typedef {import("./job.js").Entry} Entry
 *
 * @typedef {object} Acts what a screen may ask for
 * @property {() => void} overview
 * @property {(piece: Piece) => void} show
 * @property {(piece: Piece) => void} up
 * @property {(piece: Piece) => void} down
 * @property {(piece: Piece, drop: number, apart: number) => void} drop
 * @property {(piece: Piece, values: Payload) => void} measured
 * @property {(piece: Piece, floor: import("./store.js").Floor | null) => void} floor
 * @property {(piece: Piece | null, what: string, note: string, photo: File | undefined) => void} problem of the job where it is
 *   of no piece
 * @property {(piece: Piece | null, uuid: string, note: string) => void} solved
 * @property {(piece: Piece, found: Payload, photo: File | undefined) => void} condition
 * @property {(pieces: Piece[], by: string) => void} unloaded
 * @property {() => void} handOver
 * @property {(payload: Payload) => void} handedOver
 * @property {(piece: Piece | null, files: File[], when: "before" | "after") => void} photos
 * @property {() => void} voice
 * @property {(piece: Piece, file: File, card: Payload) => void} measuredPhoto
 * @property {(index: number) => void} read
 * @property {(entry: Entry) => void} look
 * @property {(entry: Entry) => void} again
 * @property {(entry: Entry) => void} share
 * @property {(entry: Entry) => void} discard
 * @property {() => void} forget
 * @property {() => void} light
 * @property {() => string} lightName
 *
 * @typedef {object} Page
 * @property {Kept} kept
 * @property {Standing[]} pieces
 * @property {Entry[]} waiting
 * @property {Entry[]} refused
 * @property {import("./job.js").Problem[]} problems those of the job
 * @property {Acts} act
 * @property {boolean} offline
 *
 * @typedef {Node | string | null | undefined | false | Part[]} Part what a screen is made of; nothing is left out
 */

/**
 * Parts in one row, nothing left out.
 * @param {Part[]} parts
 * @returns {(Node | string)[]}
 */
export const flat = (parts) => parts.flatMap((part) => (Array.isArray(part) ? flat(part) : part ? [part] : []));

/**
 * An element; attributes that begin with "on" listen.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, string | number | boolean | null | undefined | ((event: any) => void)>} attributes
 * @param {Part[]} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(key, String(value));
  }
  made.append(...flat(children));
  return made;
}

/**
 * @param {string} text
 * @param {string} kind its class
 * @param {() => void} press
 * @param {Record<string, string | boolean>} [attributes]
 */
export function button(text, kind, press, attributes = {}) {
  return h("button", { type: "button", class: kind, onclick: press, ...attributes }, text);
}

/**
 * A list, or nothing where it would be empty.
 * @param {Part[]} items
 * @param {string} [kind]
 */
export const list = (items, kind) => items.length > 0 && h("ul", { class: kind }, items.map((item) => h("li", {}, item)));

/**
 * @param {string} title
 * @param {string | null} kind
 * @param {Part[]} parts
 */
export const folded = (title, kind, ...parts) => h("details", { class: kind }, h("summary", {}, title), parts);

/**
 * A moment as the clock shows it where the job is, whatever the phone's own zone.
 * @param {string | null | undefined} iso
 * @param {string} zone by its name in the zone database
 */
export function clock(iso, zone) {
  return iso ? new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", timeZone: zone }) : "";
}

/**
 * The same with its day.
 * @param {string} iso
 * @param {string} zone
 */
export function moment(iso, zone) {
  return new Date(iso).toLocaleString([], { dateStyle: "medium", timeStyle: "short", timeZone: zone });
}

/** @param {Acts} act */
export function light(act) {
  return button(act.lightName(), "light", act.light, { "aria-label": "Change the light: by the phone, dark, bright sun" });
}

/** @param {Record<string, string | boolean | ((event: any) => void)>} attributes */
export const fileInput = (attributes) => h("input", { type: "file", accept: "image/*", ...attributes });

/**
 * A box or a button of a choice, with its words.
 * @param {Record<string, string | boolean>} attributes
 * @param {string} text
 */
export const choice = (attributes, text) => h("label", { class: "choice" }, h("input", attributes), text);

/**
 * A field for the name of a person, which cannot be left empty.
 * @param {string} label
 * @param {string} name
 */
export function nameField(label, name) {
  const attributes = { name, required: true, maxlength: "120", autocomplete: "off", pattern: ".*\\S.*" };
  return h("label", { class: "text" }, label, h("input", attributes));
}

let fields = 0;

/**
 * A field for a length: its unit stands beside it, and what was read of it below, as it is typed.
 * @param {string} label
 * @param {string} name
 * @param {Kept} kept
 */
export function lengthField(label, name, kept, required = true) {
  const { style } = kept.job.units;
  const echo = h("output", { class: "echo" });
  const read = (/** @type {Event & { target: HTMLInputElement }} */ { target }) => {
    const mm = target.value.trim() ? parse(target.value, style) : null;
    echo.textContent = mm === null ? "" : `Read as ${length(mm, style)}`;
  };
  fields += 1;
  const id = `field-${fields}`;
  echo.id = `${id}-read`;
  const told = { "aria-describedby": `${id}-unit ${id}-read` };
  return h(
    "div",
    { class: "length" },
    h("label", { for: id }, label),
    h(
      "span",
      { class: "typed" },
      h("input", { id, name, inputmode: "text", autocomplete: "off", required, oninput: read, ...told }),
      h("span", { id: `${id}-unit` }, unitOf(style)),
    ),
    echo,
  );
}

/**
 * The name under which what is typed in a form is kept.
 * @param {Piece | null} piece
 * @param {string} name
 */
export const formName = (piece, name) => `${piece ? piece.placement : "job"}/${name}`;

/**
 * A form whose faults go as one types, and which is sent by `send` alone.
 * @param {string} name
 * @param {string | null} kind
 * @param {(form: HTMLFormElement) => void} send
 * @param {Part[]} parts
 */
export function form(name, kind, send, ...parts) {
  return h(
    "form",
    {
      "data-draft": name,
      class: kind,
      oninput: (event) => event.target.setCustomValidity?.(""),
      onsubmit: (event) => {
        event.preventDefault();
        send(event.target);
      },
    },
    ...parts,
  );
}

/**
 * A typed length [mm]; undefined where none is typed, null where what is typed cannot be, which the field then says.
 * @param {HTMLFormElement} sent
 * @param {string} name
 * @param {readonly [number, number]} ends the least and the most [mm]
 * @param {Kept} kept
 */
export function lengthIn(sent, name, ends, kept) {
  const { style } = kept.job.units;
  const typed = field(sent, name);
  if (!typed.value.trim()) return undefined;
  const mm = parse(typed.value, style);
  const fault = mm === null ? "This is not a length. Type it like 63 1/2, 5' 3 1/2\" or 161 cm." : impossible(mm, ends, style);
  typed.setCustomValidity(fault);
  if (fault) typed.reportValidity();
  return fault ? null : mm;
}
