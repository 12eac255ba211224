import assert from "node:assert/strict";
import { test } from "node:test";
import { curveText, curveValue, reachOf, valueAt, zoneWords } from "../src/foot/strip.js";
import { broken } from "../src/ink/marks.js";

const model = {
  curve: { series: [{ key: "left", x: [0, 10, 20], values: [1, 3, -1], text: { index: { values: [0, 1, 2], items: 1, count: 3 }, of: ["1.0 m", "3.0 m", "reached"] } }] },
};

test("the knob's place is where the pointer is, and stays on the line", () => {
  const reach = { left: 50, right: 250 };
  assert.equal(valueAt(reach, 150, 92), 46);
  assert.equal(valueAt(reach, 0, 92), 0);
  assert.equal(valueAt(reach, 999, 92), 92);
});

test("a curve is straight between its places, and its words are those of the nearest", () => {
  assert.equal(curveValue(model, "left", 5), 2);
  assert.equal(curveText(model, "left", 4), "1.0 m");
  assert.equal(curveText(model, "left", 16), "reached");
  assert.equal(curveText(model, "feet", 4), "");
  assert.ok(Number.isNaN(curveValue({ curve: null }, "left", 4)));
});

test("the strip reaches from the deepest to twice what is asked for, and always shows the ground", () => {
  assert.deepEqual(reachOf({ lowest: -2, highest: 19 }, 9), [-2, 9]);
  assert.deepEqual(reachOf({ lowest: -80, highest: 19 }, 10), [-7, 10]);
  assert.deepEqual(reachOf({ lowest: 3, highest: 19 }, 10), [-1.5, 10]);
  assert.ok(Math.abs(reachOf({ lowest: 3, highest: 20 }, 0)[1] - 23) < 1e-9);
});

test("a sentence is broken into lines none of which is wider than its room", () => {
  const pen = { font() {}, context: { measureText: (/** @type {string} */ text) => ({ width: 6 * text.length }) } };
  const text = "From 0.83 s the backup lies in the ground: what follows is not computed", lines = broken(/** @type {any} */ (pen), text, 120, 12, 700);
  assert.equal(lines.join(" ").replaceAll("\u00a0", " "), text);
  assert.ok(lines.length > 3 && lines.every((line) => 6 * line.length <= 120));
});

test("on a narrow strip no stretch onto which a fall reaches loses its words", () => {
  const pen = /** @type {any} */ ({ width: (/** @type {string} */ text) => 6 * text.length });
  const zones = [[0, 11.8], [22.4, 27.9], [86.1, 92]].map(([from, to]) => ({ from, to, grade: "reached", short: `no fall ${from} to ${to} m` }));
  const X = (/** @type {number} */ x) => 14 + 280 * x / 92, told = zoneWords(pen, [...zones, { from: 12, to: 20, grade: "near", short: "nearer than asked for" }], X, 14, 294);
  assert.deepEqual(told.map((one) => one.text), zones.map((one) => one.short));
  for (const one of told) for (const other of told) {
    const apart = Math.abs(one.x - other.x) >= 3 * (one.text.length + other.text.length);
    assert.ok(one === other || one.row !== other.row || apart);
  }
});
