/** Rub on the faces of a row: it glows on the side of the line that wears. Figures and places are those of the program. */
import { loopsOf } from "./data.js";
import { inside, pairs, pointAt } from "./rows.js";

/** @typedef {import("../ink/pen.js").Pen} Pen */
/** @typedef {import("./data.js").LessonRow} LessonRow */
/** @typedef {import("./rows.js").Place} Place */

const APART = 11, LEAST = 3, MOST = 34, FAINT = 0.03; // pixels; the last a share of the most on the page
const GLOW = ["#ffe9b800", "#f7b64acc", "#e2631be6", "#a81c14"], MAIN = "#00395c", BACKUP = "#d08a4e", INK = "#15191c", RED = "#a32100";
const UP = [true, false, true, false], ON_MAIN = [true, true, false, false]; // main top, main underside, backup top, backup underside

/**
 * @param {Pen} pen
 * @param {any} data
 * @param {LessonRow} row
 * @param {number} count
 * @param {Place} place
 * @param {boolean} told
 * @param {boolean} narrow
 */
export function drawRub(pen, data, row, count, place, told, narrow) {
  const shot = row.shots[count], rub = row.rub[count], most = data.rubMost, g = pen.context;
  if (!rub) return;
  const main = inside(pairs(shot.main), place).map((p) => pointAt(place, p));
  const backup = loopsOf(pairs(shot.backup), pairs(shot.tapes)).flatMap((run) => inside(run, place)).map((p) => pointAt(place, p)).map(([x, y]) => [x, y + APART]);
  const seen = rub.spots.filter(([, x, , peak]) => peak >= FAINT * most && x >= place.begin - 1e-3 && x <= place.end + 1e-3);
  const on = (/** @type {number[]} */ [face, x, z]) => {
    const p = pointAt(place, [x, z]);
    return [p[0], p[1] + (UP[face] ? -4 : 4) + (ON_MAIN[face] ? 0 : APART)];
  };
  if (told) {
    const even = rub.even[0] / most;
    if (even > FAINT) pen.stroke(main.map(([x, y]) => [x, y - 6.5]), even < 0.2 ? "#ffe3a6" : "#f7b64a", 6);
    for (const spot of seen) {
      const [x, y] = on(spot), size = LEAST + (MOST - LEAST) * Math.sqrt(spot[3] / most), shade = g.createRadialGradient(x, y, 0, x, y, size);
      GLOW.forEach((colour, k) => shade.addColorStop(1 - k / (GLOW.length - 1), colour));
      g.fillStyle = shade;
      g.beginPath();
      g.arc(x, y, size, 0, 2 * Math.PI);
      g.fill();
    }
  }
  pen.stroke(backup, BACKUP, 6);
  pen.stroke(main, MAIN, 8);
  for (const tape of pairs(shot.tapes)) {
    if (tape[0] < place.begin - 1e-3 || tape[0] > place.end + 1e-3) continue;
    const [x, y] = pointAt(place, tape);
    g.fillStyle = INK;
    g.fillRect(x - 3.5, y - 7, 7, APART + 13);
  }
  const least = 0.98 * (seen[seen.length - 1]?.[3] ?? 0), middle = (place.begin + place.end) / 2; // Alike ones are told where there is room.
  const [last] = seen.filter((spot) => spot[3] >= least).sort((a, b) => Math.abs(a[1] - middle) - Math.abs(b[1] - middle));
  if (told && last) {
    const [x, y] = on(last);
    const half = pen.width(data.texts[last[4]], 21, 700) / 2;
    pen.say(data.texts[last[4]], Math.min(x, pen.context.canvas.clientWidth - half - 6), y + (last[0] !== 0 ? 34 : narrow ? 34 + APART : -30), 21, { weight: 700, align: "center", colour: RED });
  }
}
