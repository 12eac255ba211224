import assert from "node:assert/strict";
import { test } from "node:test";
import { section } from "../src/view/ribbons.js";

const dot = (/** @type {number[]} */ a, /** @type {number[]} */ b) => a.reduce((sum, v, k) => sum + v * b[k], 0);

test("a ribbon lies flat across its way: its section is a rectangle square to it, level from side to side", () => {
  for (const way of /** @type {[number, number, number][]} */ ([[1, 0, 0], [3, 1, -2], [-1, 2, 5], [0.01, 0, -4]])) {
    const corners = section([7, 8, 9], [7 + way[0], 8 + way[1], 9 + way[2]], 0.3, 0.1);
    const [topLeft, topRight, , , , , lowLeft, lowRight] = Array.from({ length: 8 }, (_, k) => corners.slice(3 * k, 3 * k + 3));
    for (const corner of [topLeft, topRight, lowLeft, lowRight]) {
      assert.ok(Math.abs(dot(corner, way)) < 1e-9);
      assert.ok(Math.abs(Math.hypot(...corner) - Math.hypot(0.3, 0.1)) < 1e-9);
    }
    assert.ok(Math.abs(topLeft[2] - topRight[2]) < 1e-9);
    assert.ok(topLeft[2] > lowLeft[2]);
  }
});
