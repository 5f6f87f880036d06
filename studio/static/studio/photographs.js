// Many photographs at once: the server says which work a file's name names, the reader pairs the rest, each is sent by itself.

import { csrfToken, say } from "./base.js";
import { all, find, need } from "./dom.js";

/** @typedef {{ file: File, part: HTMLElement }} Pair */

const place = need(document, "#photographs");
const files = need(document, "#files", HTMLInputElement);
const saveAll = need(document, "#save-all", HTMLButtonElement);
/** @type {Pair[]} */
let pairs = [];

const chosenOf = (/** @type {Pair} */ pair) => need(pair.part, "select", HTMLSelectElement);
const waiting = () => pairs.filter((pair) => chosenOf(pair).value && !pair.part.classList.contains("saved"));

/**
 * @param {string} address
 * @param {FormData} body
 */
const post = (address, body) => fetch(address, { method: "POST", body, headers: { "X-CSRFToken": csrfToken() } });

function count() {
  const open = pairs.filter((pair) => !chosenOf(pair).value).length;
  const ready = waiting().length;
  need(document, "#counted").textContent = pairs.length ? `${pairs.length} photographs: ${ready} paired, ${open} to pair.` : "";
  saveAll.hidden = ready === 0;
}

/** @param {File[]} taken */
async function take(taken) {
  const pictures = taken.filter((file) => file.type.startsWith("image/")).slice(0, Number(place.dataset.most) - pairs.length);
  if (pictures.length < taken.length) say("Only pictures are taken, and so many at once as the page says.");
  const asked = new FormData();
  asked.set("names", pictures.map((file) => file.name).join("\n"));
  const answer = await post(place.dataset.match ?? "", asked).catch(() => null);
  const { matched } = answer?.ok ? await answer.json() : { matched: {} };
  for (const file of pictures) lay(file, String(matched[file.name] ?? ""));
  count();
}

/**
 * @param {File} file
 * @param {string} work
 */
function lay(file, work) {
  const template = need(document, "#pair", HTMLTemplateElement);
  const part = need(/** @type {DocumentFragment} */ (template.content.cloneNode(true)), "li");
  need(part, "img", HTMLImageElement).src = URL.createObjectURL(file);
  need(part, ".name").textContent = file.name;
  const pair = { file, part };
  chosenOf(pair).value = work;
  chosenOf(pair).addEventListener("change", count);
  need(document, "#pairs").append(part);
  pairs = [...pairs, pair];
}

/** @param {Pair} pair */
async function save(pair) {
  const body = new FormData();
  body.set("work", chosenOf(pair).value);
  body.set("picture", pair.file);
  const answer = await post(place.dataset.save ?? "", body).catch(() => null);
  const said = answer ? await answer.json().catch(() => ({})) : {};
  pair.part.classList.toggle("saved", answer?.ok ?? false);
  pair.part.classList.toggle("refused", !answer?.ok);
  need(pair.part, ".state").textContent = answer?.ok ? "Saved." : (said.detail ?? "No answer: nothing was saved. Try again.");
  if (answer?.ok) chosenOf(pair).disabled = true;
}

files.addEventListener("change", () => {
  void take([...(files.files ?? [])]);
  files.value = "";
});
place.addEventListener("dragover", (event) => {
  event.preventDefault();
  place.classList.add("over");
});
place.addEventListener("dragleave", () => place.classList.remove("over"));
place.addEventListener("drop", (event) => {
  event.preventDefault();
  place.classList.remove("over");
  void take([...(event.dataTransfer?.files ?? [])]);
});
saveAll.addEventListener("click", async () => {
  saveAll.disabled = true;
  for (const pair of waiting()) await save(pair);
  saveAll.disabled = false;
  count();
  if (all(document, "#pairs .refused").length) find(document, "#pairs .refused")?.scrollIntoView({ block: "center" });
});
