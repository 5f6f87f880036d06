// The queue by keys: one letter decides, the answer brings the next exception.

const queue = document.querySelector("[data-queue]");
const typing = (element) => element.closest("input, textarea, select, [contenteditable]") !== null;

function opener(button) {
  const form = document.getElementById(button.dataset.opens);
  const open = form.hidden;
  for (const other of queue.querySelectorAll(".opens")) other.hidden = true;
  for (const other of queue.querySelectorAll("[data-opens]")) other.setAttribute("aria-expanded", "false");
  form.hidden = !open;
  button.setAttribute("aria-expanded", String(open));
  if (open) {
    const field = form.querySelector("textarea, input:not([type=hidden])");
    field.focus();
    if (field.matches("input")) field.select();
    form.scrollIntoView({ block: "nearest" });
  } else {
    button.focus();
  }
}

queue.addEventListener("click", (event) => {
  const button = event.target.closest("[data-opens]");
  if (button) opener(button);
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  if (event.key === "Escape") {
    const form = event.target.closest?.(".opens");
    if (form) opener(queue.querySelector(`[data-opens="${form.id}"]`));
    return;
  }
  if (event.key === "Enter" && !event.shiftKey && event.target.matches?.("[data-send-on-enter]")) {
    event.preventDefault();
    event.target.form.requestSubmit();
    return;
  }
  // A held key must not race through decisions.
  if (event.repeat || typing(event.target) || queue.querySelector(".htmx-request") || queue.classList.contains("htmx-request")) return;
  const target = queue.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
  if (!target) return;
  event.preventDefault();
  target.click();
});

// After a decision the reader is at the new exception, by eye and by ear.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target !== queue) return;
  queue.querySelector("[data-focus]")?.focus({ preventScroll: true });
  window.scrollTo({ top: 0 });
});
