// The wall today beside the wall with its art: one slider over one photograph.

import { all, need } from "../studio/dom.js";
import { carries } from "../studio/hand.js";

for (const view of all(document, "[data-compare]")) {
  const slider = need(view, "input", HTMLInputElement);
  const show = () => {
    const shown = Number(slider.value);
    view.style.setProperty("--today", `${shown}%`);
    view.classList.toggle("parted", shown > 0 && shown < 100);
  };
  view.classList.add("slides");
  need(view, ".compare").hidden = false;
  slider.addEventListener("input", show);
  // A finger or a mouse on the photograph itself does the same.
  const follow = (/** @type {Element} */ pair, /** @type {PointerEvent} */ event) => {
    const box = pair.getBoundingClientRect();
    slider.value = String(Math.round((100 * (event.clientX - box.left)) / box.width));
    show();
    return pair;
  };
  carries(view, ".pair", { slack: 0, take: follow, carry: follow });
  show();
}
