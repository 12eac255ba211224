/**
 * A reader of our own binary glTF (Khronos, glTF 2.0, section 4.4): one buffer, views and accessors without sparse parts or
 * extensions. What a page holds was written by the same program, so anything else is an error.
 */

/** @typedef {Float32Array|Uint32Array|Uint16Array|Int16Array|Uint8Array|Int8Array} Values */

const KINDS = /** @type {const} */ ({ 5120: Int8Array, 5121: Uint8Array, 5122: Int16Array, 5123: Uint16Array, 5125: Uint32Array, 5126: Float32Array });
const WIDTH = /** @type {Record<string, number>} */ ({ SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT4: 16 });
const MAGIC = 0x46546c67, JSON_CHUNK = 0x4e4f534a, BINARY_CHUNK = 0x004e4942;

/**
 * @param {ArrayBuffer} file
 * @returns {{json: any, values: (accessor: number) => Values, image: (index: number) => Blob}}
 */
export function readGlb(file) {
  const head = new DataView(file);
  if (head.getUint32(0, true) !== MAGIC || head.getUint32(4, true) !== 2) throw new Error("not a binary glTF 2.0");
  let json = null, binary = 0;
  for (let at = 12; at + 8 <= file.byteLength;) {
    const length = head.getUint32(at, true), kind = head.getUint32(at + 4, true);
    if (kind === JSON_CHUNK) json = JSON.parse(new TextDecoder().decode(new Uint8Array(file, at + 8, length)));
    if (kind === BINARY_CHUNK) binary = at + 8;
    at += 8 + length;
  }
  if (!json) throw new Error("a binary glTF without its JSON");

  /** @param {number} index */
  const values = (index) => {
    const accessor = json.accessors[index], view = json.bufferViews[accessor.bufferView];
    const Kind = KINDS[/** @type {keyof typeof KINDS} */ (accessor.componentType)];
    const wide = WIDTH[accessor.type], count = accessor.count * wide;
    const from = binary + (view.byteOffset ?? 0) + (accessor.byteOffset ?? 0), stride = view.byteStride ?? 0;
    if (stride && stride !== wide * Kind.BYTES_PER_ELEMENT) { // padded rows: copied without the padding
      const packed = new Kind(count);
      for (let row = 0; row < accessor.count; row++) {
        packed.set(new Kind(file.slice(from + row * stride, from + row * stride + wide * Kind.BYTES_PER_ELEMENT)), row * wide);
      }
      return packed;
    }
    return new Kind(file.slice(from, from + count * Kind.BYTES_PER_ELEMENT));
  };
  /** @param {number} index */
  const image = (index) => {
    const { bufferView, mimeType } = json.images[index], view = json.bufferViews[bufferView];
    return new Blob([new Uint8Array(file, binary + (view.byteOffset ?? 0), view.byteLength)], { type: mimeType });
  };
  return { json, values, image };
}
