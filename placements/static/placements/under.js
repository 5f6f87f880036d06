// The photograph under the drawing is fetched when it is first wanted; how strong it is, is kept for the next wall.

import { all, around, find } from "../studio/dom.js";

const strength = () => find(document, "[name=under]:checked", HTMLInputElement)?.value ?? "0";

function fetchIt() {
  if (strength() === "0") return;
  for (const image of all(document, ".elevation .under:not([href])", SVGElement)) {
    image.setAttribute("href", image.dataset.href ?? "");
  }
}

document.addEventListener("change", (event) => {
  if (!around(event, "[name=under]")) return;
  document.cookie = `under=${strength()}; path=/; max-age=31536000; samesite=lax`;
  fetchIt();
});
document.addEventListener("htmx:afterSettle", fetchIt);
fetchIt();
