import assert from "node:assert/strict";
import { test } from "node:test";
import { csv, keptOf, numberOf, takenOf, toml } from "../src/measured/taken.js";

const line = { bays: 16, tapes: 15, span: 48 };
const blank = { what: "tension", value: "", unit: "kN", error: "", errorUnit: "%", end: "A", number: "", weight: "", weightUnit: "kg", at: "", atUnit: "m", taken: "", note: "" };
const taken = (more) => takenOf({ ...blank, ...more }, line, "2026-05-03 14:20");

test("numbers are read with a point or a comma, and nothing else is one", () => {
  assert.deepEqual(["2,45", " 2.5 ", "3", ".5", "7."].map(numberOf), [2.45, 2.5, 3, 0.5, 7]);
  for (const text of ["", "1e3", "-2", "2.4 kN", "1.2.3", "1,234.5"]) assert.ok(Number.isNaN(numberOf(text)), text);
});

test("a reading says what the scene's keys ask for", () => {
  assert.deepEqual(taken({ value: "2,4", end: "B" }), { what: "tension", value: "2.4 kN", error: "", end: "B", number: "", weight: "", at: "", taken: "2026-05-03 14:20", note: "" });
  const loop = taken({ what: "loop", value: "38", unit: "cm", number: "7", error: "1", errorUnit: "cm", taken: "today" });
  assert.deepEqual([loop.value, loop.number, loop.error, loop.end, loop.taken], ["38 cm", "7", "1 cm", "", "today"]);
});

test("ten bounces are counted, one is told", () => {
  const found = taken({ what: "period", value: "21,3", unit: "ten", weight: "78", error: "0.5", errorUnit: "ten" });
  assert.deepEqual([found.value, found.error, found.weight], ["2.13 s", "0.05 s", "78 kg"]);
});

test("what cannot be is named by its field", () => {
  const wrong = (more) => taken(more).wrong;
  assert.equal(wrong({ value: "" }), "value");
  assert.equal(wrong({ value: "0" }), "value");
  assert.equal(wrong({ what: "loop", unit: "cm", value: "38" }), "number");
  assert.equal(wrong({ what: "loop", unit: "cm", value: "38", number: "17" }), "number");
  assert.equal(wrong({ what: "tape", unit: "m", value: "38", number: "16" }), "number");
  assert.equal(wrong({ what: "period", unit: "s", value: "2" }), "weight");
  assert.equal(wrong({ value: "2", at: "10" }), "at");
  assert.equal(wrong({ what: "sag", unit: "m", value: "2", at: "160", atUnit: "ft" }), "at");
  assert.equal(wrong({ value: "2", error: "0" }), "error");
  assert.equal(taken({ what: "sag", unit: "m", value: "0" }).value, "0 m");
});

test("tables keep commas, quotes and lines of notes", () => {
  const one = taken({ value: "2.4", note: 'meter "B", behind\nthe lock' });
  assert.equal(csv([one]), 'what,value,error,end,number,weight,at,taken,note\ntension,2.4 kN,,A,,,,2026-05-03 14:20,"meter ""B"", behind\nthe lock"\n');
  assert.equal(toml([one]), '[[readings]]\ntension = "2.4 kN"\nend = "A"\ntaken = "2026-05-03 14:20"\nnote = "meter \\"B\\", behind\\nthe lock"\n');
});

test("what was kept comes back, and nothing else does", () => {
  const one = taken({ value: "2.4" });
  assert.deepEqual(keptOf(JSON.stringify([one, { what: "tension" }, null, { ...one, what: "toString" }])), [one]);
  assert.deepEqual([keptOf("{"), keptOf(null), keptOf("3")], [[], [], []]);
});
