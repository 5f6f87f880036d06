// The photograph under the drawing is fetched when it is first wanted; how strong it is, is kept for the next wall.

const strength = () => document.querySelector("[name=under]:checked")?.value ?? "0";

function fetchIt() {
  if (strength() === "0") return;
  for (const image of document.querySelectorAll(".elevation .under:not([href])")) image.setAttribute("href", image.dataset.href);
}

document.addEventListener("change", (event) => {
  if (event.target.name !== "under") return;
  document.cookie = `under=${strength()}; path=/; max-age=31536000; samesite=lax`;
  fetchIt();
});
document.addEventListener("htmx:afterSettle", fetchIt);
fetchIt();
