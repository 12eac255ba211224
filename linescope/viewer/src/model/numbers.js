/** Small arithmetic that everything uses. */

/** @param {number} value @param {number} low @param {number} high */
export const clamp = (value, low, high) => Math.min(high, Math.max(low, value));

/** @param {number} a @param {number} b @param {number} share */
export const lerp = (a, b, share) => a + (b - a) * share;

/**
 * A point between two.
 * @param {import("./types.js").Point} a
 * @param {import("./types.js").Point} b
 * @param {number} share
 * @returns {import("./types.js").Point}
 */
export const between = (a, b, share) => [lerp(a[0], b[0], share), lerp(a[1], b[1], share), lerp(a[2], b[2], share)];

/** From 0 to 1 without a jerk at either end. @param {number} share */
export const smooth = (share) => share * share * (3 - 2 * share);

/**
 * Which of ascending numbers a value lies behind, and how far towards the next.
 * @param {number[]} ascending  at least two
 * @param {number} value
 * @returns {[number, number]}  index of the one before, share 0 to 1
 */
export function bracket(ascending, value) {
  let low = 0, high = ascending.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (ascending[middle] <= value) low = middle; else high = middle;
  }
  return [low, clamp((value - ascending[low]) / (ascending[high] - ascending[low] || 1), 0, 1)];
}
