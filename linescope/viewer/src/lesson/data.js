/**
 * The states of a lesson, unpacked. Every one was solved by the program; none is made here, and nothing is mixed between two.
 *
 * @typedef {object} LessonShot
 * @property {Float32Array} main  x and z in turn, from anchor A, metres
 * @property {Float32Array} mainAt  unstretched metres from anchor A
 * @property {Float32Array} backup
 * @property {Float32Array} backupAt
 * @property {Float32Array} drawn  the backup as rows draw it: deeper below the main, as often as the page says
 * @property {Float32Array} tapes
 * @property {Float32Array} slid  along the line that slides, positive towards B
 * @property {number[]|null} feet
 *
 * @typedef {object} LessonRow
 * @property {string} name
 * @property {"both"|"main"|"backup"|""} holds
 * @property {[string, string]|[]} mark  symbol of its style, and the role of its colour
 * @property {number[]} mainMade  material where its tapes were made
 * @property {number[]} backupMade
 * @property {[number, number][][]} told  of each state: bays whose depth is told, and which text
 * @property {number[][]} facts  of each state: which texts are told of it
 * @property {number[]} gone  states in which the loop is told as gone
 * @property {boolean[]} ties  which tapes are ties
 * @property {number[]} lens  of each state: which text says how far the tape of the lens slid
 * @property {number} ghost  depth of the loop as marked, where one bay is shown; 0: none
 * @property {({even: number[], spots: number[][]}|null)[]} rub  of each state: what wears on most of each face, and places: face, x, z, J/m, text
 * @property {LessonShot[]} shots
 * @property {[number, number]} reach  highest and lowest over all states
 * @property {number} long  farthest from anchor A
 *
 * @typedef {object} Lesson
 * @property {any} data  words and settings
 * @property {LessonRow[]} rows
 */

/**
 * @param {any} data
 * @param {ArrayBuffer} buffer  whole numbers of two bytes, differences from the state before
 * @returns {Lesson}
 */
export function readLesson(data, buffer) {
  const raw = new Int16Array(buffer);
  let from = 0;
  const rows = data.rows.map((/** @type {any} */ told) => {
    const row = { ...told, shots: /** @type {LessonShot[]} */ ([]), reach: [0, 0], long: 0 };
    const before = /** @type {Map<string, Int32Array>} */ (new Map());
    for (const [mains, backups, tapes, feet] of told.sizes) {
      const take = (/** @type {string} */ key, /** @type {number} */ count, /** @type {number} */ step) => {
        const sums = new Int32Array(count), last = before.get(key + count), found = new Float32Array(count);
        for (let k = 0; k < count; k++) {
          sums[k] = raw[from + k] + (last ? last[k] : 0);
          found[k] = sums[k] * step;
        }
        before.set(key + count, sums);
        from += count;
        return found;
      };
      const shot = {
        main: take("m", 2 * mains, told.step), mainAt: take("a", mains, told.step), backup: take("b", 2 * backups, told.step),
        backupAt: take("c", backups, told.step), tapes: take("t", 2 * tapes, told.step), slid: take("s", tapes, told.step),
        feet: feet ? [...take("f", 2, told.step)] : null, drawn: /** @type {Float32Array} */ (new Float32Array()),
      };
      shot.drawn = deepened(shot, data.deep);
      row.shots.push(shot);
      for (const line of [shot.main, shot.drawn]) {
        for (let k = 0; k < line.length; k += 2) row.long = Math.max(row.long, line[k]);
      }
    }
    return row;
  });
  const longest = Math.max(...rows.map((/** @type {LessonRow} */ row) => row.long)), whole = data.window[0] === 0;
  for (const row of rows) row.reach = reachOf(row.shots, data.window[0] * longest, data.window[1] * longest, whole ? 0 : -Infinity);
  return { data, rows };
}

/**
 * The highest and the lowest of what is shown over all states, at least as high as `least`.
 * @param {LessonShot[]} shots @param {number} begin @param {number} end @param {number} least
 * @returns {[number, number]}
 */
function reachOf(shots, begin, end, least) {
  let high = least, low = least < 0 ? Infinity : 0;
  for (const shot of shots) {
    for (const line of [shot.main, shot.drawn, shot.feet ?? []]) {
      for (let k = 0; k < line.length; k += 2) {
        if (line[k] < begin || line[k] > end) continue;
        if (line !== shot.feet) high = Math.max(high, line[k + 1]);
        low = Math.min(low, line[k + 1]);
      }
    }
  }
  return [high, low];
}

/** The backup so many times as deep below the main. @param {{main: Float32Array, backup: Float32Array}} shot @param {number} times */
export function deepened({ main, backup }, times) {
  if (!(times > 1) || !main.length) return backup;
  const xs = Array.from({ length: main.length / 2 }, (_, k) => main[2 * k]);
  return backup.map((z, k) => {
    if (k % 2 === 0) return z;
    const over = valueOn(xs, (i) => main[2 * i + 1], backup[k - 1]);
    return over + times * (z - over);
  });
}

/** A value under a place of a line, straight between its points. @param {ArrayLike<number>} xs @param {(k: number) => number} of @param {number} x */
export function valueOn(xs, of, x) {
  let low = 0, high = xs.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= x) low = middle; else high = middle;
  }
  const share = Math.min(1, Math.max(0, (x - xs[low]) / (xs[high] - xs[low] || 1)));
  return of(low) + share * (of(high) - of(low));
}

/**
 * A line cut where the bays it was taped in meet.
 * @param {Float32Array} points
 * @param {Float32Array} at  material under them, rising
 * @param {number[]} made
 * @returns {{bay: number, points: [number, number][]}[]}
 */
export function painted(points, at, made) {
  const count = at.length, found = [];
  const place = (/** @type {number} */ s) => /** @type {[number, number]} */ ([valueOn(at, (k) => points[2 * k], s), valueOn(at, (k) => points[2 * k + 1], s)]);
  const cuts = [at[0], ...made.filter((edge) => edge > at[0] && edge < at[count - 1]), at[count - 1]];
  for (let c = 1, k = 0; c < cuts.length; c++) {
    const run = [place(cuts[c - 1])], middle = (cuts[c] + cuts[c - 1]) / 2;
    for (; k < count && at[k] <= cuts[c]; k++) if (at[k] > cuts[c - 1] && at[k] < cuts[c]) run.push([points[2 * k], points[2 * k + 1]]);
    run.push(place(cuts[c]));
    found.push({ bay: made.filter((edge) => edge < middle).length, points: run });
  }
  return found;
}

/** More points on a smooth line, through those there are. @template {number[]} P @param {P[]} run @returns {P[]} */
export function smoothed(run) {
  if (run.length < 3) return run;
  const found = /** @type {P[]} */ ([]);
  for (let k = 0; k + 1 < run.length; k++) {
    const a = run[Math.max(0, k - 1)], b = run[k], c = run[k + 1], d = run[Math.min(run.length - 1, k + 2)];
    for (let i = 0; i < 6; i++) {
      const t = i / 6;
      found.push(/** @type {P} */ (b.map((_, n) => 0.5 * (2 * b[n] + (c[n] - a[n]) * t + (2 * a[n] - 5 * b[n] + 4 * c[n] - d[n]) * t * t + (3 * b[n] - a[n] - 3 * c[n] + d[n]) * t * t * t))));
    }
  }
  return [...found, run[run.length - 1]];
}

/** A line cut at its tapes, each loop of it smooth. @template {number[]} P @param {P[]} line @param {[number, number][]} tapes @returns {P[][]} */
export function loopsOf(line, tapes) {
  const found = /** @type {P[][]} */ ([]);
  let from = 0;
  for (const tape of [...tapes, line[line.length - 1]]) {
    let k = from;
    while (k < line.length - 1 && line[k][0] < tape[0] - 1e-3) k++;
    if (k > from) found.push(smoothed(line.slice(from, k + 1)));
    from = k;
  }
  return found;
}
