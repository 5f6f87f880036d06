// House rules: says how many numbers are typed over, and keeps them from being left by mistake.

const form = document.getElementById("rules-form");
const bar = form.querySelector("[data-save]");
const told = bar.querySelector("[data-told]");
const usual = told.textContent;
const effects = document.getElementById("effects");
const boxes = [...form.querySelectorAll("input[data-was]")];
let leaving = false;

const changed = () => boxes.filter((box) => box.value.trim() !== box.dataset.was);

function tell() {
  const now = changed();
  for (const box of boxes) box.closest(".limit").classList.toggle("typed", now.includes(box));
  for (const rule of form.querySelectorAll(".rule")) rule.classList.toggle("waits", now.some((box) => rule.contains(box)));
  bar.classList.toggle("waiting", now.length > 0);
  bar.classList.toggle("idle", now.length === 0);
  told.textContent = now.length ? `${now.length} ${now.length === 1 ? told.dataset.one : told.dataset.many}` : usual;
  for (const button of bar.querySelectorAll("[data-needs-change]")) button.disabled = now.length === 0;
  bar.querySelector("[data-take-back]").hidden = now.length === 0;
}

form.addEventListener("input", (event) => {
  if (event.target.dataset.was !== undefined) effects.replaceChildren();
  tell();
});
form.addEventListener("reset", (event) => {
  event.preventDefault();
  effects.replaceChildren();
  for (const box of changed()) {
    box.value = box.dataset.was;
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }
  tell();
});
form.addEventListener("submit", () => { leaving = true; });
window.addEventListener("pageshow", () => { leaving = false; tell(); });
window.addEventListener("beforeunload", (event) => {
  if (!leaving && changed().length) event.preventDefault();
});
tell();
