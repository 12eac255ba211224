/** Levers of the live page: within their ranges, and by what hands can set. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { placed, stepped } from "../src/live/levers.js";

const pull = { name: "pull", low: 1700, high: 2200, step: 50, now: 1500, value: 2000 };

test("a lever stays within its range, wherever the scene has it", () => {
  assert.equal(placed(pull, 1500), 1700);
  assert.equal(placed(pull, 2300), 2200);
  assert.equal(placed(pull, 1999), 1999);
});

test("an arrow key goes by what hands can set, and no further than the range", () => {
  assert.equal(stepped(pull, 2000, "ArrowRight"), 2050);
  assert.equal(stepped(pull, 2000, "ArrowDown"), 1950);
  assert.equal(stepped(pull, 2190, "ArrowUp"), 2200);
  assert.equal(stepped(pull, 2000, "a"), null);
});
