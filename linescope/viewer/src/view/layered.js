/** What a layer draws at the line: fences, bars and coloured pieces. Heights and classes come from the scene's figures. */
import * as THREE from "three";
import { pointAt, heightAt } from "../model/shapes.js";
import { curveValue } from "../foot/strip.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("../model/types.js").Shape} Shape */
/** @typedef {import("../model/types.js").Model} Model */
/** @typedef {import("./lines.js").Rgb} Rgb */

/**
 * Runs with a colour each.
 * @typedef {object} Drawn
 * @property {[Point[], Rgb][]} fence  hairlines
 * @property {[Point[], Rgb][]} bars  broad strokes
 * @property {Point[][]} hot  red along the line
 */

const METRES_PER_KN = 0.8, TIMES_DEEPER = 10, LYING = 0.02, ANCHOR_ZONE = 0.03;

/** @type {Map<string, Rgb>} */
const shades = new Map();

/** @param {string} colour @returns {Rgb} */
export function rgb(colour) {
  let found = shades.get(colour);
  if (!found) {
    const c = new THREE.Color(colour);
    shades.set(colour, found = [c.r, c.g, c.b]);
  }
  return found;
}

/**
 * @param {Model} model
 * @param {string} layer
 * @param {Shape} shape
 * @param {Record<string, ArrayLike<number>>|null} rub  classes of the state's points
 * @returns {Drawn}
 */
export function layered(model, layer, shape, rub) {
  const drawn = /** @type {Drawn} */ ({ fence: [], bars: [], hot: [] });
  if (shape.main.length !== 1) return drawn;
  const make = MAKERS[layer];
  if (make && model.data.layers[layer]) make(model, shape, shape.main[0], drawn, rub);
  return drawn;
}

/** @param {number[]} scale @param {number} value */
const classOf = (scale, value) => scale.filter((limit) => limit <= value).length;

/** @param {any} layer @param {number} which @param {Model} model @param {string} otherwise */
const colourOf = (layer, which, model, otherwise) => {
  const legend = layer.legend ?? [], entry = legend.find((/** @type {any} */ one) => one.class === which) ?? legend[which];
  return rgb(entry?.colour ?? model.colours[entry?.role] ?? otherwise);
};

/** @type {Record<string, (model: Model, shape: Shape, main: Point[], drawn: Drawn, rub: Record<string, ArrayLike<number>>|null) => void>} */
const MAKERS = {
  left(model, shape, main, drawn) {
    const need = model.curve?.need?.value ?? 0, { colours } = model;
    for (let x = 1; x < model.span; x++) {
      const p = pointAt(main, x), low = heightAt(model.profile, x);
      if (!p || low === null || p[2] - low < 0.2) continue;
      const left = curveValue(model, "left", x);
      const colour = left <= 0 ? colours.alarm : left < need ? colours.ground_near : "#8b9297";
      drawn.fence.push([[[p[0], p[1], p[2] - 0.1], [p[0], p[1] * 0, low]], rgb(colour)]);
    }
    const bays = shape.bays, per = (shape.backup.length - 1) / bays;
    shape.above?.forEach((above, bay) => {
      if (above < LYING) drawn.hot.push(...touching(model, shape.backup.slice(bay * per, (bay + 1) * per + 1)));
    });
  },
  tension(model, shape, main, drawn) {
    const layer = model.data.layers.tension, bays = shape.bays, per = (main.length - 1) / bays;
    shape.pulls.main?.forEach((pull, bay) => {
      const colour = colourOf(layer, classOf(layer.scale ?? [], pull), model, model.colours.main);
      const a = main[bay * per], b = main[(bay + 1) * per], count = Math.max(2, Math.round((b[0] - a[0]) / 0.75));
      for (let k = 0; k < count; k++) {
        const p = pointAt(main, a[0] + (b[0] - a[0]) * (k + 0.5) / count);
        if (p) drawn.bars.push([[[p[0], p[1], p[2] + 0.2], [p[0], p[1], p[2] + 0.2 + pull / 1000 * METRES_PER_KN]], colour]);
      }
    });
  },
  depth(model, shape, main, drawn) {
    const layer = model.data.layers.depth, bays = shape.bays, per = (main.length - 1) / bays;
    shape.depths?.forEach((deep, bay) => {
      if (Number.isNaN(deep)) return;
      const colour = colourOf(layer, classOf(layer.scale ?? [], deep), model, model.colours.backup);
      const a = main[bay * per], b = main[(bay + 1) * per];
      for (let k = 1; k < 5; k++) {
        const p = pointAt(main, a[0] + (b[0] - a[0]) * k / 5);
        if (p) drawn.bars.push([[[p[0], p[1], p[2] - 0.4], [p[0], p[1], p[2] - 0.4 - TIMES_DEEPER * deep]], colour]);
      }
    });
  },
  touch(model, shape, main, drawn) {
    const layer = model.data.layers.touch;
    for (const [line, classes] of /** @type {[Point[], ArrayLike<number>|null][]} */ ([[main, layer.classes.main], [shape.backup, layer.classes.backup]])) {
      if (!classes || classes.length !== line.length) continue;
      for (let k = 0; k + 1 < line.length; k++) {
        const which = Math.max(classes[k], classes[k + 1]);
        if (which) drawn.bars.push([[line[k], line[k + 1]], colourOf(layer, which, model, model.colours.purple)]);
      }
    }
  },
  rub(model, shape, main, drawn, rub) {
    const layer = model.data.layers.rub;
    for (const [face, classes] of Object.entries(rub ?? {})) {
      const line = face.startsWith("main") ? main : shape.backup, up = face.endsWith("top") ? 0.06 : -0.06;
      if (!classes || classes.length !== line.length) continue;
      for (let k = 0; k + 1 < line.length; k++) {
        const which = Math.max(classes[k], classes[k + 1]);
        if (which) drawn.bars.push([[line[k], line[k + 1]].map((p) => /** @type {Point} */ ([p[0], p[1], p[2] + up])), colourOf(layer, which, model, model.colours.purple)]);
      }
    }
  },
};

/**
 * Pieces of a backup in motion that lie in the ground: the computation knows no ground, and this says where that matters.
 * @param {Model} model
 * @param {Shape} shape
 * @returns {Point[][]}
 */
export function sunk(model, shape) {
  const zone = ANCHOR_ZONE * model.span;
  return touching(model, shape.backup.filter((p) => p[0] > zone && p[0] < model.span - zone));
}

/** The pieces of a loop that are on or under the known ground. @param {Model} model @param {Point[]} loop */
function touching(model, loop) {
  const found = [];
  for (let k = 0; k + 1 < loop.length; k++) {
    const low = heightAt(model.profile, loop[k][0]);
    if (low !== null && loop[k][2] - low < LYING) found.push([loop[k], loop[k + 1]]);
  }
  return found;
}
