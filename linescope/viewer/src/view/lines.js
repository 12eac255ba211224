/** Thick lines of a fixed width in pixels, whose points change every frame. */
import { LineSegments2 } from "three/examples/jsm/lines/LineSegments2.js";
import { LineSegmentsGeometry } from "three/examples/jsm/lines/LineSegmentsGeometry.js";
import { LineMaterial } from "three/examples/jsm/lines/LineMaterial.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {[number, number, number]} Rgb */

/**
 * @typedef {object} Look
 * @property {string} [colour]
 * @property {number} width  pixels
 * @property {number} order  later ones are drawn over earlier ones
 * @property {number} [opacity]
 * @property {boolean} [coloured]  every run has a colour of its own
 * @property {boolean} [covers]  hides what is drawn later behind it
 * @property {boolean} [through]  seen through everything
 * @property {number} [nearer]  offset in depth, so that a core is not eaten by its casing
 */

export class Lines {
  /** @param {import("three").Scene} scene @param {number} most  pieces @param {Look} look */
  constructor(scene, most, look) {
    this.most = most;
    this.coloured = look.coloured ?? false;
    this.geometry = new LineSegmentsGeometry();
    this.geometry.setPositions(new Float32Array(most * 6));
    if (this.coloured) this.geometry.setColors(new Float32Array(most * 6));
    this.material = new LineMaterial({
      color: this.coloured ? 0xffffff : look.colour, vertexColors: this.coloured, linewidth: look.width, transparent: true,
      opacity: look.opacity ?? 1, depthWrite: look.covers ?? false, depthTest: !look.through,
      polygonOffset: true, polygonOffsetFactor: 0, polygonOffsetUnits: -(look.nearer ?? 0),
    });
    this.object = new LineSegments2(this.geometry, this.material);
    this.object.frustumCulled = false; // its box is never computed
    this.object.renderOrder = look.order;
    scene.add(this.object);
    this.set([]);
  }

  /** @param {Point[][]} runs @param {Rgb[]} [colours]  of each run */
  set(runs, colours) {
    const place = /** @type {any} */ (this.geometry.attributes.instanceStart).data;
    const shade = this.coloured ? /** @type {any} */ (this.geometry.attributes.instanceColorStart).data : null;
    let n = 0;
    runs.forEach((run, which) => {
      for (let k = 0; k + 1 < run.length && n < this.most; k++, n++) {
        place.array.set(run[k], 6 * n);
        place.array.set(run[k + 1], 6 * n + 3);
        if (shade && colours) {
          shade.array.set(colours[which], 6 * n);
          shade.array.set(colours[which], 6 * n + 3);
        }
      }
    });
    this.geometry.instanceCount = n;
    place.needsUpdate = true;
    if (shade) shade.needsUpdate = true;
    this.object.visible = n > 0;
  }

  set width(/** @type {number} */ pixels) { this.material.linewidth = pixels; }
  get width() { return this.material.linewidth; }
}
