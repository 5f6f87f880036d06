// The queue by keys: one letter decides, the answer brings the next exception.

import { all, around, find, need } from "../studio/dom.js";

const queue = need(document, "[data-queue]");
const TYPING = "input, textarea, select, [contenteditable]";

/** @param {HTMLElement} button */
function opener(button) {
  const form = need(document, `#${button.dataset.opens}`);
  const open = form.hidden;
  for (const other of all(queue, ".opens")) other.hidden = true;
  for (const other of all(queue, "[data-opens]")) other.setAttribute("aria-expanded", "false");
  form.hidden = !open;
  button.setAttribute("aria-expanded", String(open));
  if (!open) return button.focus();
  const field = need(form, "textarea, input:not([type=hidden])");
  field.focus({ preventScroll: true });
  if (field instanceof HTMLInputElement) field.select();
  form.scrollIntoView({ block: "nearest" });
}

queue.addEventListener("click", (event) => {
  const button = around(event, "[data-opens]");
  if (button) opener(button);
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const field = around(event, "[data-send-on-enter]", HTMLTextAreaElement);
  if (event.key === "Escape") {
    const form = around(event, ".opens");
    if (form) opener(need(queue, `[data-opens="${form.id}"]`));
  } else if (event.key === "Enter" && !event.shiftKey && field) {
    event.preventDefault();
    find(field.closest(".opens") ?? document, "button")?.click();
  } else if (!event.repeat && !around(event, TYPING)) {
    // A held key must not race through decisions.
    decide(event);
  }
});

/** @param {KeyboardEvent} event */
function decide(event) {
  if (queue.classList.contains("htmx-request") || find(queue, ".htmx-request")) return;
  const target = find(queue, `[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
  if (!target) return;
  event.preventDefault();
  target.click();
}

// After a decision the reader is at the new exception, by eye and by ear.
document.addEventListener("htmx:afterSwap", ({ detail }) => {
  if (detail.target !== queue) return;
  find(queue, "[data-focus]")?.focus({ preventScroll: true });
  window.scrollTo({ top: 0 });
});
