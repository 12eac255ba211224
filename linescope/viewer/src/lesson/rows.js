/** Rows of a lesson: the same metres under each other, one scale both ways, painted by the bay every piece was taped in. */
import { loopsOf, painted, smoothed, valueOn } from "./data.js";
import { tapeSign } from "../ink/pen.js";
import { drawRub } from "./rub.js";

/** @typedef {import("./data.js").Lesson} Lesson */
/** @typedef {import("./data.js").LessonRow} LessonRow */
/** @typedef {import("./data.js").LessonShot} LessonShot */
/** @typedef {import("../ink/pen.js").Pen} Pen */
/** @typedef {{x: number, top: number, scale: number, begin: number, end: number}} Place */

export const PAINT = { main: ["#00395c", "#6f95c4"], backup: ["#c94f00", "#f0a460"] };
const INK = "#15191c", QUIET = "#5f5c53", HEAD = "#00395c", FAINT = "#e6c6a6", CLOTH = "#2c7f86", RED = "#a32100";
const MARK = 28; // pixels that the mark of a style takes before its name
const SEEN = 0.02; // metres: less that slid has no arrow
const NARROW = 760, SMALL = 15, LEAST = 9; // pixels, of a small page and of its letters; pixels a metre, below which it shows a part of the line

/**
 * Where rows stand, one below the other, on what is left of the page.
 * @param {Lesson} lesson
 * @param {LessonRow[]} rows
 * @param {number} width
 * @param {number} height
 * @param {number} focus  metres from A that a small page must show
 * @param {number} names  pixels that the longest name takes
 * @returns {Place[]}
 */
export function placesOf(lesson, rows, width, height, focus, names) {
  const { data } = lesson, narrow = width < NARROW, left = narrow ? 10 : Math.max(data.rubMost ? 300 : 268, names + 60 + MARK), right = width - (narrow ? 10 : 34);
  const longest = Math.max(...rows.map((row) => row.long));
  let begin = data.window[0] * longest, end = data.window[1] * longest;
  const above = narrow ? (data.bay >= 0 ? 62 : 88) : data.bay >= 0 ? 26 : 34, below = 32, high = rows.reduce((sum, row) => sum + row.reach[0] - row.reach[1], 0);
  const room = (height - rows.length * (above + below)) / Math.max(high, 1e-6);
  let scale = Math.min((right - left) / (end - begin), room);
  if (narrow && data.bay < 0 && scale < LEAST && !data.gone) {
    scale = Math.min(LEAST, Math.max(room, scale));
    const wide = Math.min(longest, (right - left) / scale);
    begin = Math.min(longest - wide, Math.max(0, focus - wide / 2));
    end = begin + wide;
  }
  const spare = Math.max(0, height - rows.length * (above + below) - scale * high) / rows.length;
  let y = 0;
  return rows.map((row) => {
    const top = y + above + spare / 2 + scale * row.reach[0];
    y += above + below + spare + scale * (row.reach[0] - row.reach[1]);
    return { x: left, top, scale, begin, end };
  });
}

/** @param {Place} place @param {ArrayLike<number>} p @returns {[number, number]} */
export const pointAt = (place, p) => [place.x + place.scale * (p[0] - place.begin), place.top - place.scale * p[1]];

/** What of a run lies in the window. @param {[number, number][]} run @param {Place} place */
export function inside(run, place) {
  if (run[0][0] >= place.begin - 1e-6 && run[run.length - 1][0] <= place.end + 1e-6) return run;
  const low = Math.max(place.begin, run[0][0]), high = Math.min(place.end, run[run.length - 1][0]);
  if (low >= high) return [];
  const xs = run.map((p) => p[0]), z = (/** @type {number} */ x) => valueOn(xs, (k) => run[k][1], x);
  return /** @type {[number, number][]} */ ([[low, z(low)], ...run.filter(([x]) => x > low && x < high), [high, z(high)]]);
}

/** @param {Float32Array} line */
export const pairs = (line) => Array.from({ length: line.length / 2 }, (_, k) => /** @type {[number, number]} */ ([line[2 * k], line[2 * k + 1]]));

/**
 * One row in one state.
 * @param {Pen} pen
 * @param {Lesson} lesson
 * @param {LessonRow} row
 * @param {number} count  of the state
 * @param {Place} place
 * @param {boolean} told  whether its figures are shown
 * @param {boolean} narrow
 */
export function drawRow(pen, lesson, row, count, place, told, narrow) {
  const shot = row.shots[count], first = row.shots[0], { data } = lesson, single = data.bay >= 0;
  if (row.rub[count]) drawRub(pen, data, row, count, place, told, narrow);
  else if (!shot.main.length) drawGone(pen, row, shot, place, told, narrow, data);
  else {
    if (single) { if (count) drawMarked(pen, row, shot, place); }
    else if (told && !shot.feet && !first.feet && row.holds !== "both" && count) pen.stroke(inside(loopsOf(pairs(first.drawn), pairs(first.tapes)).flat(), place).map((p) => pointAt(place, p)), FAINT, 1.6);
    const hung = single ? [] : loopsOf(pairs(shot.drawn).map(([x, z], k) => [x, z, shot.backupAt[k]]), pairs(shot.tapes)).flat();
    const [drawn, at] = single ? [shot.drawn, shot.backupAt] : [Float32Array.from(hung.flatMap(([x, z]) => [x, z])), Float32Array.from(hung, (p) => p[2])];
    for (const [line, points, material, made, width] of /** @type {["backup"|"main", Float32Array, Float32Array, number[], number][]} */ ([
      ["backup", drawn, at, row.backupMade, single ? 6 : 4], ["main", shot.main, shot.mainAt, row.mainMade, single ? 9 : 6.5]])) {
      for (const { bay, points: run } of painted(points, material, made)) {
        const seen = inside(single && line === "backup" ? smoothed(run) : run, place);
        if (seen.length > 1) pen.stroke(seen.map((p) => pointAt(place, p)), PAINT[line][bay % 2], width);
      }
    }
    if (told) drawSlips(pen, row, shot, place);
    const half = single ? 6 : narrow ? 2.2 : 3.4;
    pairs(shot.tapes).forEach((tape, k) => {
      if (tape[0] < place.begin - 1e-3 || tape[0] > place.end + 1e-3) return;
      const [x, y] = pointAt(place, tape);
      if (row.ties[k]) drawTie(pen, [x, y]);
      else {
        pen.context.fillStyle = INK;
        pen.context.fillRect(x - half, y - 2.3 * half, 2 * half, 4.6 * half);
      }
    });
    if (!single) drawAnchors(pen, pairs(shot.main), place, narrow);
    if (shot.feet && shot.feet[0] >= place.begin && shot.feet[0] <= place.end) {
      const feet = pointAt(place, shot.feet), high = Math.max(30, 1.75 * place.scale), way = data.gone ? 0 : wayOf(row, count);
      drawWalker(pen, feet, high, false);
      if (way) drawArrow(pen, feet[0] - way * 17, feet[1] - high - 9, way * 34, CLOTH);
    }
    const taken = /** @type {[number, number][]} */ ([]);
    if (told) for (const [bay, text] of row.told[count]) drawDepth(pen, row, shot, place, bay, data.texts[text], row.gone.includes(count), single, taken);
  }
  drawName(pen, row, count, place, told, narrow, data);
}

/** Both ends of a line, with their names where there is room. @param {Pen} pen @param {[number, number][]} line @param {Place} place @param {boolean} narrow */
function drawAnchors(pen, line, place, narrow) {
  for (const [name, end, out] of /** @type {[string, [number, number], number][]} */ ([["A", line[0], -1], ["B", line[line.length - 1], 1]])) {
    if (end[0] < place.begin - 1e-3 || end[0] > place.end + 1e-3) continue;
    const [x, y] = pointAt(place, end);
    pen.disc([x, y], 6.5, QUIET);
    if (!narrow) pen.say(name, x + 18 * out, y, 16, { weight: 700, align: "center", colour: QUIET });
  }
}

/** Where the walker goes: 1 to B, -1 to A, 0 nowhere. @param {LessonRow} row @param {number} count */
function wayOf(row, count) {
  const from = row.shots[Math.max(0, count - 1)].feet, to = row.shots[count ? count : Math.min(1, row.shots.length - 1)].feet;
  return from && to ? Math.sign(to[0] - from[0]) : 0;
}

/** @param {Pen} pen @param {LessonRow} row @param {number} count @param {Place} place @param {boolean} told @param {boolean} narrow @param {any} data */
function drawName(pen, row, count, place, told, narrow, data) {
  const facts = told ? row.facts[count].map((each) => data.texts[each]) : [], x = narrow ? 14 : 20;
  let y = narrow ? place.top - place.scale * row.reach[0] - (data.bay >= 0 ? 50 : 76) : place.top - (data.window[0] > 0 ? place.scale * row.reach[0] : 0) - 4;
  const [sign, role] = row.mark, aside = sign ? MARK : 0;
  if (sign) tapeSign(pen.context, sign, [x + 9, y], 9, data.colours[role ?? "ink"], data.colours.outline, data.colours.rim);
  pen.say(row.name, x + aside, y, narrow ? 18 : 22, { weight: 700, colour: HEAD });
  if (narrow) {
    const room = pen.context.canvas.clientWidth - 2 * x, lines = [""];
    for (const fact of facts) {
      const last = lines[lines.length - 1], longer = last ? `${last}, ${fact}` : fact;
      if (last && pen.width(longer, SMALL) > room) lines.push(fact);
      else lines[lines.length - 1] = longer;
    }
    for (const line of lines) pen.say(line, x, y += 18, SMALL);
    return;
  }
  for (const fact of facts) pen.say(fact, x, y += 22, fact.length > 30 ? 17 : 18);
}

/** The loop as it was marked on slack lines, dashed. @param {Pen} pen @param {LessonRow} row @param {LessonShot} shot @param {Place} place */
function drawMarked(pen, row, shot, place) {
  const wide = shot.tapes[2] - shot.tapes[0];
  const points = Array.from({ length: 25 }, (_, k) => pointAt(place, [shot.tapes[0] + wide * k / 24, -4 * row.ghost * k / 24 * (1 - k / 24)]));
  pen.stroke(points, "#d99a5b", 2, [7, 6]);
}

/** The depth of a loop under its lowest point. @param {Pen} pen @param {LessonRow} row @param {LessonShot} shot @param {Place} place @param {number} bay @param {string} text @param {boolean} gone @param {boolean} single @param {[number, number][]} taken  from where to where others stand */
function drawDepth(pen, row, shot, place, bay, text, gone, single, taken) {
  const from = single ? -Infinity : bay > 0 ? shot.tapes[2 * bay - 2] : -Infinity, to = single ? Infinity : 2 * bay < shot.tapes.length ? shot.tapes[2 * bay] : Infinity;
  let low = /** @type {[number, number]|null} */ (null);
  for (const p of pairs(shot.drawn)) if (p[0] >= from && p[0] <= to && (!low || p[1] < low[1])) low = p;
  if (!low || low[0] < place.begin || low[0] > place.end) return;
  const [x, y] = pointAt(place, low), half = pen.width(text, 21, 700) / 2, right = pen.context.canvas.clientWidth - 6;
  const middle = Math.min(right - half, Math.max(half + 4, x));
  if (taken.some(([begin, end]) => middle + half + 6 > begin && middle - half - 6 < end)) return;
  taken.push([middle - half, middle + half]);
  pen.say(text, middle, y + 18, 21, { weight: 700, align: "center", colour: gone ? RED : INK });
}

/** Arrows of what slid: of the backup at the tape, of a tape from where it was made. @param {Pen} pen @param {LessonRow} row @param {LessonShot} shot @param {Place} place */
function drawSlips(pen, row, shot, place) {
  if (row.holds !== "main" && row.holds !== "backup") return;
  for (let k = 0; k < shot.slid.length; k++) {
    const slid = shot.slid[k], tape = [shot.tapes[2 * k], shot.tapes[2 * k + 1]];
    if (Math.abs(slid) < SEEN || tape[0] < place.begin || tape[0] > place.end) continue;
    const [x, y] = pointAt(place, tape);
    if (row.holds === "main") drawArrow(pen, x, y - 20, -slid * place.scale, PAINT.backup[0]);
    else {
      const made = pointAt(place, [valueOn(shot.mainAt, (i) => shot.main[2 * i], row.mainMade[k]), 0])[0];
      pen.context.strokeStyle = INK;
      pen.context.lineWidth = 1.3;
      pen.context.strokeRect(made - 3, y - 28, 6, 15);
      drawArrow(pen, made, y - 20, x - made, INK);
    }
  }
}

/** @param {Pen} pen @param {number} x @param {number} y @param {number} run @param {string} colour */
export function drawArrow(pen, x, y, run, colour) {
  const way = Math.sign(run), g = pen.context, tip = x + run;
  if (Math.abs(run) > 8) pen.stroke([[x, y], [tip - way * 7, y]], colour, 2.4);
  g.beginPath();
  g.moveTo(tip, y);
  g.lineTo(tip - way * 9, y - 5);
  g.lineTo(tip - way * 9, y + 5);
  g.closePath();
  g.fillStyle = colour;
  g.fill();
}

/** @param {Pen} pen @param {[number, number]} p */
function drawTie(pen, p) {
  pen.disc(p, 7, INK);
  pen.disc(p, 3.4, "#fff");
}

/** Somebody who stands, arms up, or hangs, arms down. @param {Pen} pen @param {[number, number]} feet @param {number} high @param {boolean} hung */
export function drawWalker(pen, [x, y], high, hung) {
  const spot = (/** @type {number} */ a, /** @type {number} */ b) => [x + a * high, y - b * high], hand = hung ? 0.48 : 0.98;
  for (const [from, to, width, colour] of /** @type {[number[], number[], number, string][]} */ ([
    [[-0.05, 0], [0, 0.48], 0.1, "#23303a"], [[0.07, 0], [0, 0.48], 0.1, "#23303a"], [[0, 0.48], [0, 0.78], 0.17, CLOTH],
    [[0, 0.76], [-0.26, hand], 0.07, CLOTH], [[0, 0.76], [0.26, hand], 0.07, CLOTH]])) {
    pen.stroke([spot(from[0], from[1]), spot(to[0], to[1])], colour, width * high);
  }
  const g = pen.context, [hx, hy] = spot(0, 0.93);
  g.beginPath();
  g.arc(hx, hy, 0.085 * high, 0, 2 * Math.PI);
  g.fillStyle = "#a9713f";
  g.fill();
}

/** The main is gone: the backup as low as energy lets it, over the line as it stood. @param {Pen} pen @param {LessonRow} row @param {LessonShot} shot @param {Place} place @param {boolean} told @param {boolean} narrow @param {any} data */
function drawGone(pen, row, shot, place, told, narrow, data) {
  const before = row.shots[0], feet = pointAt(place, /** @type {number[]} */ (shot.feet)), line = pairs(shot.backup);
  const ring = line.reduce((low, p) => (p[1] < low[1] ? p : low));
  pen.stroke(pairs(before.main).map((p) => pointAt(place, p)), "#b9c6d6", 2);
  pen.stroke(line.map((p) => pointAt(place, p)), PAINT.backup[0], 4);
  pen.stroke([pointAt(place, ring), [feet[0], feet[1] - 20]], "#1f7a3f", 2);
  drawWalker(pen, feet, Math.max(30, 1.75 * place.scale), true);
  drawAnchors(pen, line, place, narrow);
  pairs(before.tapes).forEach((tape, k) => { if (row.ties[k]) drawTie(pen, pointAt(place, [tape[0], valueOn(line.map((p) => p[0]), (i) => line[i][1], tape[0])])); });
  if (!told) return;
  const x = feet[0] + 34;
  pen.bracket([x, place.top], [x, feet[1]], INK, 1.4, 6);
  const text = data.texts[row.told[row.shots.indexOf(shot)][0][1]];
  pen.say(text, Math.min(x + 10, pen.context.canvas.clientWidth - pen.width(text, 21, 700) - 4), feet[1] - 12, 21, { weight: 700 });
}
