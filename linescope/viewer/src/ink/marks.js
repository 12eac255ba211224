/** What is inked over the picture: tapes, anchors with their pull, what is measured at the walker, a film's course. */
import { clamp } from "../model/numbers.js";
import { tapeSign } from "./pen.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("./pen.js").Pen} Pen */
/** @typedef {(p: Point) => [number, number, number]} Projection */

const SIGNS_FROM = 34; // pixels a metre from which a tape shows its style
const NUMBERED = 5, ROOM = 48; // every fifth, where that many pixels lie between them
const LABEL = 300; // pixels, the longest line of a label

/**
 * Tapes: ticks from afar, the sign of their style when near; every fifth numbered, near all of them.
 * @param {Pen} pen
 * @param {import("../model/types.js").Shape} shape
 * @param {any[]} tapes
 * @param {Projection} P
 * @param {number} high  of a tick, pixels
 * @param {string} word  for a tape, so that its number is not read as a metre
 */
export function drawTapes(pen, shape, tapes, P, high, word) {
  const { colours } = pen;
  shape.tapes.forEach((point, k) => {
    if (!point) return;
    const p = P(point), q = P([point[0] + 1, point[1], point[2]]);
    if (p[2] > 1) return;
    const metre = Math.hypot(q[0] - p[0], q[1] - p[1]) || 1, number = tapes[k]?.number ?? k + 1;
    const n = [-(q[1] - p[1]) / metre, (q[0] - p[0]) / metre];
    if (metre > SIGNS_FROM) {
      const half = clamp(metre / 7, 6, 12);
      tapeSign(pen.context, tapes[k]?.symbol, p, half, colours[tapes[k]?.colour] ?? colours.ink, colours.outline, colours.rim, Math.atan2(q[1] - p[1], q[0] - p[0]));
      pen.say(`${number}`, p[0], p[1] - half - 15, 15, { weight: 700, align: "center", colour: colours.quiet });
      return;
    }
    const half = clamp(metre * 0.38, 2.4, high);
    const end = (/** @type {number} */ reach) => [[p[0] - n[0] * reach, p[1] - n[1] * reach], [p[0] + n[0] * reach, p[1] + n[1] * reach]];
    pen.stroke(end(half + 1), colours.casing, half * 0.6 + (metre > 9 ? 2.2 : 0.8));
    pen.stroke(end(half), colours.ink, half * 0.62);
    const last = shape.tapes[k - NUMBERED] ?? shape.tapes[k + NUMBERED], before = last && P(last);
    if (number % NUMBERED === 0 && before && Math.hypot(before[0] - p[0], before[1] - p[1]) > ROOM) pen.say(`${word} ${number}`, p[0], p[1] - 16, 13.5, { weight: 700, align: "center", colour: colours.quiet });
  });
}

/**
 * An anchor, and what pulls at it.
 * @param {Pen} pen
 * @param {Point} point
 * @param {string} name
 * @param {string} pull
 * @param {string} colour  of the pull: the line that carries it
 * @param {Projection} P
 * @param {number} width  of the page
 * @param {number} top  words stay below this
 * @param {boolean} small
 */
export function drawAnchor(pen, point, name, pull, colour, P, width, top, small) {
  const p = P(point), radius = small ? 12 : 16;
  if (p[2] > 1 || p[0] < 0 || p[0] > width || p[1] < top) return;
  pen.disc(p, radius, pen.colours.main);
  pen.say(name, p[0], p[1] + 1, radius * 1.25, { weight: 700, align: "center", colour: pen.colours.on_main, bare: true });
  if (pull) {
    const size = small ? 15 : 19, half = pen.width(pull, size, 700) / 2;
    pen.say(pull, clamp(p[0], half + 8, width - half - 8), p[1] - radius - 14, size, { weight: 700, align: "center", colour });
  }
  pen.block(p[0] - 34, p[1] - radius - 28, 68, 2 * radius + 30);
}

/** @param {Point} a @param {Point} b @returns {Point[]} */
export const dashedChord = (a, b) => Array.from({ length: 33 }, (_, k) => [a[0] + (b[0] - a[0]) * k / 32, a[1] + (b[1] - a[1]) * k / 32, a[2] + (b[2] - a[2]) * k / 32]);

/**
 * The dashed chord between the anchors, or any other dashed course.
 * @param {Pen} pen
 * @param {Point[]} run
 * @param {Projection} P
 * @param {string} colour
 * @param {number[]} dash
 * @param {number} [width]
 */
export function drawDashed(pen, run, P, colour, dash, width = 1.2) {
  const seen = run.map(P);
  let part = /** @type {number[][]} */ ([]);
  for (const p of [...seen, null]) {
    if (p && p[2] < 1) part.push(p);
    else {
      if (part.length > 1) pen.stroke(part, colour, width, dash);
      part = [];
    }
  }
}

/**
 * A label where it covers nothing that stands there already: eleven places round its point, or none. Long ones are broken.
 * @param {Pen} pen
 * @param {ArrayLike<number>} p
 * @param {string} head  bold; may be empty
 * @param {string} text
 * @param {string} colour
 * @param {import("../view/camera.js").Rect} area
 * @returns {boolean}  whether it stands
 */
export function drawLabel(pen, p, head, text, colour, area) {
  const lines = broken(pen, text, Math.min(LABEL, area.w * 0.6)), from = head ? 20 : 0;
  const wide = Math.max(head ? pen.width(head, 18, 700) : 0, ...lines.map((line) => pen.width(line, 15))) + 6, high = from + lines.length * 19 + 4;
  for (const [dx, dy] of [[18, 56], [-wide - 10, 56], [18, 92], [-wide / 2, 96], [18, 130], [-wide - 10, 110], [-wide * 0.4, 150], [30, 8], [-wide - 30, 8], [18, 170], [18, -70]]) {
    const x = p[0] + dx, y = p[1] + dy;
    if (x < area.x + 10 || x + wide > area.x + area.w - 10 || y - 12 < area.y || y + high - 12 > area.y + area.h) continue;
    if (!pen.free(x, y - 12, wide, high)) continue;
    pen.block(x - 4, y - 14, wide + 8, high + 4);
    const end = x > p[0] ? x - 2 : x + wide < p[0] ? x + wide : p[0];
    pen.stroke([p, [end, y > p[1] + 20 ? y - 12 : y]], colour, 1.6);
    if (head) pen.say(head, x, y, 18, { weight: 700, colour });
    lines.forEach((line, k) => pen.say(line, x, y + from + k * 19, 15));
    return true;
  }
  return false;
}

/** Words in lines of at most so many pixels. @param {Pen} pen @param {string} text @param {number} most @param {number} [size] @param {number} [weight] @returns {string[]} */
export function broken(pen, text, most, size = 15, weight = 500) {
  pen.font(size, weight);
  const lines = [""];
  const glued = text.replace(/(\d) (?=[^\d\s]{1,3}(?:[\s).,:;]|$))/g, "$1\u00a0"); // a number stays with its unit
  for (const word of glued.split(" ")) {
    const longer = `${lines[lines.length - 1]} ${word}`.trim();
    if (lines[lines.length - 1] && pen.context.measureText(longer).width > most) lines.push(word); else lines[lines.length - 1] = longer;
  }
  return lines;
}
