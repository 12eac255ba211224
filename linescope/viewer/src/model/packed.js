/**
 * Unpacks the long arrays of the scene: whole numbers of a step, differences along the frames ("p") and along
 * the items of a frame ("n"), component after component.
 */

/** @typedef {import("./types.js").Frames} Frames */

/**
 * @param {(accessor: number) => ArrayLike<number>} values
 * @param {any} packed
 * @returns {Frames|null}
 */
export function unpack(values, packed) {
  if (!packed) return null;
  const raw = packed.bytes ? unfolded(values(packed.a)) : values(packed.a), [count, items = 1, parts = 1] = packed.shape;
  const found = new Float32Array(count * items * parts), step = packed.q ?? 1, axes = packed.d ?? "";
  const alongFrames = axes.includes("p"), alongItems = axes.includes("n");
  const sums = new Float64Array(items); // of the frame before
  for (let c = 0; c < parts; c++) {
    sums.fill(0);
    for (let f = 0; f < count; f++) {
      let before = 0;
      for (let i = 0; i < items; i++) {
        const whole = raw[(c * count + f) * items + i], along = alongItems ? before += whole : whole;
        const value = alongFrames ? sums[i] += along : along;
        found[(f * items + i) * parts + c] = packed.nan !== undefined && whole === packed.nan ? NaN : value * step;
      }
    }
  }
  return { values: found, count, items, parts };
}

/**
 * Whole numbers of two bytes, of which all lower bytes stand before all upper ones: 0, 1, 2, 3 ... are 0, -1, 1, -2 ...
 * @param {ArrayLike<number>} bytes
 */
function unfolded(bytes) {
  const count = bytes.length / 2, found = new Int16Array(count);
  for (let k = 0; k < count; k++) {
    const folded = bytes[k] | bytes[count + k] << 8;
    found[k] = folded >> 1 ^ -(folded & 1);
  }
  return found;
}

/**
 * @param {(accessor: number) => ArrayLike<number>} values
 * @param {any} told
 * @returns {import("./types.js").Told|null}
 */
export function unpackTold(values, told) {
  const index = told && unpack(values, told.t);
  return index ? { index, of: told.of } : null;
}

/**
 * The text of one item of a frame.
 * @param {import("./types.js").Told|null} told
 * @param {number} frame
 * @param {number} [item]
 */
export function textOf(told, frame, item = 0) {
  if (!told) return "";
  const { values, count, items } = told.index;
  return told.of[values[Math.min(frame, count - 1) * items + item]] ?? "";
}

/**
 * A frame between two, as points.
 * @param {Frames|null} frames
 * @param {number} frame
 * @param {number} share  towards the next
 * @returns {import("./types.js").Point[]}
 */
export function pointsAt(frames, frame, share) {
  if (!frames) return [];
  const { values, count, items } = frames, size = 3 * items;
  const a = Math.min(frame, count - 1) * size, b = Math.min(frame + 1, count - 1) * size;
  return Array.from({ length: items }, (_, k) => {
    const i = a + 3 * k, j = b + 3 * k;
    return [
      values[i] + (values[j] - values[i]) * share,
      values[i + 1] + (values[j + 1] - values[i + 1]) * share,
      values[i + 2] + (values[j + 2] - values[i + 2]) * share,
    ];
  });
}

/**
 * A frame between two, as numbers.
 * @param {Frames|null} frames
 * @param {number} frame
 * @param {number} share
 * @returns {number[]|null}
 */
export function numbersAt(frames, frame, share) {
  if (!frames) return null;
  const { values, count, items } = frames;
  const a = Math.min(frame, count - 1) * items, b = Math.min(frame + 1, count - 1) * items;
  return Array.from({ length: items }, (_, k) => values[a + k] + (values[b + k] - values[a + k]) * share);
}
