// House rules: says how many numbers are changed, and keeps them from being left by mistake.

import { all, need } from "../studio/dom.js";

const form = need(document, "#rules-form", HTMLFormElement);
const bar = need(form, "[data-save]");
const count = need(bar, "[data-count]");
const usual = count.textContent;
const effects = need(document, "#effects");
let leaving = false;

// A rule's boxes come when it is first seen.
const boxes = () => all(form, "input[data-was]", HTMLInputElement);
const changed = () => boxes().filter((box) => box.value.trim() !== box.dataset.was);

function show() {
  const now = changed();
  for (const box of boxes()) box.closest(".limit")?.classList.toggle("typed", now.includes(box));
  for (const rule of all(form, ".rule")) rule.classList.toggle("waits", now.some((box) => rule.contains(box)));
  bar.classList.toggle("waiting", now.length > 0);
  bar.classList.toggle("idle", now.length === 0);
  count.textContent = now.length ? `${now.length} ${now.length === 1 ? count.dataset.one : count.dataset.many}` : usual;
  for (const button of all(bar, "[data-needs-change]", HTMLButtonElement)) button.disabled = now.length === 0;
  need(bar, "[data-take-back]").hidden = now.length === 0;
}

form.addEventListener("input", (event) => {
  if (event.target instanceof HTMLInputElement && event.target.dataset.was !== undefined) effects.replaceChildren();
  show();
});
form.addEventListener("reset", (event) => {
  event.preventDefault();
  effects.replaceChildren();
  for (const box of changed()) {
    box.value = box.dataset.was ?? "";
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }
  show();
});
form.addEventListener("submit", () => {
  leaving = true;
});
window.addEventListener("pageshow", () => {
  leaving = false;
  show();
});
window.addEventListener("beforeunload", (event) => {
  if (!leaving && changed().length) event.preventDefault();
});
show();
