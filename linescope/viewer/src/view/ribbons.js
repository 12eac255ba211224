/**
 * The two lines as ribbons with painted faces: flat, so that the upper face and the upper half of both edges show what is true of
 * the top, and the lower ones what is true of the underside. They are wider and thicker than true, or nobody would see a face;
 * the main is lifted and the backup lowered by half of that, so that four faces can be told apart where the lines lie together.
 */
import * as THREE from "three";
import { thinned } from "./lines.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("./lines.js").Rgb} Rgb */

/**
 * A line whose faces are painted.
 * @typedef {object} Painted
 * @property {Point[]} run
 * @property {Rgb[]} top  of each piece between two points
 * @property {Rgb[]} under
 * @property {number} thick  metres
 */

const ENDS = 8; // corners at each end of a piece: top left and right, middle twice for either colour, bottom left and right
const QUADS = [[0, 1], [0, 2], [1, 3], [4, 6], [5, 7], [6, 7]];
const THICK = /** @type {const} */ ({ main: 10, backup: 8 }), FLAT = 1.5; // pixels, and width over thickness
const TRUE = 0.0025; // metres: no ribbon is drawn thinner

export class Ribbons {
  /** @param {THREE.Scene} scene @param {number} most  pieces @param {number} order */
  constructor(scene, most, order) {
    this.most = most;
    this.geometry = new THREE.BufferGeometry();
    this.places = new THREE.BufferAttribute(new Float32Array(most * 2 * ENDS * 3), 3);
    this.colours = new THREE.BufferAttribute(new Float32Array(most * 2 * ENDS * 3), 3);
    const index = new Uint32Array(most * QUADS.length * 6);
    for (let piece = 0, n = 0; piece < most; piece++) {
      for (const [i, j] of QUADS) {
        const [a, b, c, d] = [i, j, i + ENDS, j + ENDS].map((each) => piece * 2 * ENDS + each);
        for (const each of [a, b, c, b, d, c]) index[n++] = each;
      }
    }
    this.geometry.setAttribute("position", this.places);
    this.geometry.setAttribute("color", this.colours);
    this.geometry.setIndex(new THREE.BufferAttribute(index, 1));
    this.object = new THREE.Mesh(this.geometry, new THREE.MeshBasicMaterial({
      vertexColors: true, side: THREE.DoubleSide, polygonOffset: true, polygonOffsetFactor: 0, polygonOffsetUnits: -120, transparent: true,
    }));
    this.object.frustumCulled = false; // its box is never computed
    this.object.renderOrder = order;
    scene.add(this.object);
    this.set([]);
  }

  /** @param {Painted[]} lines */
  set(lines) {
    const place = /** @type {Float32Array} */ (this.places.array), colour = /** @type {Float32Array} */ (this.colours.array);
    let n = 0;
    for (const { run, top, under, thick } of lines) {
      for (let k = 0; k + 1 < run.length && n < this.most; k++, n++) {
        const corners = section(run[k], run[k + 1], FLAT * thick / 2, thick / 2);
        for (let end = 0; end < 2; end++) {
          const [x, y, z] = run[k + end];
          for (let c = 0; c < ENDS; c++) {
            const at = ((n * 2 + end) * ENDS + c) * 3, shade = c < 4 ? top[k] : under[k];
            place[at] = x + corners[3 * c];
            place[at + 1] = y + corners[3 * c + 1];
            place[at + 2] = z + corners[3 * c + 2];
            colour.set(shade, at);
          }
        }
      }
    }
    this.geometry.setDrawRange(0, n * QUADS.length * 6);
    this.places.needsUpdate = this.colours.needsUpdate = true;
    this.object.visible = n > 0;
  }
}

/**
 * The same in fewer pieces, where colours and directions do not change. @param {Painted} line @param {(p: Point) => [number, number, number]} P @returns {Painted}
 */
export function fewer(line, P) {
  const { run, top, under, thick } = line, stay = [0];
  for (let from = 0, k = 1; k < run.length; k++) {
    if (k + 1 < run.length && top[k] === top[from] && under[k] === under[from]) continue;
    for (const each of thinned(run.slice(from, k + 1), P).slice(1)) stay.push(from + each);
    from = k;
  }
  return { run: stay.map((k) => run[k]), top: stay.map((k) => top[k]), under: stay.map((k) => under[k]), thick };
}

/** How thick a painted line is drawn: less on a telephone. @param {"main"|"backup"} line @param {number} scale  pixels to a metre @returns {number} metres */
export const thickness = (line, scale) => Math.max(TRUE, THICK[line] * (innerWidth < 640 ? 0.6 : 1) / scale);

/** A run lifted or lowered. @param {Point[]} run @param {number} by @returns {Point[]} */
export const lifted = (run, by) => run.map(([x, y, z]) => [x, y, z + by]);

/**
 * Corners of a ribbon's section, as offsets from its middle: it lies flat across its way.
 * @param {Point} a
 * @param {Point} b
 * @param {number} half  of its width
 * @param {number} deep  half of its thickness
 * @returns {number[]} eight corners, in the order of `ENDS`
 */
export function section(a, b, half, deep) {
  const [dx, dy, dz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]], level = Math.hypot(dx, dy) || 1e-9, long = Math.hypot(level, dz);
  const across = [-dy / level * half, dx / level * half, 0];
  const up = [-dz * dx / (level * long) * deep, -dz * dy / (level * long) * deep, level / long * deep];
  return [[1, 1], [-1, 1], [1, 0], [-1, 0], [1, 0], [-1, 0], [1, -1], [-1, -1]].flatMap(([s, u]) => (
    [0, 1, 2].map((i) => s * across[i] + u * up[i])));
}
