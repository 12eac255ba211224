/** Lenses: the tape that slid most in each row, lengths along the line to one true scale, with the pen marks that were made at it. */
import { painted, smoothed } from "./data.js";
import { PAINT, drawArrow } from "./rows.js";

/** @typedef {import("../ink/pen.js").Pen} Pen */
/** @typedef {import("./data.js").LessonRow} LessonRow */

const WIDE = 1.1, TAPE = 0.025; // metres seen across; a strip's width
const INK = "#15191c";

/** A run of the backup, each loop of it smooth up to the tape. @param {[number, number][]} run @param {[number, number]} tape */
function loops(run, tape) {
  const k = run.findIndex((p) => Math.hypot(p[0] - tape[0], p[1] - tape[1]) < 0.006);
  return k > 0 && k < run.length - 1 ? [...smoothed(run.slice(0, k + 1)), ...smoothed(run.slice(k))] : smoothed(run);
}

/**
 * @param {Pen} pen
 * @param {any} data
 * @param {LessonRow[]} rows
 * @param {number} count
 * @param {number} width
 * @param {number} height
 */
export function drawLenses(pen, data, rows, count, width, height) {
  const tape = data.lens, g = pen.context, across = width < 640 ? 1 : rows.length, down = Math.ceil(rows.length / across);
  const radius = Math.min(width / across / 2 - 14, height / down / 2 - 42) - 12, scale = 2 * radius / WIDE;
  rows.forEach((row, k) => {
    const shot = row.shots[count], cx = width / across * (k % across + 0.5), cy = height / down * (Math.floor(k / across) + 0.5) + 12;
    if (!shot.tapes.length) return;
    const x0 = shot.tapes[2 * tape], z0 = shot.tapes[2 * tape + 1];
    const P = (/** @type {ArrayLike<number>} */ p) => [cx + scale * (p[0] - x0), cy - scale * (p[1] - z0)];
    pen.say(row.name, cx, cy - radius - 20, 22, { weight: 700, align: "center", colour: "#00395c" });
    g.save();
    g.beginPath();
    g.arc(cx, cy, radius, 0, 2 * Math.PI);
    g.fillStyle = "#fffefa";
    g.fill();
    g.clip();
    for (const [line, points, at, made, thick, off] of /** @type {["backup"|"main", Float32Array, Float32Array, number[], number, number][]} */ ([
      ["backup", shot.backup, shot.backupAt, row.backupMade, 14, 9], ["main", shot.main, shot.mainAt, row.mainMade, 16, -9]])) {
      const runs = painted(points, at, made);
      for (const { bay, points: run } of runs) {
        g.lineCap = "butt";
        pen.stroke((line === "main" ? run : loops(run, [x0, z0])).map((p) => { const q = P(p); return [q[0], q[1] + off]; }), PAINT[line][bay % 2], thick);
      }
      const mark = runs[tape + 1]?.points[0];
      if (mark) {
        const q = P(mark);
        pen.stroke([[q[0], q[1] + off - 11], [q[0], q[1] + off + 11]], "#fff", 4);
        pen.stroke([[q[0], q[1] + off - 11], [q[0], q[1] + off + 11]], INK, 1.6);
        const run = q[0] - cx;
        const low = line === "backup", y = cy + (low ? 0.62 : -0.4) * radius, colour = low ? PAINT.backup[0] : INK;
        if (Math.abs(run) > 9) {
          pen.stroke([[q[0], q[1] + off], [q[0], y]], colour, 1, [3, 4]);
          drawArrow(pen, low ? cx : q[0], y, low ? run : -run, colour);
          pen.say(data.texts[row.lens[count]], cx + run / 2, y + (low ? 20 : -20), 22, { weight: 700, align: "center", colour });
        }
      }
    }
    g.fillStyle = "#6d6a60e0";
    g.fillRect(cx - TAPE * scale / 2, cy - 19, TAPE * scale, 38);
    g.restore();
    g.beginPath();
    g.arc(cx, cy, radius, 0, 2 * Math.PI);
    g.lineWidth = 3;
    g.strokeStyle = "#565b5f";
    g.stroke();
  });
  pen.say(data.lensKey, width / 2, height - 8, 16, { align: "center", colour: "#5f5c53" });
}
