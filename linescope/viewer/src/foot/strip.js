/**
 * The strip: the curve that is also the slider. For places of the walker it shows what is left under the lowest feet if he falls
 * there; for a film the forces over its time. The knob is where he is, or now.
 */
import { bracket, clamp, lerp } from "../model/numbers.js";
import { broken } from "../ink/marks.js";

/** @typedef {import("../ink/pen.js").Pen} Pen */
/** @typedef {{left: number, right: number}} Reach  pixels of the strip between which the knob runs */

const TOP = 18, FOOT = 22;
const UNTOLD = 0.24, UNTOLD_SMALL = 0.46; // of the strip, for why a film ends
const STEPS = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 60, 120]; // between ticks of time [s]

/**
 * @param {Pen} pen
 * @param {import("../model/types.js").Model} model
 * @param {number} at  [m]
 * @param {boolean} walked  whether there is a knob
 * @param {string} hint  beside the knob
 * @param {boolean} small
 * @returns {Reach}
 */
export function drawCurve(pen, model, at, walked, hint, small) {
  const [W, H] = size(pen), curve = model.curve, { colours } = pen;
  const left = small ? 14 : 58, right = W - (small ? 14 : 46), bottom = H - FOOT;
  const X = (/** @type {number} */ x) => left + (right - left) * clamp(x / model.span, 0, 1);
  const leftOver = curve?.series.find((one) => one.key === "left" && one.values);
  const series = leftOver ?? curve?.series.find((one) => one.key === "loops" && one.values); // where no ground is known
  if (curve && series) {
    const asked = leftOver ? curve.need?.value ?? 0 : 0, [lowest, highest] = reachOf(series, asked);
    const Y = (/** @type {number} */ v) => bottom - (bottom - TOP) * (clamp(v, lowest, highest) - lowest) / (highest - lowest);
    const line = /** @type {number[][]} */ ([]), gaps = /** @type {number[][][]} */ ([line]);
    series.x.forEach((/** @type {number} */ x, /** @type {number} */ k) => {
      if (Number.isNaN(series.values[k])) gaps.push([]); else gaps[gaps.length - 1].push([X(x), Y(series.values[k])]);
    });
    const runs = gaps.filter((run) => run.length > 1), g = pen.context;
    if (asked > 0) {
      g.fillStyle = "rgba(240,176,60,.16)";
      g.fillRect(left, Y(asked), right - left, Y(0) - Y(asked));
      pen.hatch(() => g.rect(left, Y(asked), right - left, Y(0) - Y(asked)), "rgba(180,110,10,.34)", 9, [left, Y(asked), right, Y(0)]);
    }
    g.save();
    g.beginPath();
    g.rect(0, Y(0), W, H);
    g.clip();
    g.fillStyle = colours.alarm;
    g.globalAlpha = series.old ? 0.35 : 1;
    for (const run of series.plain ? [] : runs) {
      g.beginPath();
      g.moveTo(run[0][0], Y(0));
      for (const p of run) g.lineTo(p[0], p[1]);
      g.lineTo(run[run.length - 1][0], Y(0));
      g.fill();
    }
    g.restore();
    for (const run of runs) {
      pen.stroke(run, pen.paper, 5);
      pen.stroke(run, series.old ? colours.quiet : colours.ink, 2, series.old ? [5, 4] : undefined);
    }
    pen.stroke([[left, Y(0)], [right, Y(0)]], colours.ink, 1.2);
    const ticks = series.ticks.filter((/** @type {[number, string]} */ [value]) => value >= lowest && value <= highest);
    if (!small) for (const [value, text] of ticks) pen.say(text, left - 6, Y(value), 12, { align: "right", colour: colours.quiet });
    const named = walked ? series.title : series.other ?? series.title;
    title(pen, series.old ? `${named} · ${model.words.old}` : named, left, right, small ? TOP - 9 : TOP + 13, X(at), small);
  }
  pen.stroke([[left, bottom + 4], [right, bottom + 4]], colours.rule, 1);
  const told = /** @type {[number, number][]} */ ([]);
  const zones = [...(model.data.noFall ?? [])].sort((one, other) => Number(other.grade === "reached") - Number(one.grade === "reached"));
  for (const zone of zones) { // what is reached has its words first
    const [a, b] = [X(zone.from), Math.max(X(zone.to), X(zone.from) + 2)], text = zone.short ?? "", wide = pen.width(text, 12.5, 700);
    const box = /** @type {const} */ ([a, bottom + 1, b - a, 6]), reached = zone.grade === "reached" || zone.grade === undefined;
    pen.context.globalAlpha = zone.old ? 0.4 : 1;
    pen.context.fillStyle = reached ? colours.alarm : zone.grade === "near" ? colours.ground_near : colours.rule;
    pen.context.fillRect(...box);
    if (!reached) pen.hatch(() => pen.context.rect(...box), colours.near_edge, 5, [a, bottom + 1, b, bottom + 7]);
    pen.context.globalAlpha = 1;
    if (!text || zone.old) continue;
    const x = clamp((a + b) / 2, left + wide / 2 + 14, right - wide / 2 - 14);
    if (told.some(([from, to]) => x - wide / 2 < to + 8 && x + wide / 2 > from - 8)) continue;
    told.push([x - wide / 2, x + wide / 2]);
    pen.say(text, x, bottom + 14, 12.5, { weight: 700, align: "center", colour: reached ? colours.alarm : colours.quiet });
  }
  pen.say("A", left - 2, bottom + 13, 14, { weight: 700, align: small ? "left" : "right" });
  pen.say("B", right + 3, bottom + 13, 14, { weight: 700, align: small ? "right" : "left" });
  if (walked) {
    knob(pen, X(at), TOP - 8, bottom, colours.main, true);
    const end = X(at) + 16 + pen.width(hint, 15, 700) > right;
    pen.say(hint, X(at) + (end ? -16 : 16), bottom - 8, 15, { weight: 700, align: end ? "right" : "left", colour: colours.main });
  }
  return { left, right };
}

/**
 * Forces of a film over its time. Where it ends because the computation no longer holds, a hatched piece behind it says why.
 * @param {Pen} pen
 * @param {import("../model/types.js").State} state
 * @param {number} now  [s]
 * @param {boolean} small
 * @returns {Reach}
 */
export function drawTrace(pen, state, now, small) {
  const [W, H] = size(pen), trace = state.trace, { colours } = pen;
  const left = small ? 8 : 58, edge = W - (small ? 14 : 46), bottom = H - FOOT, seconds = state.seconds, why = state.trace?.stop;
  const right = why ? edge - (edge - left) * (small ? UNTOLD_SMALL : UNTOLD) : edge;
  const X = (/** @type {number} */ s) => left + (right - left) * clamp(s / seconds, 0, 1);
  if (trace) {
    const shown = trace.series.filter((/** @type {any} */ one) => one.values);
    const most = Math.max(1e-9, ...shown.map((/** @type {any} */ one) => one.values.reduce((/** @type {number} */ top, /** @type {number} */ v) => Math.max(top, v), 0)));
    const Y = (/** @type {number} */ v) => bottom - (bottom - TOP) * v / (most * 1.08);
    for (const [value, text] of trace.ticks) {
      if (value > most || value === 0) continue;
      pen.stroke([[left, Y(value)], [right, Y(value)]], colours.rule, 1);
      pen.say(text, small ? left + 2 : left - 6, Y(value), 12, { align: small ? "left" : "right", colour: colours.quiet });
    }
    if (why) pen.hatch(() => pen.context.rect(right, TOP - 6, edge - right, bottom - TOP + 6), "rgba(163,33,0,.26)", 9, [right, TOP - 6, edge, bottom]);
    const peaks = [];
    for (const one of shown) {
      const points = [];
      for (let k = 0; k < one.values.length; k++) points.push([X(trace.x[k]), Y(one.values[k])]);
      pen.stroke(points, pen.paper, 4.5);
      pen.stroke(points, colours[one.role] ?? colours.ink, 2.2);
      if (one.peak?.text && one.peak.value > 0.04 * most) peaks.push({ x: X(one.peak.x), y: Y(one.peak.value), text: `${one.name} ${one.peak.text}`, colour: colours[one.role] ?? colours.ink });
    }
    const boxes = /** @type {number[][]} */ ([]), high = small ? 12.5 : 15;
    for (const peak of peaks.sort((a, b) => b.y - a.y)) {
      const wide = pen.width(peak.text, high, 700), onRight = peak.x + wide + 12 < right;
      pen.disc([peak.x, peak.y], 4, peak.colour);
      const x = clamp(onRight ? peak.x + 9 : peak.x - 9 - wide, left, Math.max(left, right - wide)), least = Math.max(peak.y - 2, 9);
      const y = [0, -1, 1, -2, 2].map((rows) => least + rows * high).find((one) => (
        one > 7 && one < bottom - 5 && !boxes.some((b) => x < b[2] && x + wide > b[0] && Math.abs(one - b[1]) < high)));
      if (y === undefined) continue;
      boxes.push([x, y, x + wide]);
      pen.say(peak.text, x, y, high, { weight: 700, colour: peak.colour });
    }
    if (why) {
      const size = small ? 12 : 15;
      broken(pen, why.text, edge - right - 14, size, 700).forEach((line, k) => pen.say(line, right + 10, TOP + 2 + k * size * 1.15, size, { weight: 700, colour: colours.alarm }));
    }
    let free = left - 20;
    for (const [value, text] of trace.xTicks ?? moments(state)) {
      if (X(value) < free) continue;
      pen.stroke([[X(value), bottom], [X(value), bottom + 5]], colours.quiet, 1);
      pen.say(text, X(value), bottom + 13, 12, { align: "center", colour: colours.quiet });
      free = X(value) + pen.width(text, 12) + 14;
    }
  }
  pen.stroke([[left, bottom], [right, bottom]], colours.quiet, 1);
  knob(pen, X(now), TOP - 10, bottom, colours.ink, false);
  return { left, right };
}

/** A few of a film's moments with their words, evenly over its time. @param {import("../model/types.js").State} state @returns {[number, string][]} */
function moments(state) {
  const step = STEPS.find((each) => state.seconds / each <= 7) ?? state.seconds / 6, found = /** @type {[number, string][]} */ ([]);
  for (let at = 0; at <= state.seconds + 1e-6; at += step) {
    let best = 0;
    state.x.forEach((x, k) => { if (Math.abs(x - at) < Math.abs(state.x[best] - at)) best = k; });
    found.push([state.x[best], state.xText[best]]);
  }
  return found;
}

/**
 * What the strip's height stands for: from the deepest to twice what is asked for, since more left over changes nothing.
 * @param {{lowest: number, highest: number}} series
 * @param {number} need
 * @returns {[number, number]}
 */
export function reachOf(series, need) {
  const top = need > 0 ? 2 * need : Math.max(1.15 * series.highest, 0.1);
  return [clamp(series.lowest, -0.7 * top, -0.15 * top), top];
}

/** @param {Pen} pen @returns {[number, number]} */
function size(pen) {
  const { canvas } = pen.context;
  return [canvas.clientWidth, canvas.clientHeight];
}

/** Where the knob does not stand. @param {Pen} pen @param {string} text @param {number} left @param {number} right @param {number} y @param {number} knobX @param {boolean} small */
function title(pen, text, left, right, y, knobX, small) {
  const high = small ? 12.5 : 15, wide = pen.width(text, high, 700);
  let x = (left + right - wide) / 2;
  if (knobX > x - 10 && knobX < x + wide + 10) x = knobX + 12 + wide < right ? knobX + 12 : Math.max(left, knobX - 12 - wide);
  pen.say(text, x, y, high, { weight: 700 });
}

/** @param {Pen} pen @param {number} x @param {number} top @param {number} bottom @param {string} colour @param {boolean} person */
function knob(pen, x, top, bottom, colour, person) {
  const g = pen.context, y = bottom + 3;
  pen.stroke([[x, top], [x, bottom]], colour, 2);
  pen.disc([x, y], person ? 11 : 9, colour);
  if (!person) return;
  g.fillStyle = "#fff";
  g.beginPath();
  g.arc(x, y - 4, 2.4, 0, 2 * Math.PI);
  g.fill();
  g.fillRect(x - 1.5, y - 2, 3, 7);
}

/** The place or moment of a pointer. @param {Reach} reach @param {number} x  in the strip @param {number} most */
export const valueAt = (reach, x, most) => clamp((x - reach.left) / (reach.right - reach.left), 0, 1) * most;

/** The text of a curve at a place: that of the computed place nearest to it. @param {import("../model/types.js").Model} model @param {string} key @param {number} x @returns {string} */
export function curveText(model, key, x) {
  const series = model.curve?.series.find((one) => one.key === key);
  if (!series?.text) return "";
  const [k, share] = bracket(series.x, x), index = series.text.index.values;
  return series.text.of[index[share < 0.5 ? k : k + 1]] ?? "";
}

/** The value of a curve at a place. @param {import("../model/types.js").Model} model @param {string} key @param {number} x @returns {number} */
export function curveValue(model, key, x) {
  const series = model.curve?.series.find((one) => one.key === key);
  if (!series?.values) return NaN;
  const [k, share] = bracket(series.x, x);
  return lerp(series.values[k], series.values[Math.min(k + 1, series.values.length - 1)], share);
}
