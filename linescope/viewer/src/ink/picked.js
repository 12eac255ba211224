/** The figures of the loop or tape that was clicked, beside it. */
import { textOf } from "../model/packed.js";

/** @typedef {import("../model/types.js").Point} Point */

const LINE = 21, HEAD = 26;

/**
 * @param {import("../app.js").App} app
 * @param {number} nearest  frame
 * @returns {{head: string, rows: string[], spot: Point|null}}
 */
export function picked(app, nearest) {
  const { model, state, shape } = app, which = app.now.picked, { words } = model;
  if (!which || !shape || which.kind === "anchor") return { head: "", rows: [], spot: null };
  if (which.kind === "tape") {
    const tape = (state.tapes ?? model.data.tapes)[which.index];
    return {
      head: tape?.label ?? `${words.tape} ${which.index + 1}`,
      rows: tape ? [tape.facts, ...rubbed(model, tape.number)].filter(Boolean) : [],
      spot: shape.tapes[which.index],
    };
  }
  const told = /** @type {[string, import("../model/types.js").Told|null][]} */ ([
    [model.data.layers?.depth?.name ?? words.loop, state.shape.depthText], [words.main, state.shape.tensionText.main], [words.backup, state.shape.tensionText.backup],
  ]);
  const per = (shape.backup.length - 1) / shape.bays;
  return {
    head: `${words.loop} ${which.index + 1}`,
    rows: [
      ...told.map(([name, texts]) => [name, textOf(texts, nearest, which.index)]).filter(([, text]) => text).map(([name, text]) => `${name}: ${text}`),
      ...touching(app, which.index),
    ],
    spot: shape.backup[Math.round((which.index + 0.5) * per)],
  };
}

/**
 * @param {import("./pen.js").Pen} pen
 * @param {import("../app.js").App} app
 * @param {import("../model/types.js").Shape} shape
 * @param {number} nearest
 * @param {(p: Point) => [number, number, number]} P
 * @param {import("../view/camera.js").Rect} area
 */
export function drawPicked(pen, app, shape, nearest, P, area) {
  const { head, rows, spot } = picked(app, nearest);
  if (!spot) return;
  const p = P(spot), wide = Math.max(pen.width(head, 18, 700), ...rows.map((row) => pen.width(row, 15))) + 20, high = HEAD + rows.length * LINE + 10;
  if (p[2] > 1) return;
  const x = Math.min(Math.max(p[0] + 20, area.x + 8), area.x + area.w - wide - 8), y = Math.min(p[1] + 26, area.y + area.h - high - 8);
  const g = pen.context;
  g.fillStyle = pen.colours.halo;
  g.strokeStyle = pen.colours.rule;
  g.lineWidth = 1.4;
  g.beginPath();
  g.roundRect(x, y, wide, high, 8);
  g.fill();
  g.stroke();
  pen.stroke([[p[0], p[1]], [Math.max(x, Math.min(p[0], x + wide)), y]], pen.colours.ink, 1.4);
  pen.disc(p, 4, pen.colours.ink);
  pen.say(head, x + 10, y + 18, 18, { weight: 700, bare: true });
  rows.forEach((row, k) => pen.say(row, x + 10, y + HEAD + 12 + k * LINE, 15, { bare: true }));
  pen.block(x, y, wide, high);
}

/** What the day rubs off a tape, in the layer of rub. @param {import("../model/types.js").Model} model @param {number} number @returns {string[]} */
function rubbed(model, number) {
  const layer = model.data.layers?.rub, found = layer?.tapes?.find((/** @type {any} */ one) => one.number === number);
  return found ? [`${layer.name}: ${found.text}`] : [];
}

/** How the lines lie on each other in a bay, in the layer of touch. @param {import("../app.js").App} app @param {number} bay @returns {string[]} */
function touching(app, bay) {
  if (app.now.layer !== "touch") return [];
  return (app.model.data.layers?.touch?.stretches ?? []).filter((/** @type {any} */ one) => one.bay === bay).map((/** @type {any} */ one) => one.text).slice(0, 3);
}
