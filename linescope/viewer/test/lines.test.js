import assert from "node:assert/strict";
import { test } from "node:test";
import { thinned as which } from "../src/view/lines.js";
import { fewer } from "../src/view/ribbons.js";

/** @typedef {import("../src/model/types.js").Point} Point */

const P = (/** @type {Point} */ [x, y, z]) => /** @type {[number, number, number]} */ ([10 * x, 10 * z, y]);

const thinned = (/** @type {Point[]} */ run, /** @type {typeof P} */ seen, within = 0.12) => which(run, seen, within, 1e4).map((k) => run[k]);

/** How far a point lies from a run, as it is seen. @param {number[]} p @param {number[][]} run */
function off(p, run) {
  let best = Infinity;
  for (let k = 0; k + 1 < run.length; k++) {
    const [a, b] = [run[k], run[k + 1]], [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const share = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy || 1)));
    best = Math.min(best, Math.hypot(a[0] + dx * share - p[0], a[1] + dy * share - p[1]));
  }
  return best;
}

test("a straight run keeps its ends alone, a corner stays", () => {
  const straight = Array.from({ length: 50 }, (_, k) => /** @type {Point} */ ([k, 0, 0.3 * k]));
  assert.deepEqual(thinned(straight, P), [straight[0], straight[49]]);
  const corner = [...straight, ...straight.slice(0, 20).map(([x, y, z]) => /** @type {Point} */ ([49 + x, y, 14.7 - z]))];
  assert.ok(thinned(corner, P).some((p) => p[0] === 49));
  assert.deepEqual(thinned([[0, 0, 0], [5, 0, 0], [2, 0, 0]], P), [[0, 0, 0], [5, 0, 0], [2, 0, 0]]);
});

test("nothing that was there is farther off than the tolerance", () => {
  const loops = Array.from({ length: 1200 }, (_, k) => /** @type {Point} */ ([k / 12, 0, -0.4 * Math.abs(Math.sin(k / 12 * Math.PI)) - 0.01 * k]));
  for (const within of [0.12, 0.25, 0.5]) {
    const kept = thinned(loops, P, within);
    assert.ok(kept.length < 0.8 * loops.length);
    for (const p of loops) assert.ok(off(P(p), kept.map(P)) <= within + 1e-9);
  }
});

test("what is behind the eye is left as it is", () => {
  const run = Array.from({ length: 9 }, (_, k) => /** @type {Point} */ ([k, 2, 0]));
  assert.deepEqual(thinned(run, P), run);
});

test("what turns away from the eye alone keeps its points, or it would sink into what lies beneath", () => {
  const run = Array.from({ length: 40 }, (_, k) => /** @type {Point} */ ([k, 0.5 + 1e-4 * Math.sin(k), 0]));
  assert.ok(thinned(run, P).length > 30);
});

test("painted pieces end where colours change", () => {
  const run = Array.from({ length: 13 }, (_, k) => /** @type {Point} */ ([k, 0, 0])), [a, b] = /** @type {[number, number, number][]} */ ([[1, 0, 0], [0, 1, 0]]);
  const top = run.slice(1).map((_, k) => (k < 6 ? a : b)), under = run.slice(1).map((_, k) => (k < 9 ? a : b));
  const found = fewer({ run, top, under, thick: 0.1 }, (p) => P([p[0] / 10, p[1], p[2]]));
  assert.deepEqual(found.run.map((p) => p[0]), [0, 6, 9, 12]);
  assert.deepEqual([found.top.slice(0, 3), found.under.slice(0, 3)], [[a, b, b], [a, a, b]]);
});
