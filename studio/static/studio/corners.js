// The corners of a piece in its photograph: dragged, moved by arrows under a loupe, or typed; what comes of them is
// drawn beside it as it moves. The numbers in the form are what is sent.

import { arrow, carries } from "./hand.js";
import { faultOf, shape, straightened } from "./perspective.js";

const NAMES = ["top_left", "top_right", "bottom_right", "bottom_left"];
const WHOLE = [[0, 0], [1, 0], [1, 1], [0, 1]];
const LEAST_SIDE = 48; // as the server: studio/crops.py
const LEAST_ANGLE = 12;
const WORKING = 1200; // the longest side that the result is drawn from [px]
const LOUPE = 3;
const UNLIKE = 1.3;

const form = document.querySelector("[data-corners]");
const part = (name) => form.querySelector(`[data-${name}]`);
const stage = part("stage");
const photograph = stage.querySelector(".photograph");
const outline = stage.querySelector(".outline");
const loupe = stage.querySelector(".loupe");
const handles = [...stage.querySelectorAll(".corner")];
const result = part("result").querySelector("canvas");
const field = (name) => form.elements[name];

let taken = null; // the photograph as it came: an image
let turned = null; // a canvas with it as it is turned now
let working = null; // the same, smaller, as pixels
let corners = WHOLE.map((corner) => [...corner]);
let quarters = 0;
let held = null;
let drawing = 0;

// The photograph ------------------------------------------------------------------------------------------------------

function load(address) {
  const image = new Image();
  image.addEventListener("load", () => {
    taken = image;
    for (const name of ["stage", "acts", "result"]) part(name).hidden = false;
    form.querySelector(".by-numbers").open = false;
    seen(true);
    turn();
  });
  image.addEventListener("error", () => seen(false));
  image.src = address;
}

/** Whether this browser can show the file that was chosen; where not, it is stored first and marked afterwards. */
function seen(can) {
  part("unseen").hidden = can;
  part("store").hidden = can;
  part("keep").hidden = !can;
  if (!can) {
    for (const name of ["stage", "acts", "result"]) part(name).hidden = true;
    taken = null;
    fault("");
  }
}

function choose() {
  const [file] = field("picture").files;
  if (!file) return;
  corners = WHOLE.map((corner) => [...corner]);
  quarters = 0;
  write();
  load(URL.createObjectURL(file));
}
field("picture").addEventListener("change", choose);

function turn() {
  const across = quarters % 2 === 1;
  turned = document.createElement("canvas");
  turned.width = across ? taken.naturalHeight : taken.naturalWidth;
  turned.height = across ? taken.naturalWidth : taken.naturalHeight;
  const pen = turned.getContext("2d");
  pen.translate(turned.width / 2, turned.height / 2);
  pen.rotate((quarters * Math.PI) / 2);
  pen.drawImage(taken, -taken.naturalWidth / 2, -taken.naturalHeight / 2);
  const scale = Math.min(1, WORKING / Math.max(turned.width, turned.height));
  const small = document.createElement("canvas");
  small.width = Math.max(1, Math.round(turned.width * scale));
  small.height = Math.max(1, Math.round(turned.height * scale));
  const tip = small.getContext("2d");
  tip.imageSmoothingQuality = "high";
  tip.drawImage(turned, 0, 0, small.width, small.height);
  working = tip.getImageData(0, 0, small.width, small.height);
  photograph.width = small.width;
  photograph.height = small.height;
  photograph.getContext("2d").drawImage(small, 0, 0);
  outline.setAttribute("viewBox", `0 0 ${small.width} ${small.height}`);
  draw();
}

// What is shown of the corners ----------------------------------------------------------------------------------------

const inside = (share) => Math.min(Math.max(share, 0), 1);
const percent = (share) => `${(100 * share).toFixed(1)} %`;

function draw() {
  cancelAnimationFrame(drawing);
  drawing = requestAnimationFrame(() => {
    drawing = 0;
    if (!taken) return;
    const { width, height } = working;
    const points = corners.map(([x, y]) => [x * width, y * height]);
    const ring = points.map((point) => point.join(" ")).join("L");
    outline.querySelector("polygon").setAttribute("points", points.map((point) => point.join(",")).join(" "));
    outline.querySelector(".away").setAttribute("d", `M0 0H${width}V${height}H0ZM${ring}Z`);
    handles.forEach((handle, i) => {
      handle.style.left = `${100 * corners[i][0]}%`;
      handle.style.top = `${100 * corners[i][1]}%`;
      const name = NAMES[i].replace("_", " ");
      handle.setAttribute("aria-label", `${name[0].toUpperCase()}${name.slice(1)} corner: ${percent(corners[i][0])} across, ${percent(corners[i][1])} down`);
    });
    drawResult(points);
    drawLoupe();
  });
}

function drawResult(points) {
  const said = faultOf(corners.map(([x, y]) => [x * turned.width, y * turned.height]), LEAST_SIDE, LEAST_ANGLE);
  fault(said);
  const whole = corners.flat().every((share, i) => share === WHOLE.flat()[i]);
  part("caption").textContent = whole ? "The whole photograph, as it will be kept" : "As it will be kept";
  unlike(points, said || whole);
  if (said) return;
  const own = Number(form.dataset.proportion);
  const proportion = whole ? working.width / working.height : field("to_piece").value === "no" ? shape(points) : own;
  const most = Math.min(2, devicePixelRatio || 1) * 320;
  result.width = Math.max(1, Math.round(proportion >= 1 ? most : most * proportion));
  result.height = Math.max(1, Math.round(proportion >= 1 ? most / proportion : most));
  result.getContext("2d").putImageData(straightened(working, points, result.width, result.height), 0, 0);
}

function fault(text) {
  part("faults").replaceChildren(...(text ? [Object.assign(document.createElement("p"), { className: "fault", textContent: text })] : []));
  stage.classList.toggle("at-fault", Boolean(text));
  part("keep").setAttribute("aria-disabled", text ? "true" : "false");
}

/** A word where the corners enclose a shape that is hardly the piece's: a quarter turn, or other corners. */
function unlike(points, silent) {
  const own = Number(form.dataset.proportion);
  const off = (one) => Math.max(one / own, own / one);
  const found = shape(points);
  const note = part("unlike");
  note.hidden = Boolean(silent) || off(found) < UNLIKE;
  if (note.hidden) return;
  const told = (one) => (one >= 1 ? `${one.toFixed(2)} to 1` : `1 to ${(1 / one).toFixed(2)}`);
  const turnFits = off(1 / found) < UNLIKE;
  note.textContent = `The corners make a shape of about ${told(found)}, the piece is ${told(own)}. ` + (turnFits ? "Does it need a quarter turn?" : "Are they on the picture’s own corners, and are its measures right? It is stretched to fit; choose “As the corners lie” to keep their shape.");
}

function drawLoupe() {
  const at = held?.index ?? handles.indexOf(document.activeElement);
  loupe.hidden = at < 0;
  if (at < 0) return;
  const pen = loupe.getContext("2d");
  const size = loupe.width;
  const [x, y] = [corners[at][0] * turned.width, corners[at][1] * turned.height];
  // So many pixels of the photograph: three times finer than the stage shows them.
  const reach = ((size / 2) * turned.width) / (stage.clientWidth * LOUPE * 2);
  pen.fillStyle = "#59606a";
  pen.fillRect(0, 0, size, size);
  pen.imageSmoothingEnabled = reach > 40;
  pen.drawImage(turned, x - reach, y - reach, 2 * reach, 2 * reach, 0, 0, size, size);
  const scale = size / (2 * reach);
  const [to, from] = [corners[(at + 1) % 4], corners[(at + 3) % 4]];
  for (const [colour, wide] of [["#fffdf9", 5], ["#8a3d2b", 2]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = wide;
    pen.beginPath();
    pen.moveTo((from[0] * turned.width - x) * scale + size / 2, (from[1] * turned.height - y) * scale + size / 2);
    pen.lineTo(size / 2, size / 2);
    pen.lineTo((to[0] * turned.width - x) * scale + size / 2, (to[1] * turned.height - y) * scale + size / 2);
    pen.stroke();
  }
  // In the corner of the stage that the hand is not at.
  loupe.classList.toggle("left", corners[at][0] > 0.5);
}

// The numbers ---------------------------------------------------------------------------------------------------------

function write() {
  NAMES.forEach((name, i) => {
    field(`${name}_across`).value = Number((100 * corners[i][0]).toFixed(3));
    field(`${name}_down`).value = Number((100 * corners[i][1]).toFixed(3));
  });
  field("quarters").value = String(quarters);
}

function read() {
  corners = NAMES.map((name, i) => ["across", "down"].map((way, k) => {
    const typed = field(`${name}_${way}`).value;
    return typed === "" || Number.isNaN(Number(typed)) ? WHOLE[i][k] : inside(Number(typed) / 100);
  }));
  const asked = Number(field("quarters").value);
  if (asked === quarters) return draw();
  quarters = asked;
  return taken && turn();
}
form.addEventListener("input", (event) => {
  if (event.target.closest(".by-numbers")) read();
});

form.addEventListener("submit", (event) => {
  if (taken && part("keep").getAttribute("aria-disabled") === "true") {
    event.preventDefault();
    part("faults").scrollIntoView({ block: "center" });
  }
});

// The hand ------------------------------------------------------------------------------------------------------------

/** Where a pointer is on the photograph, as shares of its width and height. */
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
    const index = handles.indexOf(handle);
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
    if (!way) return;
    event.preventDefault();
    // A hundredth of the long side, or one pixel of the photograph.
    const step = event.shiftKey ? 1 : Math.max(turned.width, turned.height) / 100;
    corners[index] = [inside(corners[index][0] + (way[0] * step) / turned.width), inside(corners[index][1] - (way[1] * step) / turned.height)];
    write();
    draw();
    told(index);
  });
  handle.addEventListener("focus", draw);
  handle.addEventListener("blur", draw);
}

let telling = null;
function told(index) {
  clearTimeout(telling);
  telling = setTimeout(() => {
    part("told").textContent = `${percent(corners[index][0])} across, ${percent(corners[index][1])} down. ${part("faults").textContent}`;
  }, 500);
}

for (const button of form.querySelectorAll("[data-quarter]")) {
  button.addEventListener("click", () => {
    const by = Number(button.dataset.quarter);
    quarters = (quarters + by) % 4;
    for (let i = 0; i < by; i += 1) {
      // Clockwise: what was left is on top. The corner that is now top left was bottom left.
      corners = corners.map(([x, y]) => [1 - y, x]);
      corners = [corners[3], corners[0], corners[1], corners[2]];
    }
    write();
    turn();
  });
}

part("reset").addEventListener("click", () => {
  corners = WHOLE.map((corner) => [...corner]);
  write();
  draw();
});

addEventListener("resize", draw);
quarters = Number(field("quarters").value);
read();
if (field("picture").files.length) choose(); // chosen before this ran
else if (form.dataset.source) load(form.dataset.source);
