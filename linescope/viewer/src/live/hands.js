/** Hands on the line: what is picked is dragged, two points are measured, the ground is cut. */
import { onGround, onLine } from "../gestures.js";
import { clamp } from "../model/numbers.js";
import { find, latest } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */
/** @typedef {import("../app.js").App} App */
/** @typedef {import("../model/types.js").Point} Point */

const GRASP = { mouse: 22, touch: 34 }; // pixels
const NEAR_LINE = 24;

export class Hands {
  /** @param {Live} live @param {App} app */
  constructor(live, app) {
    this.live = live;
    this.app = app;
    /** @type {{kind: string, index: number, from: [number, number], start: number, done: number, gesture: string}|null} */
    this.held = null;
    this.measuring = false;
    /** @type {""|"across"|"along"} how the ground is cut */
    this.cutting = "";
    this.cutFrom = "";
    this.text = /** @type {string[]} */ ([]);
    this.move = latest((index, at, gesture) => live.act("move_tape", index, at, gesture));
    this.deepen = latest((index, depth, gesture) => live.act("deepen", index, depth, gesture));
    this.lift = latest(async (held, wanted) => {
      const by = wanted - held.done;
      held.done = wanted;
      await live.act("lift", "AB"[held.index], by, held.gesture);
    });
    const { canvas } = app;
    canvas.addEventListener("pointerdown", (event) => this.down(event), true);
    canvas.addEventListener("pointermove", (event) => this.moved(event), true);
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => this.up(), true);
    find("#measure").addEventListener("click", () => this.measure(!this.measuring));
    find("#cut").addEventListener("click", () => this.cut());
    addEventListener("keydown", (event) => {
      const on = /** @type {HTMLElement} */ (event.target);
      if (event.ctrlKey || event.metaKey || event.altKey || on.matches("textarea, select, input:not([type=radio])")) return;
      if (event.key === "m") this.measure(!this.measuring);
      else if (event.key === "x") this.cut();
      else if (event.key === "Enter" && this.measuring && on === document.body) this.mark(this.here());
    });
  }

  /** @param {PointerEvent} event */
  down(event) {
    const { app, live } = this, { picked } = app.now, spot = live.card.spot();
    if (!picked || !spot || this.measuring) return;
    const p = app.project(spot);
    if (Math.hypot(p[0] - event.clientX, p[1] - event.clientY) > (event.pointerType === "touch" ? GRASP.touch : GRASP.mouse)) return;
    this.held = { kind: picked.kind, index: picked.index, from: [event.clientX, event.clientY], start: app.shape?.depths?.[picked.index] || 0, done: 0, gesture: `h${Date.now()}` };
    app.control.enabled = false;
    app.canvas.setPointerCapture(event.pointerId);
    event.stopImmediatePropagation();
  }

  /** @param {PointerEvent} event */
  moved(event) {
    const { held, app } = this;
    if (!held) return;
    event.stopImmediatePropagation();
    const down = (event.clientY - held.from[1]) / ((app.scale || 1) * app.tall);
    if (Math.hypot(event.clientX - held.from[0], event.clientY - held.from[1]) < 4) return;
    if (held.kind === "tape") {
      const [point] = onLine(app, event);
      if (point) this.move(held.index, point[0], held.gesture);
    } else if (held.kind === "loop") this.deepen(held.index, Math.max(0, held.start + down), held.gesture);
    else this.lift(held, -down);
  }

  up() {
    if (this.held) this.app.control.enabled = true;
    this.held = null;
  }

  // ---- measuring

  /** @param {boolean} on */
  measure(on) {
    this.measuring = on;
    this.app.marked = [];
    this.text = [];
    find("#measure").setAttribute("aria-pressed", String(on));
    document.body.classList.toggle("measuring", on);
    this.live.say(on ? this.live.t("measure-how") : "");
    this.app.refresh();
  }

  /** @param {PointerEvent} event @returns {boolean} */
  tapped(event) {
    if (!this.measuring) return false;
    const { app } = this, [line, off] = onLine(app, event), run = app.shape?.backup ?? [];
    let best = line && off < NEAR_LINE ? line : null, near = best ? off : NEAR_LINE;
    for (const point of run) {
      const p = app.project(point), d = Math.hypot(p[0] - event.clientX, p[1] - event.clientY);
      if (d < near) [best, near] = [point, d];
    }
    const ground = best ? null : app.stage && onGround(app, event);
    const found = best ?? (ground ? /** @type {Point} */ ([ground.x, ground.y, ground.z]) : null);
    if (found) this.mark(found);
    return true;
  }

  /** What the keyboard can point at: the walker's feet, or what is picked. @returns {Point|null} */
  here() { return this.live.card.spot() ?? this.app.shape?.feet ?? null; }

  /** @param {Point|null} point */
  async mark(point) {
    const { app, live } = this;
    if (!point) return;
    app.marked = app.marked.length === 1 ? [app.marked[0], point] : [point];
    this.text = [];
    app.refresh();
    if (app.marked.length < 2) return;
    const result = await live.act("measured", ...app.marked);
    this.text = result.said ?? [];
    if (result.said) live.say(result.said.join(", "));
    app.refresh();
  }

  // ---- the ground cut

  /** Not at all, across at the walker, along under the line; and so on. */
  cut() {
    if (!this.app.stage) return;
    const ways = /** @type {const} */ (["", "across", "along"]);
    this.cutting = ways[(ways.indexOf(this.cutting) + 1) % ways.length];
    find("#cut").setAttribute("aria-pressed", String(this.cutting !== ""));
    this.live.say(this.cutting ? this.live.t(`cut-${this.cutting}`) : "");
    this.app.refresh();
  }

  /** @param {(p: Point) => [number, number, number]} P */
  draw(P) {
    const { app, live } = this, { pen } = app, spot = live.card.spot();
    const at = this.cutting ? app.shape?.feet?.[0] ?? app.now.at : null, key = `${this.cutting} ${at}`;
    if (app.stage && (key !== this.cutFrom || app.stage.ground !== this.cutGround)) {
      this.cutFrom = key;
      this.cutGround = app.stage.ground;
      app.stage.ground.cutAt(at, this.cutting === "along");
      app.refresh();
    }
    if (spot) {
      const p = P(spot), g = pen.context;
      g.beginPath();
      g.arc(p[0], p[1], 14, 0, 2 * Math.PI);
      g.lineWidth = 2.5;
      g.strokeStyle = pen.colours.sky ?? pen.colours.ink;
      g.stroke();
    }
    const marks = app.marked.map(P);
    for (const p of marks) pen.disc(p, 5, pen.colours.ink);
    if (marks.length === 2) {
      pen.stroke(marks, pen.colours.ink, 2, [7, 4]);
      const x = clamp((marks[0][0] + marks[1][0]) / 2 + 12, 8, innerWidth - 220), y = (marks[0][1] + marks[1][1]) / 2;
      this.text.forEach((text, k) => pen.say(text, x, y + k * 20, k ? 15 : 20, { weight: 700 }));
    }
  }
}
