// The next measure read aloud, where the hanger wants it: it is off until then.

/** @typedef {import("./job.js").Hook} Hook */

const KEPT = "voice";

export const canSpeak = () => "speechSynthesis" in globalThis;

export const speaks = () => canSpeak() && localStorage.getItem(KEPT) === "on";

/** @param {boolean} on */
export function setSpeaking(on) {
  localStorage.setItem(KEPT, on ? "on" : "off");
  if (!on && canSpeak()) speechSynthesis.cancel();
}

/** @type {[RegExp, string][]} what is written and how it is said */
const SAID = [
  [/′-?/g, " feet "],
  [/″/g, " inches"],
  [/½/g, " and a half"], [/¼/g, " and a quarter"], [/¾/g, " and three quarters"],
  [/⅛/g, " and one eighth"], [/⅜/g, " and three eighths"], [/⅝/g, " and five eighths"], [/⅞/g, " and seven eighths"],
  [/([¹³⁵⁷⁹]|¹[¹³⁵])⁄₁₆/g, " and $1 sixteenths"],
  [/\bcm\b/g, "centimetres"], [/\bmm\b/g, "millimetres"], [/\bm\b/g, "metres"],
];
const RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/**
 * A length as it is said.
 * @param {string} text as it is written
 */
export function aloud(text) {
  const said = SAID.reduce((now, [written, spoken]) => now.replace(written, spoken), text);
  return said.replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]/g, (digit) => String(RAISED.indexOf(digit))).replace(/\s+/g, " ").trim().replace(/^and (?=[\da])/, "");
}

/**
 * What is said of a piece: its number, and where each hook is.
 * @param {{ number: number, hooks: Pick<Hook, "label" | "datum" | "floor">[] }} piece
 */
export function sentence({ number, hooks }) {
  if (!hooks.length) return `Piece ${number}. Measure its drop first.`;
  const each = hooks.map(({ label, datum, floor }) => {
    const which = hooks.length > 1 ? `Hook ${label.replace(/([a-z])$/, " $1")}. ` : "";
    return `${which}${aloud(datum)} from the left end. ${aloud(floor)} up from the floor.`;
  });
  return [`Piece ${number}.`, ...each].join(" ");
}

/** @param {string} text */
export function speak(text) {
  speechSynthesis.cancel();
  const said = new SpeechSynthesisUtterance(text);
  [said.lang, said.rate] = ["en", 0.9];
  speechSynthesis.speak(said);
}
