/** Two variants above one another: the row of the other one, and the difference between both. */
import { dashedChord, drawAnchor, drawDashed, drawTapes } from "./marks.js";
import { Lens } from "./lens.js";
import { Pen } from "./pen.js";
import { frameAt, pointAt, shapeAt } from "../model/shapes.js";
import { textOf } from "../model/packed.js";
import { pixelsPerMetre } from "../view/camera.js";
import { PAINTED } from "../view/ground.js";
import { bare, layered } from "../view/layered.js";
import { drawPlain } from "../view/plain.js";

/** @typedef {import("../app.js").App} App */
/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("../model/types.js").Model} Model */
/** @typedef {import("../view/camera.js").Rect} Rect */

const LENS = 148, HIGH = 190; // pixels: of a row's lens, and of the lowest row that has one

/**
 * The other of two variants in its row: the same state, seen from the same place.
 * @param {App} app
 * @param {Model} model  of the other one
 * @param {number} down
 * @param {Rect} area
 * @param {DOMRect} header
 */
export function second(app, model, down, area, header) {
  const { pen, now, camera } = app, { colours } = model;
  const state = model.states.find((one) => one.key === now.state) ?? model.states.find((one) => one.kind === "places") ?? model.states[0];
  const x = state.kind === "film" ? Math.min(now.time, state.seconds) : state.kind === "places" ? now.at : 0;
  const shape = shapeAt(state, x), { nearest } = frameAt(state, x), P = (/** @type {Point} */ p) => app.project(p);
  app.lookAt(down);
  camera.updateMatrixWorld();
  const spot = shape.feet ?? shape.ring ?? /** @type {Point} */ ([model.span / 2, 0, 0]), scale = pixelsPerMetre(camera, [spot[0], spot[1], spot[2] * app.tall], innerHeight);
  const layer = state.kind === "film" ? bare() : layered(model, now.layer, shape, state.rub);
  if (app.stage && !now.plain) {
    app.stage.lay(shape, layer, [], scale, P);
    app.stage.zoomed(scale);
    app.stage.ground.paint(PAINTED.none);
    app.stage.person.place(shape, Math.max(1, (app.small ? 24 : 36) / (scale * app.stage.person.height)), app.tall);
    app.stage.draw(camera, { top: area.y, high: area.h, more: false }, app.tall);
  } else drawPlain(pen, model, shape, layer, [], P, scale, innerHeight);
  const [A, B] = model.data.anchors.map((/** @type {any} */ one) => one.p);
  drawDashed(pen, dashedChord(A, B), P, colours.quiet, [14, 10]);
  beside(app, app.model, shape, P, area, app.both?.order.find((/** @type {string} */ name) => name !== app.both.active), down > 0);
  drawTapes(pen, shape, state.tapes ?? model.data.tapes, P, 5, model.words.tape);
  for (const [point, name] of /** @type {[Point, string][]} */ ([[A, "A"], [B, "B"]])) {
    drawAnchor(pen, point, name, textOf(state.shape.pull[`main${name}`], nearest), colours.ink, P, innerWidth, area.y, app.small);
  }
  rowLens(app, model, state, shape, area, nearest, layer.faces);
  pen.stroke([[0, header.bottom + 4 + area.h], [innerWidth, header.bottom + 4 + area.h]], colours.rule, 1.4);
}

/**
 * Beside a variant's line that of the other one, grey; in the lower row hatched between both, and measured at the walker.
 * @param {App} app
 * @param {Model} model  of the other one
 * @param {import("../model/types.js").Shape} shape
 * @param {(p: Point) => [number, number, number]} P
 * @param {Rect} area
 * @param {string} name
 * @param {boolean} lower  row
 */
export function beside(app, model, shape, P, area, name, lower) {
  const { pen, now, both } = app, { colours } = model;
  const state = model.states.find((one) => one.key === now.state) ?? model.states.find((one) => one.kind === "places") ?? model.states[0];
  const run = shapeAt(state, state.kind === "film" ? Math.min(now.time, state.seconds) : state.kind === "places" ? now.at : 0).main[0] ?? [];
  const own = shape.main[0] ?? [], head = both?.heads[name];
  if (lower && own.length && run.length) {
    const edge = [...own.map(P), ...run.map(P).reverse()], g = pen.context;
    const xs = edge.map((p) => p[0]), ys = edge.map((p) => p[1]);
    pen.hatch(() => edge.forEach((p, k) => (k ? g.lineTo(p[0], p[1]) : g.moveTo(p[0], p[1]))), colours.main, 6, [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)]);
    const a = shape.feet, b = a && pointAt(run, a[0]);
    if (a && b && both?.higher) {
      const p = P(a), q = P(b), y = Math.max(p[1], q[1]) + 18;
      pen.bracket([p[0] + 16, p[1]], [p[0] + 16, q[1]], colours.main, 1.6);
      pen.say(both.higher, p[0] + 26, y, 17, { weight: 700, colour: colours.main });
    }
  }
  pen.stroke(run.map(P), colours.quiet, 1.6);
  if (head) {
    const [large, fine] = app.small ? [15, 12.5] : [20, 15], x = area.x + (app.small ? 12 : 24);
    pen.say(head.name, x, area.y + 15, large, { weight: 700 });
    pen.say(head.text, x + pen.width(head.name, large, 700) + 12, area.y + 16, fine, { colour: colours.quiet });
  }
}

/** @type {Lens|null} drawn into a canvas of its own, and copied */
let lens = null;

/**
 * What the lens shows, in strokes, at the right of a row: both rows at one scale, so that loops are compared at a glance.
 * @param {App} app
 * @param {Model} model
 * @param {import("../model/types.js").State} state
 * @param {import("../model/types.js").Shape} shape
 * @param {Rect} area  of the row
 * @param {number} nearest  frame
 * @param {import("../view/layered.js").Drawn["faces"]} faces
 */
export function rowLens(app, model, state, shape, area, nearest, faces) {
  if (app.small || area.h < HIGH || shape.main.length !== 1) return;
  lens ??= new Lens(null, model, new Pen(/** @type {CanvasRenderingContext2D} */ (document.createElement("canvas").getContext("2d")), model.colours, model.colours.round));
  lens.model = model;
  Object.assign(lens.pen, { colours: model.colours, paper: model.colours.round });
  if (!lens.aim(shape, app.now.pointer ?? shape.feet?.[0] ?? model.span / 2, false)) return;
  const ratio = Math.min(devicePixelRatio, 2), g = app.pen.context, x = area.x + area.w - LENS - 24, y = area.y + 8;
  lens.draw(shape, LENS, ratio, null, (bay) => textOf(state.shape.depthText, nearest, bay), state.tapes ?? model.data.tapes, faces);
  g.save();
  g.beginPath();
  g.arc(x + LENS / 2, y + LENS / 2, LENS / 2, 0, 2 * Math.PI);
  g.clip();
  g.drawImage(lens.canvas, x, y, LENS, LENS);
  g.restore();
  app.pen.ring([x + LENS / 2, y + LENS / 2], LENS / 2, model.colours.ink, 1.6);
  app.pen.block(x - 4, y - 4, LENS + 8, LENS + 8);
}
