// The hanger's page: one job, one piece a screen, everything on the phone, sent when there is a signal.

import { all, find, need } from "../../studio/dom.js";
import { next, standing } from "./job.js";
import * as store from "./store.js";
import { LinkGone, sync } from "./sync.js";
import * as views from "./views.js";

const root = need(document, "#job");
const live = need(document, "#live");
const { job = "", actions = "", pictures = "", worker = "" } = root.dataset;
const places = { job, actions, pictures };
/** @type {Record<string, string>} */
const LIGHTS = { "": "Light: phone", night: "Light: dark", sun: "Light: sun" };
const AGAIN_MS = 15000;
const NO_SIGNAL =
  "There is no signal, and this job has not been opened on this phone before. Open it once where there is a signal.";

let token = "";
/** @type {store.Kept | null} */
let kept = null;
/** @type {import("./job.js").Entry[]} */
let waiting = [];
/** @type {import("./job.js").Standing[]} */
let pieces = [];
let at = -1;
/** @type {string | null} */
let picture = null;
let timer = 0;

// The token stays in the address's fragment, which no server sees.
async function openFromAddress() {
  token = location.hash.slice(1);
  if (!token) return showSeveral();
  at = -1;
  kept = (await store.job(token)) ?? null;
  if (kept?.job) await draw();
  await synchronise();
}

async function showSeveral() {
  const known = (await store.jobs()).filter(views.isWhole);
  const open = (/** @type {string} */ chosen) => {
    location.hash = chosen;
  };
  root.replaceChildren(...views.several(known, open));
}

async function synchronise() {
  clearTimeout(timer);
  const mine = token;
  if (!mine) return;
  try {
    const got = await sync(mine, places);
    if (mine !== token) return;
    kept = got;
    await draw();
  } catch (error) {
    if (mine !== token) return;
    const gone = error instanceof LinkGone ? error.message : "";
    if (!kept?.job) {
      root.replaceChildren(...views.closed(gone || NO_SIGNAL));
      if (gone) return;
    } else {
      if (gone) kept = await store.change(mine, (known) => { known.gone = gone; });
      await draw();
    }
  }
  timer = setTimeout(synchronise, AGAIN_MS);
}

// Screens are drawn anew from what is kept; while something on one waits to be sent, only what is told around it.
async function draw({ force = false } = {}) {
  const now = await store.job(token);
  kept = now ?? null;
  if (!now || !views.isWhole(now)) return;
  waiting = await store.waiting(token);
  pieces = standing(now.job, waiting);
  const shown = at;
  const blob = await pictureOf(pieces[shown]);
  if (shown !== at) return; // the screen that came instead is being drawn
  /** @type {views.Page} */
  const page = { kept: now, pieces, waiting, act, offline: !navigator.onLine };
  if (force || !unsent()) return drawScreen(page, blob);
  find(root, ".notices")?.replaceWith(views.notices(page));
  find(root, ".light")?.replaceWith(views.light(act));
}

/**
 * @param {views.Page} page
 * @param {Blob | null} blob the picture of the piece that is shown
 */
function drawScreen(page, blob) {
  const scroll = scrollY;
  const summaryOf = (/** @type {HTMLElement} */ details) => need(details, "summary").textContent;
  const opened = all(root, "details[open]", HTMLDetailsElement).map(summaryOf);
  if (picture) URL.revokeObjectURL(picture);
  picture = blob && URL.createObjectURL(blob);
  root.replaceChildren(...views.flat(at >= 0 ? views.onePiece(page, at, picture) : views.overview(page)));
  for (const details of all(root, "details", HTMLDetailsElement)) if (opened.includes(summaryOf(details))) details.open = true;
  scrollTo(0, scroll);
}

/** Whether something is typed, ticked or chosen that no button has recorded yet: every screen is drawn without. */
function unsent() {
  const ticked = all(root, ":is([type=checkbox], [type=radio]):checked", HTMLInputElement);
  const texts = all(root, "input:not([type=checkbox], [type=radio])", HTMLInputElement);
  const typed = [...texts, ...all(root, "textarea", HTMLTextAreaElement)].filter((field) => field.value !== "");
  return ticked.length + typed.length > 0;
}

/** @param {import("./job.js").Piece | undefined} piece */
async function pictureOf(piece) {
  return piece?.picture ? ((await store.picture(token, `${piece.placement}-${piece.picture}`)) ?? null) : null;
}

/**
 * @param {import("./job.js").Piece} piece
 * @param {import("./job.js").Kind} kind
 * @param {import("./job.js").Payload} [payload]
 * @param {Blob | null} [photo]
 */
async function record(piece, kind, payload = {}, photo = null) {
  try {
    await store.enqueue(token, { kind, placement: piece.placement, payload }, photo);
  } catch (error) {
    say(`This could not be stored on the phone: ${error instanceof Error ? error.message : error}`);
    return;
  }
  if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
  await draw({ force: true });
  synchronise();
}

// What the office takes at most, with some room [bytes].
const LARGEST_FILE = 20 * 2 ** 20;

/**
 * A photo is made small before it waits: 1600 px is enough to see what is wrong.
 * @param {File} file
 * @returns {Promise<Blob>}
 */
async function smaller(file, most = 1600) {
  try {
    const image = await createImageBitmap(file);
    const ratio = Math.min(1, most / Math.max(image.width, image.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * ratio);
    canvas.height = Math.round(image.height * ratio);
    const pen = canvas.getContext("2d");
    if (!pen) return file;
    pen.drawImage(image, 0, 0, canvas.width, canvas.height);
    const done = new Promise((/** @type {(blob: Blob | null) => void} */ resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
    return (await done) ?? file;
  } catch {
    return file;
  }
}

/** @param {string} text */
function say(text) {
  live.replaceChildren(views.h("p", {}, text));
  setTimeout(() => live.replaceChildren(), 4000);
}

/** @type {views.Acts} */
const act = {
  overview: () => go(-1),
  show: (piece) => go(pieces.findIndex((each) => each.placement === piece.placement)),
  up: async (piece) => {
    await record(piece, "up");
    const following = next(pieces, at);
    say(following < 0 ? "All up." : `Piece ${piece.number} is up.`);
    if (following >= 0) go(following);
    else go(-1);
  },
  down: (piece) => record(piece, "down"),
  drop: (piece, drop_mm, apart_mm) => record(piece, "drop", { drop_mm, apart_mm }),
  measured: (piece, values) => record(piece, "measured", values),
  problem: async (piece, what, note, photo) => record(piece, "problem", { what, note }, photo ? await smaller(photo) : null),
  photo: async (piece, file) => record(piece, "photo", {}, await smaller(file)),
  measuredPhoto: async (piece, file, card) =>
    record(piece, "photo", card, file.size > LARGEST_FILE ? await smaller(file, 4200) : file),
  read: async (list, index) => {
    await store.change(token, (known) => { known[list].splice(index, 1); });
    await draw();
  },
  forget: async () => {
    const lost = `${waiting.length} of your notes are not sent yet and would be lost. Take the job off anyway?`;
    if (waiting.length && !confirm(lost)) return;
    await store.forget(token);
    history.replaceState(null, "", location.pathname);
    token = "";
    showSeveral();
  },
  light: () => {
    const names = Object.keys(LIGHTS);
    setLight(names[(names.indexOf(document.documentElement.dataset.light ?? "") + 1) % names.length]);
    draw();
  },
  lightName: () => LIGHTS[document.documentElement.dataset.light ?? ""],
};

/** @param {number} to a piece's place in the order, or -1 for all */
function go(to) {
  if (to >= 0 !== at >= 0) history.pushState({ at: to }, "", location.href);
  at = to;
  scrollTo(0, 0);
  draw({ force: true });
}

/** @param {string} light */
function setLight(light) {
  document.documentElement.dataset.light = light;
  if (light === "night") document.documentElement.dataset.sheet = "night";
  else if (light === "sun") document.documentElement.dataset.sheet = "paper";
  else delete document.documentElement.dataset.sheet;
  localStorage.setItem("light", light);
}

// The screen stays on while the page is in front.
async function stayAwake() {
  if (document.visibilityState !== "visible" || !("wakeLock" in navigator)) return;
  await navigator.wakeLock.request("screen").catch(() => undefined);
}

const light = localStorage.getItem("light");
if (light) setLight(light);
if ("serviceWorker" in navigator) navigator.serviceWorker.register(worker).catch(() => undefined);
navigator.storage?.persist?.().catch(() => undefined);
addEventListener("hashchange", openFromAddress);
addEventListener("popstate", () => {
  if (location.hash.slice(1) !== token) return;
  at = -1;
  draw({ force: true });
});
addEventListener("online", synchronise);
addEventListener("offline", () => draw());
document.addEventListener("visibilitychange", () => {
  stayAwake();
  if (document.visibilityState === "visible") synchronise();
});
stayAwake();
openFromAddress();
