// The corners of a piece in its photograph: dragged, moved by arrows under a loupe, or typed; what comes of them is
// drawn beside it as it moves. The numbers in the form are what is sent.

import { all, around, field, need } from "./dom.js";
import { arrow, carries } from "./hand.js";
import { faultOf, shape, straightened } from "./perspective.js";

/** @typedef {import("./perspective.js").Point} Point */

const NAMES = ["top_left", "top_right", "bottom_right", "bottom_left"];
/** @type {Point[]} */
const WHOLE = [[0, 0], [1, 0], [1, 1], [0, 1]];
const LEAST_SIDE = 48; // as the server: studio/crops.py
const LEAST_ANGLE = 12;
const WORKING = 1200; // the longest side that the result is drawn from [px]
const LOUPE = 3;
const UNLIKE = 1.3;

const form = need(document, "[data-corners]", HTMLFormElement);
const part = (/** @type {string} */ name) => need(form, `[data-${name}]`);
const number = (/** @type {string} */ name) => field(form, name);
const choice = (/** @type {string} */ name) => field(form, name, HTMLSelectElement);
const stage = part("stage");
const photograph = need(stage, ".photograph", HTMLCanvasElement);
const outline = need(stage, ".outline", SVGElement);
const loupe = need(stage, ".loupe", HTMLCanvasElement);
const handles = all(stage, ".corner");
const result = need(part("result"), "canvas", HTMLCanvasElement);
const whole = () => WHOLE.map(([x, y]) => /** @type {Point} */ ([x, y]));

/**
 * The photograph in hand: as it came, turned, and smaller as pixels to work on.
 * @type {{ taken: HTMLImageElement, turned: HTMLCanvasElement, working: ImageData } | null}
 */
let shown = null;
let corners = whole();
let quarters = 0;
/** @type {{ index: number, across: number, down: number } | null} */
let held = null;
let drawing = 0;

/** @param {HTMLCanvasElement} canvas */
function pen(canvas) {
  const context = canvas.getContext("2d");
  if (!context) throw new Error("this browser does not draw on a canvas");
  return context;
}

// The photograph ------------------------------------------------------------------------------------------------------

/** @param {string} address */
function load(address) {
  const image = new Image();
  image.addEventListener("load", () => {
    for (const name of ["stage", "acts", "result"]) part(name).hidden = false;
    need(form, ".by-numbers", HTMLDetailsElement).open = false;
    showable(true);
    turn(image);
  });
  image.addEventListener("error", () => showable(false));
  image.src = address;
}

/**
 * Whether this browser can show the file that was chosen; where not, it is stored first and marked afterwards.
 * @param {boolean} can
 */
function showable(can) {
  part("unseen").hidden = can;
  part("store").hidden = can;
  part("keep").hidden = !can;
  if (can) return;
  for (const name of ["stage", "acts", "result"]) part(name).hidden = true;
  shown = null;
  fault("");
}

function choose() {
  const file = number("picture").files?.[0];
  if (!file) return;
  corners = whole();
  quarters = 0;
  write();
  load(URL.createObjectURL(file));
}
number("picture").addEventListener("change", choose);

/** @param {HTMLImageElement} taken */
function turn(taken) {
  const sideways = quarters % 2 === 1;
  const turned = document.createElement("canvas");
  turned.width = sideways ? taken.naturalHeight : taken.naturalWidth;
  turned.height = sideways ? taken.naturalWidth : taken.naturalHeight;
  const large = pen(turned);
  large.translate(turned.width / 2, turned.height / 2);
  large.rotate((quarters * Math.PI) / 2);
  large.drawImage(taken, -taken.naturalWidth / 2, -taken.naturalHeight / 2);
  const scale = Math.min(1, WORKING / Math.max(turned.width, turned.height));
  const reduced = document.createElement("canvas");
  reduced.width = Math.max(1, Math.round(turned.width * scale));
  reduced.height = Math.max(1, Math.round(turned.height * scale));
  const small = pen(reduced);
  small.imageSmoothingQuality = "high";
  small.drawImage(turned, 0, 0, reduced.width, reduced.height);
  shown = { taken, turned, working: small.getImageData(0, 0, reduced.width, reduced.height) };
  photograph.width = reduced.width;
  photograph.height = reduced.height;
  pen(photograph).drawImage(reduced, 0, 0);
  outline.setAttribute("viewBox", `0 0 ${reduced.width} ${reduced.height}`);
  draw();
}

// What is shown of the corners ----------------------------------------------------------------------------------------

const inside = (/** @type {number} */ at) => Math.min(Math.max(at, 0), 1);
const percent = (/** @type {number} */ at) => `${(100 * at).toFixed(1)} %`;
const place = (/** @type {number} */ index) => `${percent(corners[index][0])} across, ${percent(corners[index][1])} down`;
/** @returns {Point[]} */
const scaled = (/** @type {{ width: number, height: number }} */ { width, height }) =>
  corners.map(([x, y]) => [x * width, y * height]);

function draw() {
  cancelAnimationFrame(drawing);
  drawing = requestAnimationFrame(() => {
    drawing = 0;
    if (!shown) return;
    const { turned, working } = shown;
    const points = scaled(working);
    const ring = points.map((point) => point.join(" ")).join("L");
    const marked = points.map((point) => point.join(",")).join(" ");
    need(outline, "polygon", SVGElement).setAttribute("points", marked);
    need(outline, ".away", SVGElement).setAttribute("d", `M0 0H${working.width}V${working.height}H0ZM${ring}Z`);
    handles.forEach((handle, i) => {
      handle.style.left = `${100 * corners[i][0]}%`;
      handle.style.top = `${100 * corners[i][1]}%`;
      const name = NAMES[i].replace("_", " ");
      handle.setAttribute("aria-label", `${name[0].toUpperCase()}${name.slice(1)} corner: ${place(i)}`);
    });
    drawResult(points, turned, working);
    drawLoupe(turned);
  });
}

/**
 * @param {Point[]} points
 * @param {HTMLCanvasElement} turned
 * @param {ImageData} working
 */
function drawResult(points, turned, working) {
  const wrong = faultOf(scaled(turned), LEAST_SIDE, LEAST_ANGLE);
  fault(wrong);
  const untouched = corners.flat().every((at, i) => at === WHOLE.flat()[i]);
  part("caption").textContent = untouched ? "The whole photograph, as it will be saved" : "As it will be saved";
  unlike(points, wrong !== "" || untouched);
  if (wrong) return;
  const marked = choice("to_piece").value === "no" ? shape(points) : Number(form.dataset.proportion);
  const proportion = untouched ? working.width / working.height : marked;
  const most = Math.min(2, devicePixelRatio || 1) * 320;
  result.width = Math.max(1, Math.round(proportion >= 1 ? most : most * proportion));
  result.height = Math.max(1, Math.round(proportion >= 1 ? most / proportion : most));
  pen(result).putImageData(straightened(working, points, result.width, result.height), 0, 0);
}

/** @param {string} text */
function fault(text) {
  const line = Object.assign(document.createElement("p"), { className: "fault", textContent: text });
  part("faults").replaceChildren(...(text ? [line] : []));
  stage.classList.toggle("at-fault", Boolean(text));
  part("keep").setAttribute("aria-disabled", text ? "true" : "false");
}

const inWords = (/** @type {number} */ ratio) => (ratio >= 1 ? `${ratio.toFixed(2)} to 1` : `1 to ${(1 / ratio).toFixed(2)}`);

/**
 * A word where the corners enclose a shape that is hardly the piece's: a quarter turn, or other corners.
 * @param {Point[]} points
 * @param {boolean} silent
 */
function unlike(points, silent) {
  const own = Number(form.dataset.proportion);
  const off = (/** @type {number} */ proportion) => Math.max(proportion / own, own / proportion);
  const found = shape(points);
  const note = part("unlike");
  note.hidden = silent || off(found) < UNLIKE;
  if (note.hidden) return;
  const seen = `The marked shape is about ${inWords(found)}, the piece is ${inWords(own)}.`;
  const advice =
    off(1 / found) < UNLIKE
      ? "Does it need a quarter turn?"
      : "The picture will be stretched to fit. Check the corners and the piece’s measures, " +
        "or choose “As the corners lie” to keep the marked shape.";
  note.textContent = `${seen} ${advice}`;
}

/** @param {HTMLCanvasElement} turned */
function drawLoupe(turned) {
  const at = held?.index ?? handles.findIndex((handle) => handle === document.activeElement);
  loupe.hidden = at < 0;
  if (at < 0) return;
  const glass = pen(loupe);
  const size = loupe.width;
  const [x, y] = [corners[at][0] * turned.width, corners[at][1] * turned.height];
  // So many pixels of the photograph: three times finer than the stage shows them.
  const reach = ((size / 2) * turned.width) / (stage.clientWidth * LOUPE * 2);
  glass.fillStyle = "#59606a";
  glass.fillRect(0, 0, size, size);
  glass.imageSmoothingEnabled = reach > 40;
  glass.drawImage(turned, x - reach, y - reach, 2 * reach, 2 * reach, 0, 0, size, size);
  const scale = size / (2 * reach);
  const [to, from] = [corners[(at + 1) % 4], corners[(at + 3) % 4]];
  /** @type {[string, number][]} */
  const strokes = [["#fffdf9", 5], ["#8a3d2b", 2]];
  for (const [colour, wide] of strokes) {
    glass.strokeStyle = colour;
    glass.lineWidth = wide;
    glass.beginPath();
    glass.moveTo((from[0] * turned.width - x) * scale + size / 2, (from[1] * turned.height - y) * scale + size / 2);
    glass.lineTo(size / 2, size / 2);
    glass.lineTo((to[0] * turned.width - x) * scale + size / 2, (to[1] * turned.height - y) * scale + size / 2);
    glass.stroke();
  }
  // In the corner of the stage that the hand is not at.
  loupe.classList.toggle("left", corners[at][0] > 0.5);
}

// The numbers ---------------------------------------------------------------------------------------------------------

function write() {
  NAMES.forEach((name, i) => {
    number(`${name}_across`).value = String(Number((100 * corners[i][0]).toFixed(3)));
    number(`${name}_down`).value = String(Number((100 * corners[i][1]).toFixed(3)));
  });
  choice("quarters").value = String(quarters);
}

function read() {
  const typed = (/** @type {string} */ name, /** @type {number} */ usual) => {
    const text = number(name).value;
    return text === "" || Number.isNaN(Number(text)) ? usual : inside(Number(text) / 100);
  };
  corners = NAMES.map((name, i) => [typed(`${name}_across`, WHOLE[i][0]), typed(`${name}_down`, WHOLE[i][1])]);
  const turns = Number(choice("quarters").value);
  if (turns === quarters) return draw();
  quarters = turns;
  return shown && turn(shown.taken);
}
form.addEventListener("input", (event) => {
  if (around(event, ".by-numbers")) read();
});

form.addEventListener("submit", (event) => {
  if (!shown || part("keep").getAttribute("aria-disabled") !== "true") return;
  event.preventDefault();
  part("faults").scrollIntoView({ block: "center" });
});

// The hand ------------------------------------------------------------------------------------------------------------

/**
 * Where a pointer is on the photograph, as shares of its width and height.
 * @param {PointerEvent} event
 * @returns {Point}
 */
function share(event) {
  const box = photograph.getBoundingClientRect();
  return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
}

function letGo() {
  held = null;
  draw();
}

carries(stage, ".corner", {
  slack: 0,
  take(handle, event) {
    handle.focus({ preventScroll: true });
    const index = handles.findIndex((each) => each === handle);
    const [across, down] = share(event);
    held = { index, across: corners[index][0] - across, down: corners[index][1] - down };
    draw();
    return held;
  },
  carry({ index, across, down }, event) {
    const [x, y] = share(event);
    corners[index] = [inside(x + across), inside(y + down)];
    write();
    draw();
  },
  put: letGo,
});

for (const [index, handle] of handles.entries()) {
  handle.addEventListener("keydown", (event) => {
    const way = arrow(event);
    if (!way || !shown) return;
    event.preventDefault();
    const { width, height } = shown.turned;
    // A hundredth of the long side, or one pixel of the photograph.
    const step = event.shiftKey ? 1 : Math.max(width, height) / 100;
    const [x, y] = corners[index];
    corners[index] = [inside(x + (way[0] * step) / width), inside(y - (way[1] * step) / height)];
    write();
    draw();
    announce(index);
  });
  handle.addEventListener("focus", draw);
  handle.addEventListener("blur", draw);
}

let announcing = 0;
/** @param {number} index */
function announce(index) {
  clearTimeout(announcing);
  announcing = setTimeout(() => {
    part("announced").textContent = `${place(index)}. ${part("faults").textContent}`;
  }, 500);
}

for (const button of all(form, "[data-quarter]")) {
  button.addEventListener("click", () => {
    const by = Number(button.dataset.quarter);
    quarters = (quarters + by) % 4;
    for (let i = 0; i < by; i += 1) {
      // Clockwise: what was left is on top. The corner that is now top left was bottom left.
      corners = corners.map(([x, y]) => [1 - y, x]);
      corners = [corners[3], corners[0], corners[1], corners[2]];
    }
    write();
    if (shown) turn(shown.taken);
  });
}

part("reset").addEventListener("click", () => {
  corners = whole();
  write();
  draw();
});

addEventListener("resize", draw);
quarters = Number(choice("quarters").value);
read();
if (number("picture").files?.length) choose(); // chosen before this ran
else if (form.dataset.source) load(form.dataset.source);
