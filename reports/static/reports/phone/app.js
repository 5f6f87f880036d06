// The hanger's page: one job, one piece a screen, everything on the phone, sent when there is a signal.

import { all, around, find, need } from "../../studio/dom.js";
import { handOver } from "./handover.js";
import { jobProblems, next, standing } from "./job.js";
import { flat, formName, h, light as lightButton } from "./parts.js";
import * as store from "./store.js";
import { LinkGone, sync } from "./sync.js";
import * as views from "./views.js";
import { sentence, setSpeaking, speak, speaks } from "./voice.js";

const root = need(document, "#job");
const live = need(document, "#live");
const { job = "", actions = "", pictures = "", worker = "" } = root.dataset;
const places = { job, actions, pictures };
/** @type {Record<string, string>} */
const LIGHTS = { "": "Light: phone", night: "Light: dark", sun: "Light: sun" };
const AGAIN_MS = 15000;
const NO_SIGNAL =
  "There is no signal, and this job has not been opened on this phone before. Open it once where there is a signal.";

let link = "";
/** @type {store.Kept | undefined} */
let kept;
/** @type {import("./job.js").Entry[]} */
let unsent = [];
/** @type {Map<string, store.Draft>} what is typed and not recorded, by the form's name */
let drafts = new Map();
/** @type {import("./job.js").Standing[]} */
let pieces = [];
/** The piece that is shown, by its place in the order; or all of them, or the hand-over. */
const [ALL, HAND_OVER] = [-1, -2];
let at = ALL;
/** @type {number | null} the note that is shown to the office */
let shown = null;
/** @type {string[]} addresses of the pictures on the screen */
let addresses = [];
/** What the screen was drawn from. */
let drawn = "";
let pressed = false;
let timer = 0;

// The link's token stays in the address's fragment, which no server sees.
async function openFromAddress() {
  link = location.hash.slice(1);
  if (!link) return showSeveral();
  [at, shown] = [ALL, null];
  kept = await store.byLink(link);
  if (kept) await draw({ force: true });
  await synchronise();
}

async function showSeveral() {
  const open = (/** @type {string} */ chosen) => {
    location.hash = chosen;
  };
  root.replaceChildren(...views.several(await store.jobs(), open));
}

async function synchronise() {
  clearTimeout(timer);
  const mine = link;
  if (!mine) return;
  try {
    const got = await sync(mine, places);
    if (mine !== link) return;
    kept = got;
    await draw();
  } catch (error) {
    if (mine !== link) return;
    const gone = error instanceof LinkGone ? error.message : "";
    if (!kept) {
      root.replaceChildren(...views.closed(gone || NO_SIGNAL));
      if (gone) return;
    } else {
      if (gone) await store.change(kept.id, (known) => { known.gone = gone; });
      await draw();
    }
  }
  timer = setTimeout(synchronise, AGAIN_MS);
}

// Screens are drawn anew from what is kept, when it has changed and no hand is on them; else only what is told on top.
async function draw({ force = false } = {}) {
  if (!kept) return;
  const now = await store.job(kept.id);
  if (!now) return;
  kept = now;
  unsent = await store.unsent(now.id);
  drafts = await store.drafts(now.id);
  const waiting = unsent.filter((entry) => !entry.refused);
  pieces = standing(now.job, waiting);
  const wanted = at;
  const blob = await pictureOf(pieces[wanted]);
  if (wanted !== at) return; // the screen that came instead is being drawn
  /** @type {import("./parts.js").Page} */
  const page = {
    kept: now,
    pieces,
    waiting,
    refused: unsent.filter((entry) => entry.refused),
    problems: jobProblems(now.job, waiting),
    act,
    offline: !navigator.onLine,
  };
  const told = [at, shown, now.job.version, now.gone, now.said.length, unsent.map(({ id, refused }) => [id, refused])];
  const from = JSON.stringify(told);
  if (force || (from !== drawn && !inHand())) return drawScreen(page, blob, from);
  find(root, ".stops")?.replaceWith(views.stops(page));
  find(root, ".notices")?.replaceWith(views.notices(page));
  find(root, ".light")?.replaceWith(lightButton(act));
}

/**
 * @param {import("./parts.js").Page} page
 * @param {Blob | null} blob the picture of the piece that is shown
 * @param {string} from
 */
function drawScreen(page, blob, from) {
  drawn = from;
  const scroll = scrollY;
  const summaryOf = (/** @type {HTMLElement} */ details) => need(details, "summary").textContent;
  const opened = all(root, "details[open]", HTMLDetailsElement).map(summaryOf);
  for (const address of addresses) URL.revokeObjectURL(address);
  addresses = [];
  const address = (/** @type {Blob | null} */ of) => {
    if (of) addresses.push(URL.createObjectURL(of));
    return of ? (addresses.at(-1) ?? null) : null;
  };
  const note = unsent.find((entry) => entry.id === shown);
  const parts = note
    ? views.noteScreen(page, note, address(note.photo))
    : at >= 0
      ? views.onePiece(page, at, address(blob))
      : at === HAND_OVER
        ? handOver(page)
        : views.overview(page);
  root.replaceChildren(...flat(parts));
  for (const details of all(root, "details", HTMLDetailsElement)) if (opened.includes(summaryOf(details))) details.open = true;
  for (const form of all(root, "form[data-draft]", HTMLFormElement)) fill(form, drafts.get(form.dataset.draft ?? ""));
  scrollTo(0, scroll);
}

/** Whether a hand is on the screen: it types, presses, or is asked whether it measured what it typed. */
function inHand() {
  const typing = document.activeElement?.matches("#job :is(input, textarea)") ?? false;
  return typing || pressed || find(root, ".said-back button") !== null;
}

/** @param {import("./job.js").Piece | undefined} piece */
async function pictureOf(piece) {
  return piece?.picture && kept ? ((await store.picture(kept.id, `${piece.placement}-${piece.picture}`)) ?? null) : null;
}

/**
 * @param {import("./job.js").Piece | null} piece none where it is about the job
 * @param {import("./job.js").Kind} kind
 * @param {import("./job.js").Payload} [payload]
 * @param {Blob | null} [photo]
 * @param {string} [form] the name of the form that this records
 */
async function record(piece, kind, payload = {}, photo = null, form = "") {
  if (!kept) return;
  try {
    await store.enqueue(kept.id, { kind, placement: piece ? piece.placement : null, payload }, photo);
    if (form) await store.keepDraft(kept.id, formName(piece, form), {});
  } catch (error) {
    say(`This could not be stored on the phone: ${error instanceof Error ? error.message : error}`);
    return;
  }
  if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
  await draw({ force: true });
  synchronise();
}

/**
 * What is typed, ticked and chosen in a form; nothing of what is empty.
 * @param {HTMLFormElement} form
 * @returns {store.Draft}
 */
function draftOf(form) {
  const filled = [...new FormData(form)].filter(([, value]) => (typeof value === "string" ? value : value.size));
  return Object.fromEntries(filled);
}

/**
 * Put back what was typed, ticked and chosen.
 * @param {HTMLFormElement} form
 * @param {store.Draft | undefined} draft
 */
function fill(form, draft) {
  if (!draft) return;
  for (const part of all(form, "input, textarea", HTMLElement)) {
    if (!(part instanceof HTMLInputElement || part instanceof HTMLTextAreaElement)) continue;
    const value = draft[part.name];
    if (value === undefined) continue;
    if (typeof value !== "string") choose(part, value);
    else if (part.type === "radio" || part.type === "checkbox") /** @type {HTMLInputElement} */ (part).checked = part.value === value;
    else part.value = value;
    part.dispatchEvent(new Event(typeof value === "string" ? "input" : "change"));
  }
  const folded = form.closest("details");
  if (folded) folded.open = true;
}

/**
 * @param {HTMLInputElement | HTMLTextAreaElement} part
 * @param {Blob} blob
 */
function choose(part, blob) {
  const chosen = new DataTransfer();
  chosen.items.add(new File([blob], "photo.jpg", { type: blob.type }));
  if (part instanceof HTMLInputElement) part.files = chosen.files;
}

/** @param {Event} event */
function keepTyped(event) {
  const form = around(event, "form[data-draft]", HTMLFormElement);
  if (form && kept) store.keepDraft(kept.id, form.dataset.draft ?? "", draftOf(form)).catch(() => undefined);
}

// What the office takes at most, with some room [bytes].
const LARGEST_FILE = 20 * 2 ** 20;
// What goes anywhere: a photo that was refused is made so small before it is sent again.
const SMALL_FILE = 2 ** 20;

/**
 * A photo is made small before it waits: 1600 px is enough to see what is wrong.
 * @param {Blob} file
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
  live.replaceChildren(h("p", {}, text));
  setTimeout(() => live.replaceChildren(), 4000);
}

/** @type {import("./parts.js").Acts} */
const act = {
  overview: () => go(ALL),
  show: (piece) => go(pieces.findIndex((each) => each.placement === piece.placement)),
  up: async (piece) => {
    await record(piece, "up");
    const following = next(pieces, at);
    say(following < 0 ? "All up." : `Piece ${piece.number} is up.`);
    if (following >= 0) go(following);
    else go(ALL);
  },
  down: (piece) => record(piece, "down"),
  drop: (piece, drop_mm, apart_mm) => record(piece, "drop", { drop_mm, apart_mm }, null, "drop"),
  measured: (piece, values) => record(piece, "measured", values, null, "measured"),
  problem: async (piece, what, note, photo) =>
    record(piece, "problem", { what, note }, photo ? await smaller(photo) : null, "problem"),
  solved: (piece, problem, note) => record(piece, "solved", { problem, note }, null, `solved-${problem}`),
  condition: async (piece, found, photo) => record(piece, "condition", found, photo ? await smaller(photo) : null, "condition"),
  unloaded: async (taken, by) => {
    for (const piece of taken) await record(piece, "unloaded", { by });
    if (kept) await store.keepDraft(kept.id, formName(null, "unloaded"), {});
    await draw({ force: true });
  },
  handOver: () => go(HAND_OVER),
  handedOver: async (payload) => {
    await record(null, "handed_over", payload, null, "handed_over");
    go(ALL);
    say("Signed. Thank you.");
  },
  voice: () => {
    setSpeaking(!speaks());
    draw({ force: true });
  },
  photos: async (piece, files, when) => {
    for (const file of files) await record(piece, "photo", { when }, await smaller(file));
  },
  floor: async (piece, floor) => {
    if (!kept) return;
    await store.change(kept.id, (known) => {
      known.floors = { ...known.floors };
      if (floor) known.floors[piece.wall] = floor;
      else delete known.floors[piece.wall];
    });
    await draw({ force: true });
  },
  measuredPhoto: async (piece, file, card) =>
    record(piece, "photo", card, file.size > LARGEST_FILE ? await smaller(file, 4200) : file, "card"),
  read: async (index) => {
    if (kept) await store.change(kept.id, (known) => { known.said.splice(index, 1); });
    await draw({ force: true });
  },
  look: (entry) => {
    history.pushState({ at, shown: entry.id }, "", location.href);
    shown = entry.id;
    scrollTo(0, 0);
    draw({ force: true });
  },
  again: async (entry) => {
    const photo = entry.photo && entry.photo.size > SMALL_FILE ? await smaller(entry.photo) : entry.photo;
    await store.again(entry.id, photo);
    shown = null;
    await draw({ force: true });
    synchronise();
  },
  share: async (entry) => {
    const text = kept ? views.noteLines(kept, entry).join("\n") : "";
    const files = entry.photo ? [new File([entry.photo], "photo.jpg", { type: entry.photo.type || "image/jpeg" })] : [];
    if (navigator.share) await navigator.share(navigator.canShare?.({ files }) ? { text, files } : { text }).catch(() => undefined);
    else await navigator.clipboard.writeText(text).then(() => say("Copied: paste it into a message."));
  },
  discard: async (entry) => {
    if (!confirm("The office does not have this. Throw it away?")) return;
    await store.unqueue(entry.id);
    shown = null;
    await draw({ force: true });
  },
  forget: async () => {
    const lost = `${unsent.length} of your notes are not at the office yet and would be lost. Take the job off anyway?`;
    if (!kept || (unsent.length && !confirm(lost))) return;
    await store.forget(kept.id);
    history.replaceState(null, "", location.pathname);
    [link, kept] = ["", undefined];
    showSeveral();
  },
  light: () => {
    const names = Object.keys(LIGHTS);
    setLight(names[(names.indexOf(document.documentElement.dataset.light ?? "") + 1) % names.length]);
    find(root, ".light")?.replaceWith(lightButton(act));
  },
  lightName: () => LIGHTS[document.documentElement.dataset.light ?? ""],
};

/** @param {number} to a piece's place in the order, all of them, or the hand-over */
function go(to) {
  if ((to === ALL) !== (at === ALL)) history.pushState({ at: to }, "", location.href);
  [at, shown] = [to, null];
  scrollTo(0, 0);
  draw({ force: true });
  if (kept && pieces[to] && speaks()) speak(sentence(views.asShown(pieces[to], kept)));
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
  if (location.hash.slice(1) !== link) return;
  if (shown === null) at = ALL;
  shown = null;
  draw({ force: true });
});
root.addEventListener("input", keepTyped);
root.addEventListener("change", keepTyped);
for (const [name, down] of /** @type {const} */ ([["pointerdown", true], ["pointerup", false], ["pointercancel", false]])) {
  addEventListener(name, () => { pressed = down; });
}
addEventListener("online", synchronise);
addEventListener("offline", () => draw());
document.addEventListener("visibilitychange", () => {
  stayAwake();
  if (document.visibilityState === "visible") synchronise();
});
stayAwake();
openFromAddress();
