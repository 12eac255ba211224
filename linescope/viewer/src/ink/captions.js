/** What is said in the picture itself: what is measured at the walker, labels and dimensions of a state, where a film ends. */
import { drawLabel } from "./marks.js";
import { aged } from "./worst.js";
import { curveText } from "../foot/strip.js";
import { heightAt, pointAt } from "../model/shapes.js";

/** @typedef {import("../app.js").App} App */
/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("../model/types.js").State} State */
/** @typedef {import("../view/camera.js").Rect} Rect */

/** Height above the ground at the walker, dashed down to it. @param {App} app @param {import("../model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {Rect} area @param {boolean} isFilm */
export function measured(app, shape, P, area, isFilm) {
  const { pen, model, small } = app, feet = shape.feet;
  if (!feet || isFilm || app.other) return;
  const sag = curveText(model, "sag", feet[0]), chord = pointAt([[0, 0, 0], [model.span, 0, -model.drop]], feet[0]);
  if (chord && sag && !small && app.now.view === "whole") {
    const q = P(feet), c = P(/** @type {Point} */ ([chord[0], feet[1], chord[2]])), wide = pen.width(sag, 17, 700);
    if (q[1] - c[1] > 20) {
      pen.bracket([q[0] - 26, c[1]], [q[0] - 26, q[1]], pen.colours.quiet, 1.2);
      pen.say(sag, q[0] - 34, (c[1] + q[1]) / 2, 17, { weight: 700, align: "right" });
      pen.block(q[0] - 36 - wide, (c[1] + q[1]) / 2 - 11, wide + 12, 22);
    }
  }
  const low = heightAt(model.profile, feet[0]), text = curveText(model, "height", feet[0]);
  if (low === null || !text) return;
  const a = P(feet), b = P([feet[0], feet[1], low]);
  pen.stroke([a, b], pen.colours.plumb, 1.5, [6, 5]);
  pen.disc(b, 4, pen.colours.plumb);
  if (Math.abs(b[1] - a[1]) > 46) {
    const low = Math.min(b[1], area.y + area.h - 10), wide = pen.width(text, small ? 17 : 21, 700);
    for (const share of [0.55, 0.4, 0.7, 0.3]) {
      const x = a[0] + (b[0] - a[0]) * share + 9, y = a[1] + (low - a[1]) * share;
      if (!pen.free(x, y - 12, wide, 24)) continue;
      pen.say(text, x, y, small ? 17 : 21, { weight: 700 });
      pen.block(x - 6, y - 14, wide + 12, 28);
      break;
    }
  }
  const head = P([feet[0], feet[1], feet[2] + 2]);
  pen.block(a[0] - 20, Math.min(head[1], a[1] - 36), 40, a[1] - Math.min(head[1], a[1] - 36));
}

/** Labels and dimensions of the state, and where a film ends. @param {App} app @param {State} state @param {number} frame @param {import("../model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {Rect} area @param {boolean} close */
export function inWords(app, state, frame, shape, P, area, close) {
  const { pen, model, now, small } = app, fits = (/** @type {any} */ one) => !one.layer || one.layer === now.layer;
  for (const one of (state.dimensions ?? []).filter(fits)) {
    const a = P(one.a), b = P(one.b);
    if (Math.hypot(a[0] - b[0], a[1] - b[1]) < 18) continue;
    const wide = pen.width(one.text, 17, 700), y = (a[1] + b[1]) / 2, x = Math.min(a[0], b[0]) - 10 - wide;
    pen.bracket(a, b, pen.colours.quiet, 1.2);
    if (!pen.free(x, y - 10, wide, 20)) continue;
    pen.say(one.text, x, y, 17, { weight: 700 });
    pen.block(x, y - 11, wide, 22);
  }
  let said = 0;
  for (const one of [...(state.labels ?? []), ...(state.bound?.bodies ?? []).map((/** @type {any} */ body) => ({ text: body.text, p: body.foot, role: "alarm", rank: 1 }))].filter(fits)) {
    const p = P(one.p);
    if (p[2] > 1 || said >= (small ? 1 : 4)) continue;
    const text = aged(one.text, state.old, model.words), colour = state.old ? pen.colours.quiet : pen.colours[one.role] ?? pen.colours.ink;
    if (drawLabel(pen, p, "", text, colour, area)) said++;
  }
  for (const one of small ? [] : model.data.labels.filter((/** @type {any} */ each) => each.kind === "area")) {
    const p = P(one.p);
    if (p[2] <= 1) drawLabel(pen, p, "", one.text, pen.colours[one.role] ?? pen.colours.ink, area);
  }
  const lands = state.trace?.lands;
  if (lands && now.time >= lands.x - 0.01) pen.burst(P(lands.p), pen.colours.alarm);
}
