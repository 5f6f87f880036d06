// Art: ticking pieces, showing only the measures that the chosen hardware has.

import { all, find } from "./dom.js";

for (const form of all(document, "[data-ticks]")) {
  const every = find(form, "[data-tick-all]", HTMLInputElement);
  const count = find(form, "[data-tick-count]");
  const ticks = () => all(form, 'input[name="work"]', HTMLInputElement);
  const showCount = () => {
    const ticked = ticks().filter((tick) => tick.checked).length;
    if (count) count.textContent = ticked ? `${ticked} ticked` : "";
  };
  every?.addEventListener("change", () => {
    for (const tick of ticks()) tick.checked = every.checked;
    showCount();
  });
  form.addEventListener("change", showCount);
}

/** @type {Record<string, string[]>} */
const MEASURES = {
  wire: ["below_top", "inset", "length"],
  two_rings: ["below_top", "spacing"],
  sawtooth: ["below_top"],
  cleat: ["below_top", "length"],
  keyholes: ["below_top", "spacing"],
  ring: ["below_top"],
  straps: ["below_top", "spacing"],
  security: ["below_top", "spacing"],
  batten: ["below_top", "length"],
  rods: ["below_top", "spacing"],
};
const kind = find(document, 'select[name="hang_kind"]', HTMLSelectElement);
if (kind) {
  const show = () => {
    for (const name of ["below_top", "inset", "length", "spacing"]) {
      const around = find(document, `input[name="hang_${name}_mm"]`)?.closest(".field");
      around?.toggleAttribute("hidden", !(MEASURES[kind.value] ?? []).includes(name));
    }
  };
  kind.addEventListener("change", show);
  show();
}
