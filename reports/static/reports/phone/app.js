// The hanger's page: one job, one piece a screen, everything on the phone, sent when there is a signal.

import { next, standing } from "./job.js";
import * as store from "./store.js";
import { LinkGone, sync } from "./sync.js";
import * as views from "./views.js";

const root = document.getElementById("job");
const live = document.getElementById("live");
const LIGHTS = { "": "Light: phone", night: "Light: dark", sun: "Light: sun" };
const AGAIN_MS = 15000;

let token = "";
let kept = null;
let waiting = [];
let pieces = [];
let at = -1;
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
  const all = (await store.jobs()).filter((one) => one.job);
  root.replaceChildren(...views.several(all, { open: (chosen) => (location.hash = chosen) }));
}

async function synchronise() {
  clearTimeout(timer);
  const mine = token;
  if (!mine) return;
  try {
    const got = await sync(mine);
    if (mine !== token) return;
    kept = got;
    await draw();
  } catch (error) {
    if (mine !== token) return;
    if (error instanceof LinkGone) {
      if (kept?.job) {
        kept = await store.change(mine, (one) => (one.gone = error.message));
        await draw();
      } else {
        root.replaceChildren(...views.closed(error.message));
        return;
      }
    } else if (kept?.job) {
      await draw();
    } else {
      root.replaceChildren(...views.closed("There is no signal, and this job has not been opened on this phone before. Open it once where there is a signal."));
    }
  }
  timer = setTimeout(synchronise, AGAIN_MS);
}

// Screens are drawn anew from what is kept, unless the hanger is typing.
async function draw({ force = false } = {}) {
  kept = await store.job(token);
  if (!kept?.job) return;
  waiting = await store.waiting(token);
  pieces = standing(kept.job, waiting);
  if (!force && busy()) return;
  const scroll = scrollY;
  const opened = [...root.querySelectorAll("details[open] > summary")].map((summary) => summary.textContent);
  const offline = !navigator.onLine;
  if (at >= 0) {
    const url = await pictureOf(pieces[at]);
    root.replaceChildren(...flat(views.onePiece(kept, pieces, at, waiting, act, offline, url)));
  } else {
    root.replaceChildren(...flat(views.overview(kept, pieces, waiting, act, offline)));
  }
  for (const summary of root.querySelectorAll("details > summary")) if (opened.includes(summary.textContent)) summary.parentElement.open = true;
  scrollTo(0, scroll);
}

function flat(parts) {
  return parts.flat(Infinity).filter(Boolean);
}

function busy() {
  const field = document.activeElement;
  return Boolean(field?.matches?.("input, textarea, select") && root.contains(field) && field.value);
}

async function pictureOf(piece) {
  if (picture) URL.revokeObjectURL(picture);
  const blob = piece.picture ? await store.picture(token, `${piece.placement}-${piece.picture}`) : null;
  picture = blob ? URL.createObjectURL(blob) : null;
  return picture;
}

async function record(piece, kind, payload = {}, photo = null) {
  try {
    await store.enqueue(token, { kind, placement: piece?.placement ?? null, payload }, photo);
  } catch (error) {
    tell(`This could not be kept on the phone: ${error.message}`);
    return;
  }
  document.activeElement?.blur?.();
  await draw({ force: true });
  synchronise();
}

// What the office takes at most, with some room [bytes].
const LARGEST_FILE = 20 * 2 ** 20;

// A photo is made small before it waits: 1600 px is enough to see what is wrong.
async function smaller(file, most = 1600) {
  try {
    const image = await createImageBitmap(file);
    const ratio = Math.min(1, most / Math.max(image.width, image.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * ratio);
    canvas.height = Math.round(image.height * ratio);
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    return (await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85))) ?? file;
  } catch {
    return file;
  }
}

function tell(text) {
  live.replaceChildren(views.h("p", {}, text));
  setTimeout(() => live.replaceChildren(), 4000);
}

const act = {
  overview: () => go(-1),
  show: (piece) => go(pieces.findIndex((one) => one.placement === piece.placement)),
  up: async (piece) => {
    await record(piece, "up");
    const following = next(pieces, at);
    tell(following < 0 ? "All up." : `Piece ${piece.number} is up.`);
    if (following >= 0) go(following);
    else go(-1);
  },
  down: (piece) => record(piece, "down"),
  drop: (piece, drop_mm, apart_mm) => record(piece, "drop", { drop_mm, apart_mm }),
  measured: (piece, values) => record(piece, "measured", Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined))),
  problem: async (piece, what, note, photo) => record(piece, "problem", { what, note }, photo ? await smaller(photo) : null),
  photo: async (piece, file) => record(piece, "photo", {}, await smaller(file)),
  measuredPhoto: async (piece, file, card) => record(piece, "photo", card, file.size > LARGEST_FILE ? await smaller(file, 4200) : file),
  read: async (list, index) => {
    await store.change(token, (one) => one[list].splice(index, 1));
    await draw({ force: true });
  },
  forget: async () => {
    if (waiting.length && !confirm(`${waiting.length} of your notes are not sent yet and would be lost. Take the job off anyway?`)) return;
    await store.forget(token);
    history.replaceState(null, "", location.pathname);
    token = "";
    showSeveral();
  },
  light: () => {
    const names = Object.keys(LIGHTS);
    setLight(names[(names.indexOf(document.documentElement.dataset.light ?? "") + 1) % names.length]);
    draw({ force: true });
  },
  lightName: () => LIGHTS[document.documentElement.dataset.light ?? ""],
};

function go(to) {
  if (to >= 0 !== at >= 0) history.pushState({ at: to }, "", location.href);
  at = to;
  scrollTo(0, 0);
  draw({ force: true });
}

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

if (localStorage.getItem("light")) setLight(localStorage.getItem("light"));
if ("serviceWorker" in navigator) navigator.serviceWorker.register(root.dataset.worker).catch(() => undefined);
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
