// The wall today beside the wall with its art: one slider over one photograph.

import { carries } from "../studio/hand.js";

for (const view of document.querySelectorAll("[data-compare]")) {
  const slider = view.querySelector("input");
  const show = () => {
    view.style.setProperty("--today", `${slider.value}%`);
    view.classList.toggle("parted", slider.value > 0 && slider.value < 100);
  };
  view.classList.add("slides");
  view.querySelector(".compare").hidden = false;
  slider.addEventListener("input", show);
  // A finger or a mouse on the photograph itself does the same.
  const follow = (pair, event) => {
    const box = pair.getBoundingClientRect();
    slider.value = String(Math.round((100 * (event.clientX - box.left)) / box.width));
    show();
    return pair;
  };
  carries(view, ".pair", { slack: 0, take: follow, carry: follow });
  show();
}
