// Lengths as people type and read them, as `studio/units.py` does. Millimetres inside.

/** @typedef {"ft_in" | "in" | "cm" | "mm"} Style how a reader wants lengths */

const INCH = 25.4;
const FOOT = 12 * INCH;
const LONGEST = 100_000; // no wall is longer

/** @type {Record<string, number>} */
const UNITS = {};
for (const name of ['"', "in", "inch", "inches"]) UNITS[name] = INCH;
for (const name of ["'", "ft", "foot", "feet"]) UNITS[name] = FOOT;
for (const name of ["mm", "millimetre", "millimetres", "millimeter", "millimeters"]) UNITS[name] = 1;
for (const name of ["cm", "centimetre", "centimetres", "centimeter", "centimeters"]) UNITS[name] = 10;
for (const name of ["m", "metre", "metres", "meter", "meters"]) UNITS[name] = 1000;
const BARE = { ft_in: INCH, in: INCH, cm: 10, mm: 1 };

/** @type {Record<string, string>} */
const TYPED = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3" };
const SET = Object.fromEntries(Object.entries(TYPED).map(([glyph, typed]) => [typed, glyph]));
const RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED = "₀₁₂₃₄₅₆₇₈₉";

const NUMBER = "\\d+[ -]+\\d+/\\d+|\\d+/\\d+|\\d+(?:[.,]\\d+)?|[.,]\\d+";
const QUANTITY = new RegExp(`(${NUMBER}) *([a-z]+\\.?|['"])?[ -]*`, "y");

/**
 * A text with plain keys for every kind of prime, quote, dash, fraction, raised digit and space.
 * @param {string} text
 */
function plain(text) {
  return text
    .replace(/([0-9])([⁰¹²³⁴⁵⁶⁷⁸⁹])/g, "$1 $2")
    .replace(/[½¼¾⅛⅜⅝⅞⅓⅔]/g, (glyph) => ` ${TYPED[glyph]}`)
    .replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]/g, (digit) => String(RAISED.indexOf(digit)))
    .replace(/[₀₁₂₃₄₅₆₇₈₉]/g, (digit) => String(LOWERED.indexOf(digit)))
    .replace(/[′’‘ʹʼ´`＇]/g, "'")
    .replace(/[″”“ʺ〃＂„]/g, '"')
    .replace(/''/g, '"')
    .replace(/[⁄∕／]/g, "/")
    .replace(/[−–—‐‑]/g, "-")
    .replace(/\s+/g, " ")
    .trim()
    .toLowerCase();
}

/**
 * A typed length [mm], nought or more; null for anything else. Bare numbers are inches, cm or mm, as `style` says.
 * @param {string} text
 * @param {Style} style
 * @returns {number | null}
 */
export function parse(text, style) {
  const typed = plain(text);
  const parts = [];
  QUANTITY.lastIndex = 0;
  for (let at = 0; at < typed.length; at = QUANTITY.lastIndex) {
    const found = QUANTITY.exec(typed);
    if (!found) return null;
    const unit = found[2]?.replace(/\.$/, "");
    const amount = number(found[1]);
    if (amount === null || (unit && !(unit in UNITS))) return null;
    parts.push({ amount, factor: unit ? UNITS[unit] : null });
  }
  const mm = together(parts, style);
  return mm === null || mm > LONGEST ? null : mm;
}

/**
 * One quantity, or feet and inches, of which there are less than twelve.
 * @param {{ amount: number, factor: number | null }[]} parts
 * @param {Style} style
 */
function together(parts, style) {
  const [first, second] = parts;
  if (parts.length === 1) return first.amount * (first.factor ?? BARE[style]);
  const compound = parts.length === 2 && first.factor === FOOT && (second.factor === null || second.factor === INCH);
  return compound && second.amount < 12 ? (first.amount * 12 + second.amount) * INCH : null;
}

/** @param {string} text */
function number(text) {
  if (/\d,\d{3}$/.test(text)) return null; // a thousands comma, or a decimal one: nobody knows
  const [, whole, top, bottom] = text.match(/^(?:(\d+)[ -]+)?(\d+)\/(\d+)$/) ?? [];
  if (bottom === undefined) return Number(text.replace(",", "."));
  return Number(bottom) ? Number(whole ?? 0) + Number(top) / Number(bottom) : null;
}

/**
 * A length [mm] as the sheet sets it: to the nearest 1/16 in or 1 mm, halves away from zero.
 * @param {number} mm
 * @param {Style} style
 */
export function length(mm, style) {
  const metric = style === "cm" || style === "mm";
  const steps = rounded(metric ? Math.abs(mm) : (Math.abs(mm) / INCH) * 16);
  const sign = mm < 0 && steps ? "−" : "";
  if (metric) return `${sign}${style === "cm" ? steps / 10 : steps} ${style}`;
  const whole = Math.floor(steps / 16);
  const glyph = fraction(steps % 16);
  if (style === "in" || whole < 12) return `${sign}${mixed(whole, glyph)}″`;
  const inches = whole % 12;
  return `${sign}${Math.floor(whole / 12)}′ ${inches === 0 && glyph ? "0" : ""}${mixed(inches, glyph)}″`;
}

/**
 * The length that is set and measured: to the nearest 1/16 in or 1 mm, halves away from zero [mm].
 * @param {number} mm
 * @param {Style} style
 */
export function onTape(mm, style) {
  const step = style === "cm" || style === "mm" ? 1 : INCH / 16;
  return Math.sign(mm) * rounded(Math.abs(mm) / step) * step;
}

/**
 * The unit of a bare number that a reader types.
 * @param {Style} style
 */
export const unitOf = (style) => (style === "ft_in" ? "in" : style);

/** @param {number} value */
function rounded(value) {
  return Math.floor(value + 0.5 + 1e-9);
}

/**
 * @param {number} whole
 * @param {string} glyph
 */
function mixed(whole, glyph) {
  return glyph ? `${whole || ""}${glyph}` : String(whole);
}

/** @param {number} sixteenths */
function fraction(sixteenths) {
  if (!sixteenths) return "";
  let [top, bottom] = [sixteenths, 16];
  while (top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  const digits = (/** @type {number} */ part, /** @type {string} */ glyphs) => [...String(part)].map((d) => glyphs[Number(d)]).join("");
  return SET[`${top}/${bottom}`] ?? `${digits(top, RAISED)}⁄${digits(bottom, LOWERED)}`;
}
