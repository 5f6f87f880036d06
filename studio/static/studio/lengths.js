// Lengths as people type and read them, as `studio/units.py` does. Millimetres inside.

const INCH = 25.4;
const GLYPHS = { "⅛": " 1/8", "¼": " 1/4", "⅜": " 3/8", "½": " 1/2", "⅝": " 5/8", "¾": " 3/4", "⅞": " 7/8" };
const SET = { "1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞" };
const RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED = "₀₁₂₃₄₅₆₇₈₉";

// A typed length in mm, or null. Bare numbers are inches, or millimetres or centimetres as the job is set.
export function parse(text, style) {
  let said = text.trim().toLowerCase().replace(/[′’‘]|''/g, (mark) => (mark === "''" ? '"' : "'")).replace(/[″”“]/g, '"').replace(/⁄/g, "/");
  said = said.replace(/[⅛¼⅜½⅝¾⅞]/g, (glyph) => GLYPHS[glyph]).replace(/,/g, ".").replace(/\s+/g, " ").trim();
  const metric = said.match(/^(\d+(?:\.\d+)?) ?(mm|cm|m)$/);
  if (metric) return Number(metric[1]) * { mm: 1, cm: 10, m: 1000 }[metric[2]];
  const feet = said.match(/^(\d+) ?(?:'|ft) ?(.*)$/);
  const rest = feet ? feet[2] : said;
  const inches = rest ? number(rest.replace(/ ?("|in|inch|inches)$/, "").replace(/^-/, "")) : feet ? 0 : null;
  if (inches === null) return null;
  if (feet) return inches < 12 ? (Number(feet[1]) * 12 + inches) * INCH : null;
  const marked = /("|in|inch|inches)$/.test(rest);
  if (style === "mm" && !marked) return inches;
  if (style === "cm" && !marked) return inches * 10;
  return inches * INCH;
}

function number(text) {
  const mixed = text.match(/^(\d+)[ -]+(\d+)\/(\d+)$/);
  if (mixed) return Number(mixed[3]) ? Number(mixed[1]) + Number(mixed[2]) / Number(mixed[3]) : null;
  const part = text.match(/^(\d+)\/(\d+)$/);
  if (part) return Number(part[2]) ? Number(part[1]) / Number(part[2]) : null;
  return /^\d+(\.\d+)?$|^\.\d+$/.test(text) ? Number(text) : null;
}

// A length as the sheet sets it: to the nearest 1/16 in or 1 mm, halves away from zero.
export function length(mm, style) {
  const sign = mm < 0 ? "−" : "";
  if (style === "mm") return `${sign}${half(Math.abs(mm))} mm`;
  if (style === "cm") return `${sign}${half(Math.abs(mm)) / 10} cm`;
  const sixteenths = half((Math.abs(mm) / INCH) * 16);
  let whole = Math.floor(sixteenths / 16);
  const glyph = fraction(sixteenths % 16);
  if (style === "in" || whole < 12) return `${sign}${mixed(whole, glyph)}″`;
  const feet = Math.floor(whole / 12);
  whole %= 12;
  return `${sign}${feet}′ ${whole === 0 && glyph ? "0" : ""}${mixed(whole, glyph)}″`;
}

function half(value) {
  return Math.floor(value + 0.5 + 1e-9);
}

function mixed(whole, glyph) {
  return glyph ? `${whole || ""}${glyph}` : String(whole);
}

function fraction(sixteenths) {
  if (!sixteenths) return "";
  let [top, bottom] = [sixteenths, 16];
  while (top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return SET[`${top}/${bottom}`] ?? `${[...String(top)].map((d) => RAISED[d]).join("")}⁄${[...String(bottom)].map((d) => LOWERED[d]).join("")}`;
}
