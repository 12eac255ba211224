/**
 * The lens: 5 m of the line at true proportions, since loops of 40 cm on a line of 100 m are a few pixels high in the picture.
 * The ground and the person are drawn by the renderer into a corner and copied; the lines are strokes, since true webbing seen
 * from the side is thinner than a pixel.
 */
import * as THREE from "three";
import { clamp } from "../model/numbers.js";
import { loopNear, pointAt } from "../model/shapes.js";
import { tapeSign } from "./pen.js";
import { drawFaces, drawFigure } from "../view/plain.js";

/** @typedef {import("../model/types.js").Point} Point */

const HALF = 2.5; // metres

export class Lens {
  /** @param {HTMLElement|null} box  null where it is copied elsewhere @param {import("../model/types.js").Model} model @param {import("./pen.js").Pen} pen  its own */
  constructor(box, model, pen) {
    this.box = box;
    this.canvas = pen.context.canvas;
    this.pen = pen;
    this.model = model;
    this.camera = new THREE.OrthographicCamera(-HALF, HALF, HALF, -HALF, 0.1, 80);
    this.camera.up.set(0, 0, 1);
    /** @type {Point|null} what it looks at */
    this.at = null;
  }

  /** @param {import("../model/types.js").Shape} shape @param {number} x @param {boolean} small @returns {Point|null} */
  aim(shape, x, small) {
    const run = shape.main.find((each) => each[0][0] <= x && x <= each[each.length - 1][0]) ?? shape.main[0] ?? shape.backup;
    const at = pointAt(run, x) ?? pointAt(shape.backup, x) ?? shape.ring ?? run[0];
    const up = shape.fallen > 0.3 ? -1.2 : small ? -0.05 : 0.25;
    this.camera.position.set(at[0] + 1.5, at[1] - 20, at[2] + up + 3.2);
    this.camera.lookAt(at[0], at[1], at[2] + up);
    this.camera.updateProjectionMatrix();
    this.camera.updateMatrixWorld();
    this.at = at;
    return at;
  }

  /**
   * @param {import("../model/types.js").Shape} shape
   * @param {number} size  pixels across
   * @param {number} ratio
   * @param {HTMLCanvasElement|null} picture  what the renderer drew into the lower left corner
   * @param {(bay: number) => string} depthText
   * @param {any[]} [tapes]  of the state
   * @param {import("../view/layered.js").Drawn["faces"]} [faces]  of both lines, where they are painted
   */
  draw(shape, size, ratio, picture, depthText, tapes = this.model.data.tapes, faces = null) {
    const { pen, camera, model } = this, g = pen.context, at = /** @type {Point} */ (this.at);
    pen.clear(size, size, ratio);
    g.fillStyle = model.colours.round;
    g.fillRect(0, 0, size, size);
    const seen = new THREE.Vector3();
    const P = (/** @type {Point} */ p) => {
      seen.set(...p).project(camera);
      return /** @type {[number, number, number]} */ ([(seen.x + 1) / 2 * size, (1 - seen.y) / 2 * size, seen.z]);
    };
    if (!picture) drawFigure(pen, model, shape, P, size / (2 * HALF));
    else g.drawImage(picture, 0, picture.height - size * ratio, size * ratio, size * ratio, 0, 0, size, size);
    const near = (/** @type {Point} */ p) => Math.hypot(p[0] - at[0], p[2] - at[2]) <= HALF + 4;
    const close = (/** @type {Point[]} */ run) => {
      const parts = /** @type {Point[][]} */ ([[]]);
      for (const p of run) {
        if (!near(p)) {
          if (parts[parts.length - 1].length) parts.push([]);
        } else parts[parts.length - 1].push(p);
      }
      return parts.filter((part) => part.length > 1).map((part) => part.map(P));
    };
    const big = size > 150 ? 1 : 0.72;
    if (faces && shape.main.length === 1) {
      for (const [run, of, thick] of /** @type {[Point[], import("../view/layered.js").Faces, number][]} */ ([[shape.backup, faces.backup, 7 * big], [shape.main[0], faces.main, 9 * big]])) {
        const first = run.findIndex(near), last = run.findLastIndex(near) + 1;
        const part = { top: of.top.slice(first, last - 1), under: of.under.slice(first, last - 1) };
        if (last - first > 1) drawFaces(pen, run.slice(first, last), part, P, thick, model.colours.face_rim);
      }
    }
    for (const [runs, colour, width] of /** @type {[Point[][], string, number][]} */ (faces ? [] : [[[shape.backup], model.colours.backup, 3.4], [shape.main, model.colours.main, 5.2]])) {
      for (const run of runs.flatMap(close)) {
        pen.stroke(run, model.colours.casing, (width + 3.2) * big);
        pen.stroke(run, colour, width * big);
      }
    }
    if (shape.leash.length) for (const run of close(shape.leash)) pen.stroke(run, model.colours.leash, 2.2 * big);
    const ring = shape.ring && P(shape.ring);
    if (ring) pen.disc(ring, 4 * big, model.colours.leash);
    shape.tapes.forEach((p, k) => {
      if (!p || Math.abs(p[0] - at[0]) > HALF) return;
      const look = tapes[k], q = P(p);
      tapeSign(g, look?.symbol, q, 7.5 * big, model.colours[look?.colour] ?? model.colours.ink, model.colours.outline, model.colours.rim);
      if (!shape.feet || Math.abs(p[0] - shape.feet[0]) > 0.7) {
        pen.say(`${look?.number ?? k + 1}`, q[0], q[1] - 17 * big, size > 180 ? 14 : 12, { weight: 700, align: "center", colour: model.colours.quiet });
      }
    });
    const loop = loopNear(shape, shape.bays, at[0] + 0.3);
    if (loop) {
      const a = P(loop.above), b = P(loop.low);
      pen.bracket(a, b, model.colours.ink, 1.4);
      const text = depthText(loop.bay), large = size > 180 ? 19 : 14, half = pen.width(text, large, 700) / 2;
      pen.say(text, clamp(b[0], size * 0.16 + half, size * 0.84 - half), b[1] + large * 0.85, large, { weight: 700, align: "center" });
    }
    this.bar(size);
  }

  /** A round length at true scale. @param {number} size */
  bar(size) {
    const { pen, model } = this, per = size / (2 * HALF);
    const fitting = model.data.scales.filter((/** @type {[number, string]} */ one) => one[0] * per < size * 0.3);
    const [metres, text] = fitting[fitting.length - 1] ?? model.data.scales[0], half = metres * per / 2;
    pen.stroke([[size / 2 - half, size - 20], [size / 2 + half, size - 20]], model.colours.ink, 2);
    pen.say(text, size / 2, size - 31, 13, { weight: 700, align: "center", colour: model.colours.quiet });
  }
}

/**
 * Two thin lines from the lens to a ring round what it shows.
 * @param {import("./pen.js").Pen} pen
 * @param {[number, number]} middle
 * @param {number} radius
 * @param {ArrayLike<number>} spot
 * @param {number} ring
 */
export function tie(pen, middle, radius, spot, ring) {
  const far = Math.hypot(spot[0] - middle[0], spot[1] - middle[1]);
  if (far < radius) return;
  const [ux, uy] = [(spot[0] - middle[0]) / far, (spot[1] - middle[1]) / far];
  for (const side of [-1, 1]) {
    const from = [middle[0] - uy * side * radius * 0.5 + ux * radius * 0.86, middle[1] + ux * side * radius * 0.5 + uy * radius * 0.86];
    pen.stroke([from, [spot[0] - uy * side * ring, spot[1] + ux * side * ring]], pen.colours.ink, 1);
  }
  pen.ring(spot, ring, pen.colours.ink, 1.6);
}
