// Surveying: quick keys for lengths, usual sizes, rectangles drawn on the elevation. The server checks and stores.

import { ask, sayStatus } from "../studio/base.js";
import { misfits } from "./elevation.js";
import { chosenAgain, input, survey, svg } from "./rectangle.js";

const typical = JSON.parse(JSON.parse(document.getElementById("typical")?.textContent ?? '"[]"'));
let field = null; // the measure that quick keys write into

document.addEventListener("focusin", (event) => {
  if (event.target.matches("[data-measure]")) field = event.target;
});

document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]");
  if (!key) return;
  field = field?.isConnected ? field : key.closest("form").querySelector("[data-measure]");
  const at = field.selectionEnd ?? field.value.length;
  field.setRangeText(key.dataset.key, at, at, "end");
  field.focus();
});

// Kinds and their usual sizes -----------------------------------------------------------------------------------------

function offerSizes() {
  const kind = input("kind")?.value;
  const list = document.querySelector("[data-usual]");
  if (!list) return;
  list.replaceChildren(new Option("measured here", ""));
  typical.forEach((one, index) => {
    if (one.kind === kind) list.append(new Option(one.name, String(index)));
  });
  for (const part of document.querySelectorAll("[data-only]")) part.hidden = part.dataset.only !== kind;
}

document.addEventListener("change", (event) => {
  if (event.target === input("kind")) {
    offerSizes();
    const first = typical.find((one) => one.kind === event.target.value);
    if (first && !input("width").value) take(first);
  }
  if (event.target.matches("[data-usual]") && event.target.value) take(typical[Number(event.target.value)]);
});

function take(size) {
  for (const name of ["width", "height", "depth", "bottom"]) input(name).value = size[name];
}

// After every answer -------------------------------------------------------------------------------------------------

document.addEventListener("htmx:afterSettle", () => {
  offerSizes();
  chosenAgain();
  sayStatus(survey());
  survey()?.querySelector("[aria-invalid=true]")?.focus();
});
offerSizes();
chosenAgain();
if (svg() && misfits(svg())) ask("GET", location.href, "#survey");
