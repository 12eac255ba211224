import assert from "node:assert/strict";
import { test } from "node:test";
import { readGlb } from "../src/model/glb.js";

/** A file built by hand after the Khronos glTF 2.0 specification, section 4.4: header, JSON chunk, binary chunk, each padded to 4. */
function file(json, binary, { magic = 0x46546c67, version = 2 } = {}) {
  const text = new TextEncoder().encode(JSON.stringify(json)), padded = Math.ceil(text.length / 4) * 4;
  const total = 12 + 8 + padded + 8 + binary.byteLength, out = new ArrayBuffer(total), head = new DataView(out);
  [magic, version, total, padded, 0x4e4f534a].forEach((value, k) => head.setUint32(4 * k, value, true));
  const bytes = new Uint8Array(out);
  bytes.fill(0x20, 20, 20 + padded);
  bytes.set(text, 20);
  head.setUint32(20 + padded, binary.byteLength, true);
  head.setUint32(24 + padded, 0x004e4942, true);
  bytes.set(new Uint8Array(binary), 28 + padded);
  return out;
}

const binary = new ArrayBuffer(40);
new Float32Array(binary, 0, 6).set([1, 2, 3, 4, 5, 6]);
new Uint16Array(binary, 24, 3).set([7, 8, 9]);
new Uint8Array(binary, 32, 8).set([1, 2, 3, 0, 4, 5, 6, 0]);
const json = {
  bufferViews: [{ byteOffset: 0, byteLength: 24 }, { byteOffset: 24, byteLength: 6 }, { byteOffset: 32, byteLength: 8, byteStride: 4 }],
  accessors: [
    { bufferView: 0, componentType: 5126, count: 2, type: "VEC3" }, { bufferView: 1, componentType: 5123, count: 3, type: "SCALAR" },
    { bufferView: 2, componentType: 5121, count: 2, type: "VEC3" },
  ],
  images: [{ bufferView: 1, mimeType: "image/png" }],
};

test("values come back, packed and in padded rows", () => {
  const found = readGlb(file(json, binary));
  assert.deepEqual([...found.values(0)], [1, 2, 3, 4, 5, 6]);
  assert.deepEqual([...found.values(1)], [7, 8, 9]);
  assert.deepEqual([...found.values(2)], [1, 2, 3, 4, 5, 6]);
  assert.equal(found.image(0).type, "image/png");
  assert.equal(found.image(0).size, 6);
});

test("what is no binary glTF 2.0 is refused", () => {
  assert.throws(() => readGlb(file(json, binary, { magic: 1 })), /not a binary glTF/);
  assert.throws(() => readGlb(file(json, binary, { version: 1 })), /not a binary glTF/);
});
