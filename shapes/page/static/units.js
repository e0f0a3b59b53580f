// Lengths are mm and masses kg everywhere; people read and write them in the unit they are used to.
const INCH = 25.4, POUND = 0.45359237, PARTS = 32;
let unit = "mm";

export function use(name) { unit = name; }
export function used() { return unit; }

function fraction(value) {
  const all = Math.round(Math.abs(value) * PARTS), whole = Math.floor(all / PARTS);
  let top = all % PARTS, bottom = PARTS;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  const sign = value < 0 && all ? "-" : "";
  return sign + (top ? (whole ? `${whole} ${top}/${bottom}` : `${top}/${bottom}`) : `${whole}`);
}

export function figure(mm, digits = 0) {
  if (unit === "in") return fraction(mm / INCH);
  const value = unit === "cm" ? mm / 10 : mm;
  return String(Number(value.toFixed(unit === "cm" ? digits + 1 : digits)));
}

export function length(mm, digits = 0) { return `${figure(mm, digits)} ${unit}`; }
export function size(sizes) { return `${sizes.map((v) => figure(v)).join(" x ")} ${unit}`; }
export function mass(kg) { return unit === "in" ? `${(kg / POUND).toFixed(2)} lb` : `${kg.toFixed(2)} kg`; }

// "16 1/2", "1/4 in", "2 cm", "412": in the unit in use unless it says another. NaN for what is none.
export function read(text) {
  const found = /^\s*(-?)([\d.,/ ]+?)\s*(mm|cm|in|")?\s*$/.exec(text);
  if (!found) return NaN;
  const parts = found[2].trim().split(/\s+/).map((part) => {
    const [top, bottom] = part.replace(",", ".").split("/");
    return bottom === undefined ? Number(top) : Number(top) / Number(bottom);
  });
  const of = { mm: 1, cm: 10, in: INCH, '"': INCH }[found[3] || unit];
  const sum = parts.reduce((a, v) => a + v, 0) * of;
  return Number.isFinite(sum) ? (found[1] ? -sum : sum) : NaN;
}

export function readMass(text) {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*(kg|g|lb)?\s*$/.exec(text);
  if (!found) return NaN;
  const of = { kg: 1, g: 0.001, lb: POUND }[found[2] || (unit === "in" ? "lb" : "kg")];
  return Number(found[1].replace(",", ".")) * of;
}

// A sentence of the checks, its mm and kg in the reader's own unit.
export function said(text) {
  if (unit === "mm") return text;
  const number = "\\d+(?:\\.\\d+)?";
  const row = new RegExp(`${number}(?:(?: x | to | and |, )${number})* mm\\b`, "g");
  const lengths = text.replace(row, (run) => run.replace(new RegExp(number, "g"), (v) => figure(Number(v), 1)).replace(/ mm$/, ` ${unit}`));
  if (unit !== "in") return lengths;
  const masses = new RegExp(`${number}(?: to ${number})* kg\\b(?: \\(${number} to ${number})?`, "g");
  return lengths.replace(masses, (run) => run.replace(new RegExp(number, "g"), (v) => (Number(v) / POUND).toFixed(2)).replace(" kg", " lb"));
}
