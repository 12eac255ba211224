/**
 * The live picture is put together from what has come: the whole scene as it was computed last, the state that was just solved,
 * and films that were asked for. What is from before the last change stays, and is marked so.
 */
import { readGlb } from "./glb.js";
import { readLayers, readModel, readState } from "./read.js";
import { coloursOf } from "../view/scheme.js";

/** @typedef {import("./types.js").Model} Model */
/** @typedef {import("./types.js").State} State */

/**
 * One message, taken apart.
 * @typedef {object} Piece
 * @property {string} kind  "whole", "now" or "film"
 * @property {string} name  of the variant
 * @property {number} [of]  which scene, where one after the other was opened
 * @property {number} plan  which edit it follows
 * @property {number} [revision]
 * @property {string} [stage]  of a whole: "first", "exact" or "all"
 * @property {number|null} [at]  of a film: the walker's place [m]
 * @property {any} data
 * @property {ArrayBuffer} file
 * @property {Model} [model]  of a whole, once it was read
 * @property {State[]} [states]  of the others, once they were read
 */

/** What a first answer leaves out and an older whole may still tell. */
const LATER = /** @type {const} */ (["worst", "noFall", "runs"]);

/** @param {ArrayBuffer} message @returns {Piece} */
export function pieceOf(message) {
  const length = new DataView(message).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(message, 4, length)));
  return { ...head, file: message.slice(4 + length) };
}

/**
 * A whole that follows another one; what it does not tell yet is taken from before.
 * @param {Piece|null} before
 * @param {Piece} piece
 * @param {Record<string, string>} words
 * @returns {Model}
 */
export function wholeOf(before, piece, words) {
  const model = readModel(piece.data, piece.file, words), past = before?.model;
  if (piece.stage === "ground") {
    if (!past) return model;
    const { gltf, profile } = model, { frame, ground, name } = piece.data; // what was known of the old plan stays, over the new ground
    return { ...past, gltf, profile, data: { ...past.data, frame, ground, name } };
  }
  if (!past || piece.stage !== "first") return model;
  for (const name of LATER) model.data[name] = past.data[name].map((/** @type {any} */ one) => ({ ...one, old: true }));
  model.data.worstMore = past.data.worstMore;
  const known = new Set(model.states.map((state) => state.key));
  model.states.push(...past.states.filter((state) => !known.has(state.key)).map((state) => ({ ...state, old: true })));
  if (model.curve && past.curve) model.curve.series.push(...past.curve.series.filter((one) => one.key === "left").map((one) => ({ ...one, old: true })));
  for (const [key, layer] of Object.entries(past.data.layers)) if (!model.data.layers[key] && key === "rub" && layer) model.data.layers[key] = { ...layer, old: true };
  return model;
}

/**
 * The picture: states of the whole, over them what was just solved where the whole is of an older plan, and films.
 * @param {Piece|null} whole
 * @param {Piece|null} now
 * @param {Piece[]} films
 * @param {{plan: number, asked: boolean}} status  which plan is edited, and whether another state or air is asked for
 * @param {Record<string, string>} words
 * @param {any} fixed  colours and scales
 * @returns {Model|null}
 */
export function merged(whole, now, films, status, words, fixed) {
  const base = whole?.model ?? null, stale = !whole || whole.stage === "ground" || (now !== null && whole.plan !== now.plan);
  if (!base && !now) return null;
  const fresh = now && (stale || status.asked) ? statesOf(now) : [];
  if (!stale && status.asked) for (const state of fresh) Object.assign(state, { key: "asked", tab: words.asked });
  const taken = new Set(fresh.map((state) => state.key));
  const states = (base?.states ?? []).filter((state) => !taken.has(state.key)).map((state) => (stale ? { ...state, old: true } : state));
  const all = inOrder([...fresh, ...states]);
  for (const film of films.filter((each) => each.plan === (now?.plan ?? whole?.plan))) {
    const [state] = statesOf(film), k = all.findIndex((each) => each.key === state.key);
    if (k >= 0) all[k] = { ...state, at: film.at }; else all.push({ ...state, at: film.at });
  }
  const empty = { layers: {}, worst: [], worstMore: "", noFall: [], runs: [], ledges: [], holes: [], labels: [], notes: {}, verdict: null, curve: null, ground: null, name: "", first: "walker" };
  const data = /** @type {any} */ ({ ...empty, ...fixed, ...base?.data });
  if (stale && now) {
    const { layers, ...rest } = now.data;
    Object.assign(data, rest, { verdict: null, layers: { ...readLayers(layers, readGlb(now.file).values), ...data.layers, touch: undefined } });
    for (const name of LATER) data[name] = data[name].map((/** @type {any} */ one) => ({ ...one, old: true }));
    for (const key of ["left", "rub"]) if (data.layers[key]) data.layers[key] = { ...data.layers[key], old: true };
  }
  const last = data.anchors[1].p;
  return {
    data, words, states: inOrder(all), gltf: base?.gltf ?? readGlb(/** @type {Piece} */ (now).file), colours: coloursOf(data.colours),
    curve: base?.curve ? { ...base.curve, series: base.curve.series.map((one) => (stale ? { ...one, old: true } : one)) } : null,
    span: last[0], drop: -last[2], profile: base?.profile ?? [], moved: base ? shift(base.data.frame, data.frame) : null,
  };
}

const ORDER = ["empty", "walker", "asked", "settled", "crossing", "fall", "gone", "gust"];

/** @param {State[]} states */
const inOrder = (states) => [...states].sort((a, b) => ORDER.indexOf(a.key) - ORDER.indexOf(b.key));

/** @param {Piece} piece @returns {State[]} */
function statesOf(piece) {
  const { values } = readGlb(piece.file);
  piece.states ??= piece.data.states.map((/** @type {any} */ state) => ({ ...readState(state, values), tapes: piece.data.tapes }));
  return /** @type {State[]} */ (piece.states).map((state) => ({ ...state }));
}

/**
 * Where ground that was given in one frame of the line stands in another: turned about the vertical, and moved.
 * @param {{origin: number[], along: number[]}} from
 * @param {{origin: number[], along: number[]}} to
 * @returns {{x: number, y: number, z: number, angle: number}|null}  null where it stands as it did
 */
export function shift(from, to) {
  if (!from || !to) return null;
  const d = from.origin.map((v, k) => v - to.origin[k]), [ax, ay] = to.along;
  const angle = Math.atan2(from.along[1], from.along[0]) - Math.atan2(ay, ax);
  const found = { x: d[0] * ax + d[1] * ay, y: -d[0] * ay + d[1] * ax, z: d[2], angle };
  return Math.abs(found.x) + Math.abs(found.y) + Math.abs(found.z) + Math.abs(angle) < 1e-6 ? null : found;
}
