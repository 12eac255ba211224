/** The plain mode: the same picture in strokes on the 2-D canvas, for machines that cannot draw the other one quickly. */

import { thickness, lifted } from "./ribbons.js";

/** @typedef {import("../model/types.js").Point} Point */

const FADE = 0.35; // how deep the face under the ground reaches, over the height of the page

/**
 * @param {import("../ink/pen.js").Pen} pen
 * @param {import("../model/types.js").Model} model
 * @param {import("../model/types.js").Shape} shape
 * @param {import("./layered.js").Drawn} layer
 * @param {[Point[], import("./lines.js").Rgb][]} extras
 * @param {(p: Point) => [number, number, number]} P
 * @param {number} scale  pixels to a metre at the walker
 * @param {number} height
 */
export function drawPlain(pen, model, shape, layer, extras, P, scale, height) {
  const g = pen.context, { colours } = model;
  const path = (/** @type {Point[]} */ run) => run.map(P).filter((p) => p[2] < 1);
  const edge = path(model.profile.map(([x, z]) => /** @type {Point} */ ([x, 0, z])));
  if (edge.length > 1) {
    const top = Math.min(...edge.map((p) => p[1])), fill = g.createLinearGradient(0, top, 0, Math.max(...edge.map((p) => p[1])) + FADE * height);
    fill.addColorStop(0, colours.ground);
    fill.addColorStop(1, `${colours.ground}00`);
    g.beginPath();
    edge.forEach((p, k) => (k ? g.lineTo(p[0], p[1]) : g.moveTo(p[0], p[1])));
    g.lineTo(edge[edge.length - 1][0], 2 * height);
    g.lineTo(edge[0][0], 2 * height);
    g.closePath();
    g.fillStyle = fill;
    g.fill();
    pen.stroke(edge, colours.ground_edge, 2);
  }
  for (const [run, colour] of layer.fence) pen.stroke(path(run), css(colour), 0.8);
  for (const [run, colour] of extras) pen.stroke(path(run), css(colour), 2);
  if (layer.faces && shape.main.length === 1) {
    for (const [line, run, way] of /** @type {["main"|"backup", Point[], number][]} */ ([["backup", shape.backup, -1], ["main", shape.main[0], 1]])) {
      const thick = thickness(line, scale);
      drawFaces(pen, lifted(run, way * thick / 2), layer.faces[line], P, thick * scale, colours.face_rim);
    }
  } else {
    const main = Math.min(8, Math.max(3.4, 4.2 * (scale / 15) ** 0.4)), backup = Math.min(5.5, Math.max(1.8, 2.5 * (scale / 15) ** 0.45));
    pen.stroke(path(shape.backup), colours.casing, backup + 2.6);
    pen.stroke(path(shape.backup), colours.backup, backup);
    for (const run of shape.main) {
      pen.stroke(path(run), colours.casing, main + 3);
      pen.stroke(path(run), colours.main, main);
    }
  }
  for (const [run, colour] of layer.bars) pen.stroke(path(run), css(colour), 4);
  for (const run of layer.hot) pen.stroke(path(run), colours.alarm, 6);
  if (shape.leash.length) pen.stroke(path(shape.leash), colours.leash, 2.4);
  drawFigure(pen, model, shape, P, scale);
}

/** A colour of the renderer's for the canvas: linear to sRGB. @param {number[]} c */
const css = (c) => `rgb(${c.map((v) => Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055))).join(",")})`;

/**
 * A line's two faces as strokes beside one another, seen from the side.
 * @param {import("../ink/pen.js").Pen} pen
 * @param {Point[]} run
 * @param {import("./layered.js").Faces} faces
 * @param {(p: Point) => [number, number, number]} P
 * @param {number} thick  pixels, both
 * @param {string} rim
 */
export function drawFaces(pen, run, faces, P, thick, rim) {
  const seen = run.map(P), half = thick / 2;
  pen.stroke(seen.filter((p) => p[2] < 1), rim, thick + 2);
  for (const [colours, way] of /** @type {[import("./lines.js").Rgb[], number][]} */ ([[faces.top, -1], [faces.under, 1]])) {
    for (let k = 0, from = 0; k + 1 < seen.length; k++) {
      if (k + 2 < seen.length && colours[k + 1] === colours[from] && seen[k + 1][2] < 1) continue;
      const part = seen.slice(from, k + 2).filter((p) => p[2] < 1);
      pen.stroke(part.map((p) => [p[0], p[1] + way * half / 2]), css(colours[from]), half);
      from = k + 1;
    }
  }
}

/** Somebody as head, trunk and limbs. @param {import("../ink/pen.js").Pen} pen @param {import("../model/types.js").Model} model @param {import("../model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {number} scale */
export function drawFigure(pen, model, shape, P, scale) {
  const tall = model.data.walker?.height ?? 1.8, hangs = shape.fallen > 0.15 && shape.tie;
  const base = hangs && shape.tie ? /** @type {Point} */ ([shape.tie[0], shape.tie[1], shape.tie[2] - (model.data.walker?.hang ?? 1)]) : shape.feet;
  if (!base) return;
  const big = Math.max(1, 36 / (tall * scale));
  const spot = (/** @type {number} */ across, /** @type {number} */ up) => P([base[0] + across * big, base[1], base[2] + up * tall * big]);
  const limbs = hangs
    ? [[[0, 0.45], [0.1, 0.8]], [[0, 0.45], [-0.3, 0.38]], [[-0.3, 0.38], [-0.25, 0]], [[0.1, 0.75], [-0.1, 1.02]]]
    : [[[0, 0.5], [0, 0.8]], [[0, 0.5], [0.18, 0]], [[0, 0.5], [-0.18, 0]], [[0, 0.78], [0.35, 1]], [[0, 0.78], [-0.35, 1]]];
  const wide = Math.max(3, 0.11 * scale * big);
  for (const [rim, colour] of /** @type {[number, string][]} */ ([[3, model.colours.casing], [0, model.colours.walker]])) {
    for (const limb of limbs) pen.stroke(limb.map(([x, z]) => spot(x, z)), colour, wide + rim);
    pen.disc(spot(hangs ? 0.14 : 0, 0.92), wide * 0.8 + rim / 2, colour, colour);
  }
}

