// Surveying: quick keys for lengths, usual sizes, rectangles drawn on the elevation. The server checks and stores.

import { ask, sayStatus } from "../studio/base.js";
import { all, around, find, need } from "../studio/dom.js";
import { misfits } from "./elevation.js";
import { chosenAgain, input, survey, svg } from "./rectangle.js";

/** @typedef {{ kind: string, name: string, width: string, height: string, depth: string, bottom: string }} Size */

/** @type {Size[]} */
const typical = JSON.parse(JSON.parse(find(document, "#typical", HTMLScriptElement)?.textContent ?? '"[]"'));
const DRAWING = "#survey svg.elevation";
/** @type {HTMLInputElement | null} */
let measure = null; // what quick keys write into

document.addEventListener("focusin", (event) => {
  if (event.target instanceof HTMLInputElement && event.target.matches("[data-measure]")) measure = event.target;
});

document.addEventListener("click", (event) => {
  const key = around(event, "[data-key]");
  const form = key?.closest("form");
  if (!key || !form) return;
  if (!measure?.isConnected) measure = need(form, "[data-measure]", HTMLInputElement);
  const at = measure.selectionEnd ?? measure.value.length;
  measure.setRangeText(key.dataset.key ?? "", at, at, "end");
  measure.focus();
});

// Kinds and their usual sizes -----------------------------------------------------------------------------------------

const kinds = () => find(document, "#item-form [name=kind]", HTMLSelectElement);

function offerSizes() {
  const kind = kinds()?.value;
  const list = find(document, "[data-usual]");
  if (!list) return;
  list.replaceChildren(new Option("measured here", ""));
  typical.forEach((size, index) => {
    if (size.kind === kind) list.append(new Option(size.name, String(index)));
  });
  for (const part of all(document, "[data-only]")) part.hidden = part.dataset.only !== kind;
}

document.addEventListener("change", (event) => {
  if (event.target === kinds()) {
    offerSizes();
    const first = typical.find((size) => size.kind === kinds()?.value);
    if (first && !input("width").value) take(first);
  }
  const usual = around(event, "[data-usual]", HTMLSelectElement);
  if (usual?.value) take(typical[Number(usual.value)]);
});

/** @param {Size} size */
function take({ width, height, depth, bottom }) {
  for (const [name, value] of Object.entries({ width, height, depth, bottom })) input(name).value = value;
}

// Outlines are put on the wall one after the other, however quickly they are pressed --------------------------------------

document.addEventListener("click", (event) => {
  const kind = around(event, ".kinds .kind", HTMLButtonElement);
  if (!kind?.form) return;
  event.preventDefault();
  const { action } = kind.form;
  ask("POST", action, "#survey", () => ({ line: kind.value, add: "1" }));
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.id !== "line-form") return;
  event.preventDefault();
  event.stopPropagation();
  const { action } = form;
  const line = need(form, "[name=line]", HTMLInputElement).value;
  ask("POST", action, "#survey", () => ({ line, add: "1" }));
}, true);

// Arrow keys move what is chosen, Delete takes it off -----------------------------------------------------------------

const ARROWS = new Map(Object.entries({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowDown: [0, -1], ArrowUp: [0, 1] }));

/** @param {KeyboardEvent} event */
const plain = (event) => !(event.ctrlKey || event.metaKey || event.altKey);

/**
 * How far an arrow moves: a little with Shift.
 * @param {boolean} little
 */
function step(little) {
  if (survey()?.dataset.metric === "1") return little ? "1 mm" : "10 mm";
  return little ? '1/16"' : '1"';
}

document.addEventListener("keydown", (event) => {
  const form = find(document, "#several", HTMLFormElement);
  const arrow = ARROWS.get(event.key);
  if (!form || !(arrow || event.key === "Delete") || !plain(event) || !find(form, "[name=chosen]:checked")) return;
  if (event.target instanceof Element && event.target.closest("input:not([type=checkbox]), select, textarea")) return;
  event.preventDefault();
  for (const [index, name] of ["across", "up"].entries()) {
    const way = arrow?.[index] ?? 0;
    need(form, `[name=${name}]`, HTMLInputElement).value = way ? `${way < 0 ? "-" : ""}${step(event.shiftKey)}` : "";
  }
  need(form, `[name=do][value=${arrow ? "move" : "delete"}]`, HTMLButtonElement).click();
});

// After every answer -------------------------------------------------------------------------------------------------

document.addEventListener("htmx:afterSettle", () => {
  offerSizes();
  chosenAgain();
  sayStatus(survey());
  find(document, "#survey [aria-invalid=true]")?.focus();
});
offerSizes();
chosenAgain();
const drawn = svg();
// Only the drawing is asked for anew: what was typed while it came stands.
if (drawn && misfits(drawn)) ask("GET", location.href, DRAWING, undefined, DRAWING);
