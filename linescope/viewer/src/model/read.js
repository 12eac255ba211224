/** Reads the scene that a page holds: its JSON, and the arrays in the binary glTF beside it. */
import { readGlb } from "./glb.js";
import { unpack, unpackTold } from "./packed.js";
import { coloursOf } from "../view/scheme.js";

/** @typedef {import("./types.js").Model} Model */
/** @typedef {import("./types.js").State} State */

const FRAMES = ["main", "backup", "feet", "ring", "tie", "leash", "fallen", "depth", "above"];

/**
 * @param {any} data
 * @param {ArrayBuffer} file
 * @param {Record<string, string>} words
 * @returns {Model}
 */
export function readModel(data, file, words) {
  const gltf = readGlb(file), values = gltf.values;
  const last = data.anchors[1].p, runs = data.ground?.profile ?? [];
  const curve = data.curve && {
    ...data.curve,
    series: data.curve.series.map((/** @type {any} */ one) => ({ ...one, values: unpack(values, one.values)?.values, text: unpackTold(values, one.text) })),
  };
  return {
    data: { ...data, layers: readLayers(data.layers ?? {}, values) }, words, gltf, curve,
    colours: coloursOf(data.colours),
    states: data.states.map((/** @type {any} */ state) => ({ ...readState(state, values), tapes: data.tapes })),
    moved: null,
    span: last[0],
    drop: -last[2],
    profile: runs.length && Array.isArray(runs[0][0]) ? runs.flat() : runs,
  };
}

/**
 * @param {any} state
 * @param {(accessor: number) => ArrayLike<number>} values
 * @returns {State}
 */
export function readState(state, values) {
  const from = state.shape, shape = /** @type {any} */ ({ ...from });
  for (const name of FRAMES) shape[name] = unpack(values, from[name]);
  const told = (/** @type {any} */ group) => Object.fromEntries(Object.entries(group ?? {}).map(([key, one]) => [key, unpackTold(values, one)]));
  const texts = Object.entries(from.pull ?? {}).filter(([key]) => key.endsWith("Text"));
  shape.pull = told(Object.fromEntries(texts.map(([key, one]) => [key.replace("Text", ""), one])));
  shape.depthText = unpackTold(values, from.depthText);
  shape.tensionText = told(from.tensionText);
  shape.tension = { main: unpack(values, from.tension?.main), backup: unpack(values, from.tension?.backup) };
  const bound = state.bound && { ...state.bound, main: unpack(values, state.bound.main), backup: unpack(values, state.bound.backup) };
  const rub = state.rub && Object.fromEntries(Object.entries(state.rub).map(([face, one]) => [face, unpack(values, one)?.values]));
  const trace = state.trace && {
    ...state.trace,
    x: unpack(values, state.trace.x)?.values,
    series: state.trace.series.map((/** @type {any} */ one) => ({ ...one, values: unpack(values, one.values)?.values })),
  };
  return { ...state, x: state.x ?? [0], shape, bound, trace, rub };
}

/** @param {Record<string, any>} layers @param {(accessor: number) => ArrayLike<number>} values */
export function readLayers(layers, values) {
  const { touch } = layers;
  if (!touch) return layers;
  const classes = { main: unpack(values, touch.main)?.values, backup: unpack(values, touch.backup)?.values };
  return { ...layers, touch: { ...touch, classes } };
}
