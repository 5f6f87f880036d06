// What every page does: the sheet's colour, errors said in words, menus that close.

const root = document.documentElement;

// Drawings are made for the window that they are shown in.
function tellWindow() {
  document.cookie = `window=${innerWidth}x${innerHeight}; path=/; max-age=31536000; samesite=lax`;
}
tellWindow();
addEventListener("resize", tellWindow);

document.addEventListener("click", (event) => {
  const toggle = event.target.closest("[data-sheet-toggle]");
  if (toggle) {
    const night = root.dataset.sheet ? root.dataset.sheet === "night" : matchMedia("(prefers-color-scheme: dark)").matches;
    root.dataset.sheet = night ? "paper" : "night";
    document.cookie = `sheet=${root.dataset.sheet}; path=/; max-age=31536000; samesite=lax`;
  }
  for (const open of document.querySelectorAll("details[data-menu][open]")) {
    if (!open.contains(event.target)) open.open = false;
  }
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const open of document.querySelectorAll("details[data-menu][open]")) {
    open.open = false;
    open.querySelector("summary").focus();
  }
});

/** Say something briefly, to eyes and to screen readers alike. */
export function say(text, seconds = 6) {
  const line = document.createElement("p");
  line.textContent = text;
  document.getElementById("live").append(line);
  setTimeout(() => line.remove(), seconds * 1000);
}

/** Say what an answer's own status line says, once. */
export function sayStatus(part) {
  const line = part?.querySelector(".visually-hidden[role=status]:not([data-told])");
  if (!line) return;
  line.dataset.told = "";
  say(line.textContent, 3);
}

export function csrfToken() {
  return document.querySelector("meta[name=csrf-token]")?.content ?? "";
}

let answered = Promise.resolve();

/**
 * Ask for a part of the page anew, once what was asked before is answered: `values` are read only then.
 * Comes back when the answer is drawn, or there was none.
 */
export function ask(verb, address, target, values = () => ({})) {
  answered = answered.then(() => htmx.ajax(verb, address, { target, swap: "outerHTML", values: values() })).catch(() => {});
  return answered;
}

// Answers that a person must read (refused, in conflict, at fault) are shown where they were asked for.
document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr } = event.detail;
  if ([403, 409, 422].includes(xhr.status)) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});
document.addEventListener("htmx:responseError", (event) => {
  const { status } = event.detail.xhr;
  say(status === 404 ? "That is not there any more. Load the page again." : `That did not work (${status}). Nothing was changed; try again.`);
});
document.addEventListener("htmx:sendError", () => say("No answer: is the connection down? Nothing was changed; try again."));
