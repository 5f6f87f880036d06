// What every page does: the sheet's colour, errors said in words, menus that close.

import { all, around, find, need } from "./dom.js";

const root = document.documentElement;

// Drawings are made for the window that they are shown in.
function keepWindow() {
  document.cookie = `window=${innerWidth}x${innerHeight}; path=/; max-age=31536000; samesite=lax`;
}
keepWindow();
addEventListener("resize", keepWindow);

const openMenus = () => all(document, "details[data-menu][open]", HTMLDetailsElement);

document.addEventListener("click", (event) => {
  if (around(event, "[data-sheet-toggle]")) {
    const night = root.dataset.sheet ? root.dataset.sheet === "night" : matchMedia("(prefers-color-scheme: dark)").matches;
    root.dataset.sheet = night ? "paper" : "night";
    document.cookie = `sheet=${root.dataset.sheet}; path=/; max-age=31536000; samesite=lax`;
  }
  for (const menu of openMenus()) if (!(event.target instanceof Node && menu.contains(event.target))) menu.open = false;
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const menu of openMenus()) {
    menu.open = false;
    need(menu, "summary").focus();
  }
});

/**
 * Say something briefly, to eyes and to screen readers alike.
 * @param {string} text
 */
export function say(text, seconds = 6) {
  const line = document.createElement("p");
  line.textContent = text;
  need(document, "#live").append(line);
  setTimeout(() => line.remove(), seconds * 1000);
}

/**
 * Say what an answer's own status line says, once.
 * @param {HTMLElement | null} part
 */
export function sayStatus(part) {
  const line = part && find(part, ".visually-hidden[role=status]:not([data-said])");
  if (!line) return;
  line.dataset.said = "";
  say(line.textContent, 3);
}

export function csrfToken() {
  return find(document, "meta[name=csrf-token]", HTMLMetaElement)?.content ?? "";
}

/** @type {Promise<void>} */
let answered = Promise.resolve();

/**
 * Ask for a part of the page anew, once what was asked before is answered: `values` are read only then.
 * Comes back when the answer is drawn, or there was none.
 * @param {string} verb
 * @param {string} address
 * @param {string} target
 * @param {() => object} [values]
 * @param {string} [select] what of the answer is drawn there, where it is not all
 */
export function ask(verb, address, target, values = () => ({}), select = undefined) {
  answered = answered.then(() => htmx.ajax(verb, address, { target, swap: "outerHTML", values: values(), select })).catch(() => {});
  return answered;
}

// Answers that a person must read (refused, in conflict, at fault) are shown where they were asked for.
document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  if (![403, 409, 422].includes(detail.xhr.status)) return;
  detail.shouldSwap = true;
  detail.isError = false;
});
document.addEventListener("htmx:responseError", ({ detail: { xhr } }) => {
  if (xhr.status === 404) say("That is not there any more. Load the page again.");
  else say(`That did not work (${xhr.status}). Nothing was changed; try again.`);
});
document.addEventListener("htmx:sendError", () => say("No answer: is the connection down? Nothing was changed; try again."));
