/** Readings as they are typed: checked, kept on the device, and written as the program reads them. Nothing is computed of them. */

/** @typedef {"tension"|"sag"|"loop"|"bay"|"tape"|"period"} Kind */
/**
 * One reading as texts with units, under the names of the scene file's keys; what was left out is "".
 * @typedef {{ what: Kind, value: string, error: string, end: string, number: string, weight: string, at: string, taken: string, note: string }} Taken
 */
/** What was typed: numbers as letters, their units beside them. @typedef {Record<string, string>} Typed */
/** What the line has: bays, tapes, metres from A to B. @typedef {{ bays: number, tapes: number, span: number }} Line */

export const COLUMNS = /** @type {const} */ (["what", "value", "error", "end", "number", "weight", "at", "taken", "note"]);
export const NUMBERED = ["loop", "bay", "tape"];
/** Units of each kind, and what one of them is in the unit that is written. @type {Record<Kind, [string, number, string][]>} */
export const UNITS = {
  tension: [["kN", 1, "kN"], ["lbf", 1, "lbf"]], sag: [["m", 1, "m"], ["ft", 1, "ft"]], loop: [["cm", 1, "cm"], ["in", 1, "in"]],
  bay: [["m", 1, "m"], ["ft", 1, "ft"]], tape: [["m", 1, "m"], ["ft", 1, "ft"]], period: [["ten", 0.1, "s"], ["s", 1, "s"]],
};
const METRES = /** @type {Record<string, number>} */ ({ m: 1, ft: 0.3048 });

/** A number as people type it, with a point or a comma; NaN where it is none. @param {string} text */
export function numberOf(text) {
  const plain = text.trim().replace(",", ".");
  return /^\d*\.?\d+$|^\d+\.$/.test(plain) ? Number(plain) : NaN;
}

/** As few digits as say the same. @param {number} value */
const written = (value) => String(Number(value.toPrecision(12)));

/**
 * A reading from what was typed, or the name of the field that is wrong.
 * @param {Typed} typed
 * @param {Line} line
 * @param {string} now Date and time, for a reading that says none.
 * @returns {Taken|{ wrong: string }}
 */
export function takenOf(typed, line, now) {
  const what = /** @type {Kind} */ (typed.what), unit = UNITS[what]?.find(([name]) => name === typed.unit);
  const value = numberOf(typed.value);
  if (!unit || !(value > 0 || (what === "sag" && value === 0))) return { wrong: "value" };
  const found = /** @type {Taken} */ ({ what, value: `${written(value * unit[1])} ${unit[2]}`, error: "", end: "", number: "", weight: "", at: "", taken: typed.taken.trim() || now, note: typed.note.trim() });
  if (typed.error.trim()) {
    const error = numberOf(typed.error);
    if (!(error > 0)) return { wrong: "error" };
    found.error = typed.errorUnit === "%" ? `${written(error)} %` : `${written(error * unit[1])} ${unit[2]}`;
  }
  if (what === "tension") found.end = typed.end === "B" ? "B" : "A";
  if (NUMBERED.includes(what)) {
    const number = numberOf(typed.number);
    if (!Number.isInteger(number) || number < 1 || number > (what === "tape" ? line.tapes : line.bays)) return { wrong: "number" };
    found.number = String(number);
  }
  if (typed.weight.trim()) {
    const weight = numberOf(typed.weight);
    if (!(weight > 0)) return { wrong: "weight" };
    found.weight = `${written(weight)} ${typed.weightUnit}`;
  } else if (what === "period") return { wrong: "weight" };
  if (typed.at.trim()) {
    const at = numberOf(typed.at), metres = at * METRES[typed.atUnit];
    if (!(metres > 0 && metres < line.span) || (!found.weight && what !== "sag")) return { wrong: "at" };
    found.at = `${written(at)} ${typed.atUnit}`;
  }
  return found;
}

/** One cell. @param {string} text */
const cell = (text) => (/[",;\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** The table that `linescope readings SCENE --csv FILE` takes. @param {Taken[]} taken */
export const csv = (taken) => [COLUMNS.join(","), ...taken.map((one) => COLUMNS.map((name) => cell(one[name])).join(","))].join("\n") + "\n";

/** A text as TOML has it: JSON's escapes are among TOML's, but for the one letter that TOML wants escaped. @param {string} text */
const quoted = (text) => JSON.stringify(text).replaceAll("\x7f", "\\u007f");

/** The same for the end of the scene file. @param {Taken[]} taken */
export const toml = (taken) => taken.map((one) => ["[[readings]]", `${one.what} = ${quoted(one.value)}`,
  ...COLUMNS.slice(2).filter((name) => one[name]).map((name) => `${name} = ${name === "number" ? one.number : quoted(one[name])}`), ""].join("\n")).join("\n");

/** Readings as they were kept; whatever is none of them is left out. @param {string|null} text @returns {Taken[]} */
export function keptOf(text) {
  try {
    const found = JSON.parse(text ?? "[]");
    return Array.isArray(found) ? found.filter((one) => one && Object.hasOwn(UNITS, one.what) && COLUMNS.every((name) => typeof one[name] === "string")) : [];
  } catch { return []; }
}
