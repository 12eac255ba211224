import assert from "node:assert/strict";
import { test } from "node:test";
import { bracket, clamp, smooth } from "../src/model/numbers.js";
import { numbersAt, pointsAt, textOf, unpack, unpackTold } from "../src/model/packed.js";
import { frameAt, heightAt, loopNear, pointAt, shapeAt } from "../src/model/shapes.js";

test("a value lies between its neighbours", () => {
  const list = [0, 1, 4, 9, 16];
  for (const value of [0, 0.5, 1, 3.9, 4, 15.99, 16]) {
    const [k, share] = bracket(list, value);
    assert.ok(Math.abs(list[k] + share * (list[k + 1] - list[k]) - value) < 1e-12, `${value}`);
  }
  assert.deepEqual(bracket(list, -3), [0, 0]);
  assert.deepEqual(bracket(list, 99), [3, 1]);
});

test("smooth begins and ends at rest", () => {
  assert.equal(smooth(0), 0);
  assert.equal(smooth(1), 1);
  assert.ok(smooth(0.001) < 1e-5 && 1 - smooth(0.999) < 1e-5);
  assert.equal(clamp(5, 0, 3), 3);
});

/** What the program writes: component after component, frame after frame; differences along frames "p" and items "n". */
function packed(frames, step, axes) {
  const [count, items, parts] = [frames.length, frames[0].length, frames[0][0].length], out = [];
  const whole = (f, i, c) => (f < 0 || i < 0 ? 0 : Math.round(frames[f][i][c] / step));
  const first = (f, i, c) => whole(f, i, c) - (axes.includes("p") ? whole(f - 1, i, c) : 0);
  for (let c = 0; c < parts; c++) {
    for (let f = 0; f < count; f++) {
      for (let i = 0; i < items; i++) out.push(first(f, i, c) - (axes.includes("n") ? first(f, i - 1, c) : 0));
    }
  }
  return out;
}

test("packed arrays come back to half a step", () => {
  const frames = Array.from({ length: 5 }, (_, f) => Array.from({ length: 3 }, (_, i) => [f * 0.37 + i, Math.sin(f + i), -f * i * 0.11]));
  for (const axes of ["", "p", "pn"]) {
    const stored = Int16Array.from(packed(frames, 0.0025, axes));
    const found = unpack(() => stored, { a: 0, shape: [5, 3, 3], q: 0.0025, d: axes });
    frames.forEach((frame, f) => frame.forEach((point, i) => point.forEach((value, c) => {
      assert.ok(Math.abs(found.values[(f * 3 + i) * 3 + c] - value) <= 0.00125 + 1e-6);
    })));
    const half = pointsAt(found, 1, 0.5)[2];
    assert.ok(Math.abs(half[0] - (frames[1][2][0] + frames[2][2][0]) / 2) < 0.003);
  }
});

test("a number that is not known stays unknown", () => {
  const found = unpack(() => Int16Array.from([-32768, 4]), { a: 0, shape: [1, 2], q: 0.5, nan: -32768 });
  assert.ok(Number.isNaN(found.values[0]));
  assert.deepEqual(numbersAt(found, 0, 0)[1], 2);
});

test("told texts are those of frame and item", () => {
  const told = unpackTold(() => Uint8Array.from([0, 1, 1, 2]), { t: { a: 0, shape: [2, 2] }, of: ["a", "b", "c"] });
  assert.equal(textOf(told, 0, 1), "b");
  assert.equal(textOf(told, 1, 1), "c");
  assert.equal(textOf(told, 99, 0), "b");
  assert.equal(textOf(null, 0), "");
});

/** Two places of a walker on a line of two bays, packed as floats. */
function state() {
  const frames = (list) => ({ values: Float32Array.from(list.flat(2)), count: list.length, items: list[0].length, parts: list[0][0].length });
  const nothing = { backup: null, main: null };
  return {
    kind: "places", count: 2, x: [4, 6], seconds: 0,
    shape: {
      topology: "bay", parted: null, pose: "standing", tapes: { main: [1], backup: [2], gone: [null] },
      main: frames([[[0, 0, 0], [5, 0, -1], [10, 0, 0]], [[0, 0, 0], [5, 0, -2], [10, 0, 0]]]),
      backup: frames([[[0, 0, 0], [2.5, 0, -1.5], [5, 0, -1], [7.5, 0, -1], [10, 0, 0]], [[0, 0, 0], [2.5, 0, -2.5], [5, 0, -2], [7.5, 0, -2], [10, 0, 0]]]),
      feet: frames([[[4, 0, -1]], [[6, 0, -2]]]), ring: null, tie: null, leash: null, fallen: null, above: null,
      depth: frames([[[1], [0.5]], [[1.5], [0.5]]]), tension: nothing,
    },
  };
}

test("between two places the lines are a mixture, and words those of the nearer one", () => {
  const found = shapeAt(state(), 5);
  assert.deepEqual(found.main[0][1], [5, 0, -1.5]);
  assert.deepEqual(found.tapes[0], [5, 0, -1.5]);
  assert.deepEqual(found.feet, [5, 0, -1.5]);
  assert.equal(found.depths[0], 1.25);
  assert.equal(frameAt(state(), 4.9).nearest, 0);
  assert.equal(frameAt(state(), 5.1).nearest, 1);
});

test("a parted main is two runs, and a tape that let go is none", () => {
  const film = state();
  film.shape.parted = { after: 0, frame: 1 };
  film.shape.tapes.gone = [1];
  assert.equal(shapeAt(film, 4).main.length, 1);
  const after = shapeAt(film, 6);
  assert.deepEqual(after.main.map((run) => run.length), [1, 2]);
  assert.equal(after.tapes[0], null);
});

test("a line without a main is held by its backup", () => {
  const gone = state();
  gone.shape.main = null;
  const found = shapeAt(gone, 4);
  assert.deepEqual(found.main, []);
  assert.deepEqual(found.tapes[0], [5, 0, -1]);
});

test("the loop near a place is measured from the main straight down", () => {
  const found = loopNear(shapeAt(state(), 4), 2, 2);
  assert.equal(found.bay, 0);
  assert.ok(Math.abs(found.above[2] - found.low[2] - 1) < 1e-6); // the main is at -0.5 there, the loop at -1.5
});

test("heights of a profile are straight between its points, and level beyond", () => {
  const profile = [[0, 0], [10, -20], [20, -10]];
  assert.equal(heightAt(profile, 5), -10);
  assert.equal(heightAt(profile, 15), -15);
  assert.equal(heightAt(profile, -5), 0);
  assert.equal(heightAt(profile, 99), -10);
  assert.equal(heightAt([], 3), null);
  assert.equal(pointAt([[0, 0, 0], [10, 0, 5]], 4)[2], 2);
  assert.equal(pointAt([[0, 0, 0], [10, 0, 5]], 11), null);
});

test("small numbers of either sign come back from their folded bytes", () => {
  const whole = [0, -1, 1, -2, 300, 32767, -32768];
  const folded = whole.map((each) => each < 0 ? -2 * each - 1 : 2 * each);
  const bytes = Uint8Array.from([...folded.map((each) => each % 256), ...folded.map((each) => Math.floor(each / 256))]);
  const found = unpack(() => bytes, { a: 0, shape: [1, 7], q: 2, bytes: 2, nan: -32768 });
  assert.deepEqual([...(found?.values ?? [])], [0, -2, 2, -4, 600, 65534, NaN]);
});
