/**
 * The strip: the curve that is also the slider. For places of the walker it shows what is left under the lowest feet if he falls
 * there; for a film the forces over its time. The knob is where he is, or now.
 */
import { bracket, clamp, lerp } from "../model/numbers.js";
import { shadeOf } from "../view/scheme.js";

/** @typedef {import("../ink/pen.js").Pen} Pen */
/** @typedef {{left: number, right: number}} Reach  pixels of the strip between which the knob runs */

const TOP = 18, FOOT = 22, ROW = 14, ROWS = 3;
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
  const left = small ? 14 : 58, right = W - (small ? 14 : 46);
  const X = (/** @type {number} */ x) => left + (right - left) * clamp(x / model.span, 0, 1);
  const zones = model.data.noFall ?? [], told = zoneWords(pen, zones, X, left, right), bottom = H - FOOT - ROW * Math.max(0, ...told.map((one) => one.row));
  const leftOver = curve?.series.find((one) => one.key === "left" && one.values);
  const series = leftOver ?? curve?.series.find((one) => one.key === "loops" && one.values); // where no ground is known
  const asked = leftOver ? curve?.need?.value ?? 0 : 0, from = series && [asked, ...series.x, ...series.values, series.most, series.old, series.plain, series.ticks];
  pen.kept(JSON.stringify([from, zones, model.span, small]), () => {
    if (series) drawSeries(pen, series, asked, X, W, H, left, right, bottom, small);
    pen.stroke([[left, bottom + 4], [right, bottom + 4]], colours.rule, 1);
    for (const zone of ranked(zones)) {
      const [a, b] = [X(zone.from), Math.max(X(zone.to), X(zone.from) + 2)];
      const box = /** @type {const} */ ([a, bottom + 1, b - a, 6]), reached = isReached(zone), g = pen.context;
      g.globalAlpha = zone.old ? 0.4 : 1;
      g.fillStyle = reached ? colours.alarm : zone.grade === "near" ? colours.ground_near : colours.rule;
      g.fillRect(...box);
      if (!reached) pen.hatch(() => g.rect(...box), colours.near_edge, 5, [a, bottom + 1, b, bottom + 7]);
      g.globalAlpha = 1;
    }
    for (const { text, x, row, reached } of told) pen.say(text, x, bottom + 14 + ROW * row, 12.5, { weight: 700, align: "center", colour: reached ? colours.alarm : colours.quiet });
    pen.say("A", left - 2, bottom + 13, 14, { weight: 700, align: small ? "left" : "right" });
    pen.say("B", right + 3, bottom + 13, 14, { weight: 700, align: small ? "right" : "left" });
  });
  if (series) {
    const named = walked ? series.title : series.other ?? series.title;
    title(pen, series.old ? `${named} · ${model.words.old}` : named, left, right, small ? TOP - 9 : TOP + 13, X(at), small);
  }
  if (walked) {
    knob(pen, X(at), TOP - 8, bottom, colours.main, true);
    const end = X(at) + 16 + pen.width(hint, 15, 700) > right;
    pen.say(hint, X(at) + (end ? -16 : 16), bottom - 8, 15, { weight: 700, align: end ? "right" : "left", colour: colours.main });
  }
  return { left, right };
}

/**
 * The curve over its metres, what is asked of it, and its ticks.
 * @param {Pen} pen
 * @param {any} series
 * @param {number} asked
 * @param {(x: number) => number} X
 * @param {number} W
 * @param {number} H
 * @param {number} left
 * @param {number} right
 * @param {number} bottom
 * @param {boolean} small
 */
function drawSeries(pen, series, asked, X, W, H, left, right, bottom, small) {
  const { colours } = pen, g = pen.context, [lowest, highest] = reachOf(series, series.key === "left" ? series.most ?? 0 : 0);
  const Y = (/** @type {number} */ v) => bottom - (bottom - TOP) * (clamp(v, lowest, highest) - lowest) / (highest - lowest);
  const gaps = /** @type {number[][][]} */ ([[]]);
  series.x.forEach((/** @type {number} */ x, /** @type {number} */ k) => {
    if (Number.isNaN(series.values[k])) gaps.push([]); else gaps[gaps.length - 1].push([X(x), Y(series.values[k])]);
  });
  const runs = gaps.filter((run) => run.length > 1);
  if (asked > 0) {
    g.fillStyle = colours.asked;
    g.fillRect(left, Y(asked), right - left, Y(0) - Y(asked));
    pen.hatch(() => g.rect(left, Y(asked), right - left, Y(0) - Y(asked)), colours.asked_hatch, 9, [left, Y(asked), right, Y(0)]);
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
}

/** @param {any} zone */
const isReached = (zone) => zone.grade === "reached" || zone.grade === undefined;

/** What is reached first: its words have their place before those of others. @param {any[]} zones @returns {any[]} */
const ranked = (zones) => [...zones].sort((one, other) => Number(isReached(other)) - Number(isReached(one)));

/**
 * The words of the stretches, each in the first row in which it covers no other; those that say of less than a fall onto the ground
 * only where there is room in the first.
 * @param {Pen} pen
 * @param {any[]} zones
 * @param {(x: number) => number} X
 * @param {number} left
 * @param {number} right
 * @returns {{text: string, x: number, row: number, reached: boolean}[]}
 */
export function zoneWords(pen, zones, X, left, right) {
  const found = /** @type {{text: string, x: number, row: number, reached: boolean, from: number, to: number}[]} */ ([]);
  for (const zone of ranked(zones)) {
    const text = zone.short ?? "", reached = isReached(zone);
    if (!text || zone.old) continue;
    const half = pen.width(text, 12.5, 700) / 2, x = clamp((X(zone.from) + X(zone.to)) / 2, left + half + 14, Math.max(left + half + 14, right - half - 14));
    const rows = Array.from({ length: reached ? ROWS : 1 }, (_, row) => row);
    const row = rows.find((each) => !found.some((one) => one.row === each && x - half < one.to + 8 && x + half > one.from - 8));
    if (row !== undefined) found.push({ text, x, row, reached, from: x - half, to: x + half });
  }
  return found;
}

/**
 * Depth of each loop of a state, bay by bay, in the colours of the layer; the knob walks under it as under the curve.
 * @param {Pen} pen
 * @param {import("../model/types.js").Model} model
 * @param {import("../model/types.js").Shape} shape
 * @param {number} at  [m]
 * @param {boolean} walked
 * @param {string} hint
 * @param {string} none  said where there is no loop
 * @param {boolean} small
 * @returns {Reach}
 */
export function drawLoops(pen, model, shape, at, walked, hint, none, small) {
  const [W, H] = size(pen), { colours } = pen, layer = model.data.layers.depth, bottom = H - FOOT;
  const left = small ? 14 : 58, right = W - (small ? 14 : 46), X = (/** @type {number} */ x) => left + (right - left) * clamp(x / model.span, 0, 1);
  const depths = shape.depths ?? [], most = Math.max(0.01, ...depths.filter((deep) => !Number.isNaN(deep))) * 1.15;
  const Y = (/** @type {number} */ deep) => TOP + (bottom - TOP) * deep / most, per = (shape.backup.length - 1) / shape.bays;
  const [length, text] = model.data.scales.filter((/** @type {[number, string]} */ one) => one[0] < most).pop() ?? [0, ""];
  pen.stroke([[left, TOP], [right, TOP]], colours.ink, 1.2);
  if (length) pen.stroke([[left, Y(length)], [right, Y(length)]], colours.rule, 1);
  depths.forEach((deep, bay) => {
    if (Number.isNaN(deep)) return;
    const [a, b] = [X(shape.backup[bay * per][0]), X(shape.backup[(bay + 1) * per][0])], gap = Math.min(2, (b - a) / 4);
    const entry = layer.legend[layer.scale.filter((/** @type {number} */ limit) => limit <= deep).length];
    pen.context.fillStyle = shadeOf(entry) ?? colours.backup;
    pen.context.fillRect(a + gap, TOP, b - a - 2 * gap, Y(deep) - TOP);
    pen.context.strokeStyle = colours.quiet;
    pen.context.lineWidth = 0.8;
    pen.context.strokeRect(a + gap, TOP, b - a - 2 * gap, Y(deep) - TOP);
  });
  if (length) pen.say(text, small ? left + 2 : left - 6, Y(length), 12, { align: small ? "left" : "right", colour: colours.quiet });
  if (depths.every(Number.isNaN)) pen.say(none, (left + right) / 2, (TOP + bottom) / 2, 15, { weight: 700, align: "center" });
  title(pen, layer.title, left, right, TOP - 9, walked ? X(at) : -99, small);
  pen.say("A", left - 2, bottom + 13, 14, { weight: 700, align: small ? "left" : "right" });
  pen.say("B", right + 3, bottom + 13, 14, { weight: 700, align: small ? "right" : "left" });
  pen.stroke([[left, bottom + 4], [right, bottom + 4]], colours.rule, 1);
  if (walked) {
    knob(pen, X(at), TOP - 8, bottom, colours.main, true);
    const end = X(at) + 16 + pen.width(hint, 15, 700) > right;
    pen.say(hint, X(at) + (end ? -16 : 16), bottom + 12, 15, { weight: 700, align: end ? "right" : "left", colour: colours.main });
  }
  return { left, right };
}

/**
 * Forces of a film over its time. From where feet or a line come to the ground it is hatched, and says so.
 * @param {Pen} pen
 * @param {import("../model/types.js").State} state
 * @param {number} now  [s]
 * @param {boolean} small
 * @param {Record<string, string>} words
 * @returns {Reach}
 */
export function drawTrace(pen, state, now, small, words) {
  const [W, H] = size(pen), trace = state.trace, { colours } = pen;
  const left = small ? 8 : 58, right = W - (small ? 14 : 46), bottom = H - FOOT, seconds = state.seconds, lands = state.trace?.lands;
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
    if (lands) {
      const x = X(lands.x);
      pen.hatch(() => pen.context.rect(x, TOP - 6, right - x, bottom - TOP + 6), colours.landed, 9, [x, TOP - 6, right, bottom]);
      pen.stroke([[x, TOP - 6], [x, bottom]], colours.alarm, 1.6);
    }
    const peaks = [];
    for (const one of shown) {
      const points = [];
      for (let k = 0; k < one.values.length; k++) points.push([X(trace.x[k]), Y(one.values[k])]);
      pen.stroke(points, pen.paper, 4.5);
      pen.stroke(points, colours[one.role] ?? colours.ink, 2.2);
      if (one.peak?.text && one.peak.value > 0.04 * most) peaks.push({ x: X(one.peak.x), y: Y(one.peak.value), text: `${one.name} ${one.peak.text}`, colour: colours[one.role] ?? colours.ink });
    }
    const boxes = /** @type {number[][]} */ ([]), high = small ? 12.5 : 15;
    if (lands) {
      const tall = small ? 12 : 15, wide = pen.width(lands.text, tall, 700), x = X(lands.x) + wide + 8 < right ? X(lands.x) + 6 : Math.max(left, X(lands.x) - wide - 6);
      boxes.push([x, bottom - 9, x + wide]);
      pen.say(lands.text, x, bottom - 9, tall, { weight: 700, colour: colours.alarm });
    }
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
    let free = left - 20;
    for (const [value, text] of trace.xTicks ?? moments(state)) {
      if (X(value) < free) continue;
      pen.stroke([[X(value), bottom], [X(value), bottom + 5]], colours.quiet, 1);
      pen.say(text, X(value), bottom + 13, 12, { align: "center", colour: colours.quiet });
      free = X(value) + pen.width(text, 12) + 14;
    }
  }
  pen.stroke([[left, bottom], [right, bottom]], colours.quiet, 1);
  if (state.old) title(pen, words.old, left, right, small ? TOP - 9 : TOP - 8, X(now), small);
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
 * What the strip's height stands for: from the deepest to as much as is drawn of it.
 * @param {{lowest: number, highest: number}} series
 * @param {number} most  0 where all of it is drawn
 * @returns {[number, number]}
 */
export function reachOf(series, most) {
  const top = most > 0 ? most : Math.max(1.15 * series.highest, 0.1);
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
  g.fillStyle = person ? pen.colours.on_main : pen.colours.casing;
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
