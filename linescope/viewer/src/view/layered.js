/** What a layer draws at the line: fences, bars and coloured pieces. Heights and classes come from the scene's figures. */
import * as THREE from "three";
import { pointAt, heightAt } from "../model/shapes.js";
import { curveValue } from "../foot/strip.js";
import { shadeOf } from "./scheme.js";

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
 * @property {{main: Faces, backup: Faces}|null} faces  of both lines, where they are painted
 */

/** Colours of a line's pieces, from point to point, above and below. @typedef {{top: Rgb[], under: Rgb[]}} Faces */

const METRES_PER_KN = 0.8, TIMES_DEEPER = 10, LYING = 0.02, ANCHOR_ZONE = 0.03;

/** Nothing at all. @returns {Drawn} */
export const bare = () => ({ fence: [], bars: [], hot: [], faces: null });

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
  const drawn = bare();
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
  return rgb(shadeOf(entry) ?? model.colours[entry?.role] ?? otherwise);
};

/** @param {Rgb[]} colours @returns {Faces} */
const bothSides = (colours) => ({ top: colours, under: colours });

/** One colour for all of a bay. @param {Point[]} run @param {number} bays @param {(bay: number) => Rgb} colour @returns {Faces} */
function byBay(run, bays, colour) {
  const of = Array.from({ length: bays }, (_, bay) => colour(bay)), per = (run.length - 1) / bays;
  return bothSides(Array.from({ length: run.length - 1 }, (_, k) => of[Math.min(Math.floor(k / per), bays - 1)]));
}

/** Of each piece the class of its worse end. @param {ArrayLike<number>} classes @param {any} layer @param {Model} model @returns {Rgb[]} */
function byClass(classes, layer, model) {
  return Array.from({ length: classes.length - 1 }, (_, k) => colourOf(layer, Math.max(classes[k], classes[k + 1]), model, model.colours.purple));
}

/** @type {Record<string, (model: Model, shape: Shape, main: Point[], drawn: Drawn, rub: Record<string, ArrayLike<number>>|null) => void>} */
const MAKERS = {
  left(model, shape, main, drawn) {
    const need = model.curve?.need?.value ?? 0, { colours } = model;
    for (let x = 1; x < model.span; x++) {
      const p = pointAt(main, x), low = heightAt(model.profile, x);
      if (!p || low === null || p[2] - low < 0.2) continue;
      const left = curveValue(model, "left", x);
      const colour = left <= 0 ? colours.alarm : left < need ? colours.ground_near : colours.left;
      drawn.fence.push([[[p[0], p[1], p[2] - 0.1], [p[0], p[1] * 0, low]], rgb(colour)]);
    }
    const bays = shape.bays, per = (shape.backup.length - 1) / bays;
    shape.above?.forEach((above, bay) => {
      if (above < LYING) drawn.hot.push(...touching(model, shape.backup.slice(bay * per, (bay + 1) * per + 1)));
    });
  },
  tension(model, shape, main, drawn) {
    const layer = model.data.layers.tension, bays = shape.bays, per = (main.length - 1) / bays;
    const of = (/** @type {number[]|null} */ pulls, /** @type {Point[]} */ run) => byBay(run, bays, (bay) => (
      pulls ? colourOf(layer, classOf(layer.scale ?? [], pulls[bay]), model, model.colours.main) : rgb(model.colours.rule)));
    drawn.faces = { main: of(shape.pulls.main, main), backup: of(shape.pulls.backup, shape.backup) };
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
    drawn.faces = {
      main: byBay(main, bays, () => rgb(model.colours.main)),
      backup: byBay(shape.backup, bays, (bay) => {
        const deep = shape.depths?.[bay] ?? NaN;
        return Number.isNaN(deep) ? rgb(model.colours.backup) : colourOf(layer, classOf(layer.scale ?? [], deep), model, model.colours.backup);
      }),
    };
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
    const layer = model.data.layers.touch, { classes } = layer;
    if (classes.main?.length !== main.length || classes.backup?.length !== shape.backup.length) return;
    const of = (/** @type {ArrayLike<number>} */ each) => bothSides(byClass(each, layer, model));
    drawn.faces = { main: of(classes.main), backup: of(classes.backup) };
  },
  rub(model, shape, main, drawn, rub) {
    const layer = model.data.layers.rub;
    if (rub?.main_top?.length !== main.length || rub?.backup_top?.length !== shape.backup.length) return;
    const of = (/** @type {"main"|"backup"} */ line) => ({ top: byClass(rub[`${line}_top`], layer, model), under: byClass(rub[`${line}_under`], layer, model) });
    drawn.faces = { main: of("main"), backup: of("backup") };
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
