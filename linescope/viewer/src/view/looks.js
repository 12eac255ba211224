/** The looks that have a name: the whole line from in front, from either anchor, from the side and from above; the walker; a place. */
import { fit } from "./camera.js";
import { piecesOf } from "./meshes.js";
import { pointAt, shapeAt } from "../model/shapes.js";
import { picked } from "../ink/picked.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("../model/types.js").Model} Model */

const DEEPEST = 0.34; // of what hangs below the line that the whole picture shows, over the span
const EDGE_ON = 1.3, STEEP = 1.5; // nearly along the line, and nearly straight down [radians]

/** Directions of whole pictures: turned from in front, and tilted [radians]. @type {Record<string, {azimuth: number, tilt: number}>} */
export const NAMED = {
  whole: { azimuth: -0.16, tilt: 0.2 }, a: { azimuth: -EDGE_ON, tilt: 0.3 }, b: { azimuth: EDGE_ON, tilt: 0.3 }, side: { azimuth: 0, tilt: 0 },
  above: { azimuth: 0, tilt: STEEP },
};

/** Points that the whole picture must hold besides the line. @param {Model} model @returns {Point[]} */
export function outline(model) {
  const margin = 0.02 * model.span, inside = (/** @type {Point} */ p) => p[0] > -margin && p[0] < model.span + margin;
  const found = /** @type {Point[]} */ ([]);
  for (const { geometry } of piecesOf(model.gltf, "ground edge")) {
    const places = geometry.attributes.position;
    for (let k = 0; k < places.count; k++) found.push([places.getX(k), places.getY(k), places.getZ(k)]);
  }
  const ground = found.length ? found : model.profile.map(([x, z]) => /** @type {Point} */ ([x, 0, z]));
  return ground.filter(inside);
}

/** How deep the whole picture reaches: to all bodies, and no farther down a deep valley, so that the line stays long. @param {Model} model @param {number} share  of the span */
function floor(model, share) {
  const lows = model.states.flatMap((state) => (state.bound?.bodies ?? []).map((/** @type {any} */ one) => one.foot[2]));
  const line = Math.min(0, -model.drop), deepest = Math.min(line, ...lows);
  return Math.min(line - share * model.span, Math.max(deepest - 1, line - DEEPEST * model.span));
}

/** @param {import("../app.js").App} app @param {string} view  "walker", "place", "picked" or one of `NAMED` @returns {import("./camera.js").Look} */
export function lookOf(app, view) {
  const area = app.area(), { model, small } = app, shape = shapeAt(app.state, app.x);
  const seen = (/** @type {Point[]} */ points, /** @type {number} */ azimuth, /** @type {number} */ tilt, /** @type {import("./camera.js").Rect} */ rect, /** @type {number} */ field) => (
    fit(points.map(([x, y, z]) => [x, y, z * app.tall]), azimuth, tilt, rect, innerWidth, innerHeight, field, model.span));
  if (view === "place" && app.now.chosen) {
    const { point, nearest, body } = app.now.chosen, spots = [point, nearest, ...(body ? [body.top, body.foot] : [])];
    const middle = spots.reduce((s, p) => [s[0] + p[0] / spots.length, s[1] + p[1] / spots.length, s[2] + p[2] / spots.length], [0, 0, 0]);
    const reach = Math.max(small ? 3.2 : 4.5, ...spots.map((p) => Math.hypot(p[0] - middle[0], p[1] - middle[1], p[2] - middle[2]) * 1.35));
    const box = /** @type {Point[]} */ ([[-1.2, 0, 0], [1.2, 0, 0], [0, 0, -1], [0, 0, 1]].map(([a, , b]) => [middle[0] + a * reach, middle[1], middle[2] + b * reach]));
    return seen(box, small ? -0.45 : -0.42, 0.16, area, 30);
  }
  if (view === "walker" || view === "picked") {
    const spot = view === "picked" ? picked(app, 0).spot : null;
    const [x, , z] = spot ?? shape.ring ?? shape.feet ?? shape.tie ?? pointAt(shape.main[0] ?? shape.backup, app.now.at) ?? [model.span / 2, 0, 0];
    const k = small ? 0.52 : 1, box = /** @type {Point[]} */ ([[x - 9 * k, 0, z + 3], [x + 9 * k, 0, z + 3], [x - 7 * k, 0, z - 5.6 * k], [x + 7 * k, 0, z - 5.6 * k]]);
    return seen(box, small ? -0.5 : -0.42, 0.17, area, 30);
  }
  const rest = shapeAt(model.states.find((each) => each.kind === "places") ?? model.states[0], model.span / 2), { azimuth, tilt } = NAMED[view] ?? NAMED.whole;
  const line = [...(rest.main[0] ?? rest.backup), ...rest.backup.filter((_, k) => k % 6 === 0)];
  if (small && (NAMED[view] ?? NAMED.whole) === NAMED.whole) {
    const low = floor(model, app.other ? 0.1 : 0.34), inside = app.edge.filter(([x]) => x > 0.03 * model.span && x < model.span);
    const ground = inside.map(([x, , z]) => /** @type {Point} */ ([x, 0, Math.max(z, low)]));
    return seen([...line, [-0.02 * model.span, 0, 1.5], ...ground], -1.06, 0.36, { x: 16, y: area.y + (app.other ? 48 : 84), w: area.w - 34, h: area.h - (app.other ? 58 : 94) }, 46);
  }
  const head = app.other ? 64 : app.wide ? 96 : 118, low = floor(model, 0.9 * (area.h - head) / area.w);
  const edge = app.edge.map((p) => /** @type {Point} */ ([p[0], p[1], Math.max(p[2], low)]));
  return seen([...line, ...edge], azimuth, tilt, { x: area.x + 18, y: area.y + head, w: area.w - 36, h: area.h - head - 14 }, 24);
}
