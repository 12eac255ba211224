import assert from "node:assert/strict";
import { test } from "node:test";
import { merged, pieceOf, shift } from "../src/model/merge.js";
import { stepped } from "../src/live/field.js";
import { latest, said } from "../src/live/dom.js";

/** A binary glTF (Khronos, glTF 2.0, section 4.4) that holds nothing. */
function empty() {
  const json = new TextEncoder().encode('{"asset":{"version":"2.0"}}  '.slice(0, 28)), file = new ArrayBuffer(20 + json.length), head = new DataView(file);
  head.setUint32(0, 0x46546c67, true);
  head.setUint32(4, 2, true);
  head.setUint32(8, file.byteLength, true);
  head.setUint32(12, json.length, true);
  head.setUint32(16, 0x4e4f534a, true);
  new Uint8Array(file).set(json, 20);
  return file;
}

const words = { old: "old", asked: "asked" }, fixed = { colours: { light: {} }, scales: [] };
const state = (key) => ({ key, kind: "still", x: [0], count: 1, shape: { tapes: { main: [], backup: [] } } });
const anchors = [{ p: [0, 0, 0] }, { p: [50, 0, -2] }], frame = { origin: [0, 0, 0], along: [1, 0, 0] };
const now = (plan, keys = ["walker"]) => ({ kind: "now", name: "first", plan, file: empty(), data: { anchors, frame, bays: 3, tapes: [{ number: 1 }], layers: {}, states: keys.map(state) } });
const whole = (plan) => ({
  kind: "whole", name: "first", plan, stage: "all", file: empty(),
  model: { data: { anchors, frame, layers: { left: {} }, worst: [{ rank: 1 }], noFall: [], runs: [], colours: { light: {} }, verdict: { text: "v" } }, states: ["empty", "walker", "fall"].map(state), curve: { series: [{ key: "left" }] }, gltf: { json: {} }, profile: [[0, -9]], colours: {} },
});

test("a message is taken apart where its JSON ends", () => {
  const text = new TextEncoder().encode('{"kind":"now","data":1} '), message = new Uint8Array(4 + text.length + 4);
  new DataView(message.buffer).setUint32(0, text.length, true);
  message.set(text, 4);
  message.set([1, 2, 3, 4], 4 + text.length);
  const piece = pieceOf(message.buffer);
  assert.equal(piece.kind, "now");
  assert.deepEqual([...new Uint8Array(piece.file)], [1, 2, 3, 4]);
});

test("what is of the plan that is edited is not old, and needs no state that was solved apart", () => {
  const model = merged(whole(3), now(3), [], { plan: 3, asked: false }, words, fixed);
  assert.deepEqual(model.states.map((one) => [one.key, one.old ?? false]), [["empty", false], ["walker", false], ["fall", false]]);
  assert.equal(model.data.verdict.text, "v");
  assert.equal(model.span, 50);
  assert.equal(model.drop, 2);
});

test("after a change the state that was solved is fresh and all else is marked as old", () => {
  const model = merged(whole(3), now(4), [], { plan: 4, asked: false }, words, fixed);
  assert.deepEqual(model.states.map((one) => [one.key, one.old ?? false]), [["empty", true], ["walker", false], ["fall", true]]);
  assert.equal(model.data.verdict, null);
  assert.ok(model.data.worst.every((one) => one.old) && model.curve.series.every((one) => one.old));
  assert.equal(model.states[1].tapes.length, 1);
});

test("a state that was asked for stands beside the walker's, and films only as long as the plan is theirs", () => {
  const film = { kind: "film", name: "first", plan: 3, at: 12, file: empty(), data: { states: [state("fall")] } };
  const asked = merged(whole(3), now(3), [film], { plan: 3, asked: true }, words, fixed);
  assert.deepEqual(asked.states.map((one) => one.key), ["empty", "walker", "asked", "fall"]);
  assert.equal(asked.states[3].at, 12);
  const later = merged(whole(3), now(4), [film], { plan: 4, asked: false }, words, fixed);
  assert.equal(later.states.find((one) => one.key === "fall").at, undefined);
});

test("without anything there is no picture, and with a state alone there is one without ground", () => {
  assert.equal(merged(null, null, [], { plan: 0, asked: false }, words, fixed), null);
  const model = merged(null, now(0), [], { plan: 0, asked: false }, words, fixed);
  assert.deepEqual(model.profile, []);
  assert.deepEqual(model.states.map((one) => one.key), ["walker"]);
});

test("ground that was given for another frame of the line is carried over", () => {
  assert.equal(shift(frame, frame), null);
  const to = { origin: [10, 0, 1], along: [0, 1, 0] }, found = shift(frame, to), p = [12, 3, 5];
  // The same place in both frames, worked out by hand: 2 m east and 3 m north of the new origin, whose x runs north.
  const [c, s] = [Math.cos(found.angle), Math.sin(found.angle)];
  const q = [c * p[0] - s * p[1] + found.x, s * p[0] + c * p[1] + found.y, p[2] + found.z];
  [3, -2, 4].forEach((want, k) => assert.ok(Math.abs(q[k] - want) < 1e-9, `${q}`));
});

test("a number is stepped in its last digit and keeps what stands behind it", () => {
  assert.equal(stepped("3.0 kN", 5), "3.5 kN");
  assert.equal(stepped("50 %", -1), "49 %");
  assert.equal(stepped("0.27", 1), "0.28");
  assert.equal(stepped("left", 1), null);
});

test("a message takes its values and refuses to be said without one", () => {
  assert.equal(said({ a: "{ $what }, { $share } %" }, "a", { what: "x", share: 3 }), "x, 3 %");
  assert.throws(() => said({ a: "{ $what }" }, "a"));
  assert.throws(() => said({}, "a"));
});

test("of fast changes only the newest waits", async () => {
  const sent = [];
  const send = latest(async (k) => { sent.push(k); await new Promise((done) => setTimeout(done, 5)); });
  await Promise.all([1, 2, 3, 4].map((k) => send(k)));
  await new Promise((done) => setTimeout(done, 20));
  assert.deepEqual(sent, [1, 4]);
});
