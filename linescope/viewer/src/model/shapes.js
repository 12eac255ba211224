/** The lines of a state at one place of the walker or one moment, and where a line is at one metre. */
import { between, bracket, clamp, lerp } from "./numbers.js";
import { numbersAt, pointsAt } from "./packed.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Shape} Shape */
/** @typedef {import("./types.js").State} State */

/**
 * Which frame a place or moment lies in: the one before, the share towards the next, and the nearer of both, whose words hold.
 * @param {State} state
 * @param {number} x
 * @returns {{frame: number, share: number, nearest: number}}
 */
export function frameAt(state, x) {
  if (state.count < 2) return { frame: 0, share: 0, nearest: 0 };
  const [frame, share] = bracket(state.x, x);
  if (share === 1) return { frame: frame + 1, share: 0, nearest: frame + 1 };
  return { frame, share, nearest: share < 0.5 ? frame : frame + 1 };
}

/**
 * The lines between two frames; for the eye: figures are those of the nearest one.
 * @param {State} state
 * @param {number} x
 * @returns {Shape}
 */
export function shapeAt(state, x) {
  const { frame, share } = frameAt(state, x), from = state.shape;
  const main = pointsAt(from.main, frame, share), backup = pointsAt(from.backup, frame, share);
  const parted = from.parted && frame >= from.parted.frame ? from.parted.after : -1;
  const first = (/** @type {import("./types.js").Frames|null} */ frames) => pointsAt(frames, frame, share)[0] ?? null;
  const held = main.length ? main : backup, on = main.length ? from.tapes.main : from.tapes.backup;
  return {
    bays: on.length + 1,
    main: !main.length ? [] : parted >= 0 ? [main.slice(0, parted + 1), main.slice(parted + 1)] : [main],
    backup,
    tapes: on.map((point, k) => (from.tapes.gone?.[k] != null && frame >= /** @type {number} */ (from.tapes.gone[k]) ? null : held[point])),
    feet: first(from.feet),
    ring: first(from.ring),
    tie: first(from.tie),
    leash: pointsAt(from.leash, frame, share),
    fallen: from.pose === "hanging" ? 1 : from.pose === "falls" ? numbersAt(from.fallen, frame, share)?.[0] ?? 0 : 0,
    depths: numbersAt(from.depth, frame, share),
    above: numbersAt(from.above, frame, share),
    pulls: { main: numbersAt(from.tension.main, frame, share), backup: numbersAt(from.tension.backup, frame, share) },
  };
}

/**
 * The point of a line at x; null where it does not reach.
 * @param {Point[]} run
 * @param {number} x
 * @returns {Point|null}
 */
export function pointAt(run, x) {
  for (let k = 0; k + 1 < run.length; k++) {
    const [a, b] = [run[k], run[k + 1]];
    if (a[0] <= x && x <= b[0]) return between(a, b, clamp((x - a[0]) / (b[0] - a[0] || 1), 0, 1));
  }
  return null;
}

/**
 * The height of a profile at x, or of its nearer end beyond it; null without one.
 * @param {[number, number][]} profile  ascending
 * @param {number} x
 */
export function heightAt(profile, x) {
  if (profile.length < 2) return null;
  const [k, share] = bracket(profile.map((each) => each[0]), x);
  return lerp(profile[k][1], profile[k + 1][1], share);
}

/**
 * The loop nearest to a place: its bay, its lowest point below the main, and the point of the main above that.
 * @param {Shape} shape
 * @param {number} bays
 * @param {number} x
 * @returns {{bay: number, low: Point, above: Point}|null}
 */
export function loopNear(shape, bays, x) {
  if (!shape.depths || shape.main.length !== 1) return null;
  const per = (shape.backup.length - 1) / bays, main = shape.main[0];
  let bay = 0, best = Infinity;
  for (let k = 0; k < bays; k++) {
    const off = Math.abs((shape.backup[k * per][0] + shape.backup[(k + 1) * per][0]) / 2 - x);
    if (off < best) [best, bay] = [off, k];
  }
  let found = null, deep = 0.005;
  for (let k = bay * per; k <= (bay + 1) * per; k++) {
    const low = shape.backup[k], above = pointAt(main, low[0]);
    if (above && above[2] - low[2] > deep) {
      deep = above[2] - low[2];
      found = { bay, low, above };
    }
  }
  return found;
}
