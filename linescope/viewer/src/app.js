/**
 * The page: what is shown now, and how a change becomes a picture. Everything that can be shown is in the model; what is chosen is
 * in `now`, which nothing but `set` changes.
 */
import * as THREE from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { clamp } from "./model/numbers.js";
import { frameAt, heightAt, pointAt, shapeAt } from "./model/shapes.js";
import { pointsAt, textOf } from "./model/packed.js";
import { Pen } from "./ink/pen.js";
import { Lens, tie } from "./ink/lens.js";
import { drawAnchor, drawDashed, drawLabel, drawTapes } from "./ink/marks.js";
import { Discs, drawBody, drawChosen, spread } from "./ink/worst.js";
import { drawPicked, picked } from "./ink/picked.js";
import { curveText, drawCurve, drawTrace } from "./foot/strip.js";
import { makeTabs, showTab } from "./foot/tabs.js";
import { LAYERS, makeLayers, showLegend } from "./foot/layers.js";
import { Flight, fit, makeCamera, pixelsPerMetre } from "./view/camera.js";
import { layered, rgb, sunk } from "./view/layered.js";
import { PAINTED } from "./view/ground.js";
import { drawPlain } from "./view/plain.js";
import { Stage } from "./view/stage.js";
import { piecesOf } from "./view/meshes.js";

/** @typedef {import("./model/types.js").Point} Point */
/** @typedef {import("./model/types.js").Model} Model */
/** @typedef {import("./model/types.js").State} State */
/** @typedef {import("./view/camera.js").Rect} Rect */

const NEAR = 30; // pixels a metre from which the picture itself is as near as the lens
const SPEEDS = [0.5, 1, 0.25], FAST = [4, 8, 1], LONG = 15; // a film longer than that many seconds runs faster
const DEEPEST = 0.34; // of what hangs below the line that the whole picture shows, over the span
const LONG_VERDICT = 75; // letters
const SPEED_NAMES = /** @type {Record<number, string>} */ ({ 0.25: "quarter", 0.5: "half", 1: "real", 4: "four", 8: "eight" });
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

export class App {
  /** @param {Model} model */
  constructor(model) {
    this.model = model;
    const first = model.states.find((each) => each.key === model.data.first) ?? model.states[0];
    this.now = {
      state: first.key, at: first.kind === "places" ? middle(first) : model.span / 2, time: 0, playing: false, speed: 0,
      layer: LAYERS.find((layer) => model.data.layers?.[layer]) ?? "left",
      drawer: "", hint: true, plain: false, pointer: /** @type {number|null} */ (null), chosen: /** @type {any} */ (null),
      view: "whole", picked: /** @type {{kind: "loop"|"tape", index: number}|null} */ (null),
    };
    this.pen = new Pen(context("#ink"), model.colours, "rgba(250,248,243,.94)");
    this.stripPen = new Pen(context("#strip canvas"), model.colours, "#f6f4ee");
    this.lens = new Lens($("#lens"), model, new Pen(context("#lens canvas"), model.colours, "#fbfaf6"));
    this.discs = new Discs($("#pins"), (place) => this.look(place), model.words.worst);
    this.reach = { left: 0, right: 1 };
    this.camera = makeCamera(24);
    this.canvas = /** @type {HTMLCanvasElement} */ ($("#gl"));
    this.control = new OrbitControls(this.camera, this.canvas);
    Object.assign(this.control, {
      enableDamping: false, zoomToCursor: true, minAzimuthAngle: -1.35, maxAzimuthAngle: 1.35, maxPolarAngle: 1.56,
      minDistance: 2, maxDistance: 6 * model.span, screenSpacePanning: true,
    });
    this.control.mouseButtons = { LEFT: THREE.MOUSE.ROTATE, MIDDLE: THREE.MOUSE.DOLLY, RIGHT: THREE.MOUSE.PAN };
    this.control.addEventListener("change", () => this.refresh());
    this.control.addEventListener("start", () => { this.flight.stop(); this.moved(); });
    this.flight = new Flight(this.camera, this.control, () => this.refresh());
    this.stage = this.makeStage();
    this.edge = this.outline();
    makeTabs(model, $("#states"), (key) => this.choose(key));
    makeLayers(model, $("#layers"), (layer) => this.set({ layer }));
    this.asked = false;
    new ResizeObserver(() => this.resized()).observe(document.documentElement);
    this.resized();
  }

  /** The 3-D stage; null where there is no WebGL, and the plain mode it is. @returns {Stage|null} */
  makeStage() {
    try {
      const stage = new Stage(this.model, this.canvas);
      stage.ground.changed = () => this.refresh();
      return stage;
    } catch {
      this.now.plain = true;
      return null;
    }
  }

  get state() { return /** @type {State} */ (this.model.states.find((each) => each.key === this.now.state)); }
  /** Place or moment within the state. */
  get x() { return this.state.kind === "film" ? this.now.time : this.state.kind === "places" ? this.now.at : 0; }
  get small() { return innerWidth < 640; }
  get wide() { return innerWidth >= 1100; }
  /** When a film ends, which is where what it was computed with no longer holds. */
  get end() { return this.state.seconds || this.state.x[this.state.count - 1] || 0; }

  /** Change what is shown. @param {Partial<App["now"]>} change */
  set(change) {
    const before = { ...this.now };
    Object.assign(this.now, change);
    if (before.drawer !== this.now.drawer) this.drawers();
    if (before.state !== this.now.state) this.control.maxPolarAngle = 1.56;
    if (before.drawer !== this.now.drawer && this.now.view !== "own") this.fly(this.now.view, false);
    if (this.now.playing && !before.playing) this.play();
    this.refresh();
  }

  /** Go to a state; a film plays at once, unless the reader asked for no motion. @param {string} key */
  choose(key) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.set({ state: key, time: 0, playing: false, chosen: null, picked: null, pointer: null, speed: 0 });
    if (this.state.kind === "film") this.set({ playing: !still });
    if (this.now.view === "walker") this.fly("walker", false);
  }

  /** Look at a worst place: the walker where it happens, the camera near, body and gap drawn. @param {any} place */
  look(place) {
    const wanted = this.model.states.find((each) => each.key === place.state && each.kind !== "film");
    const state = wanted ?? this.model.states.find((each) => each.kind === "places") ?? this.state;
    this.set({
      state: state.key, at: place.at ?? place.station ?? this.now.at, playing: false, chosen: place, layer: "left", pointer: null,
      drawer: this.small ? "" : this.now.drawer,
    });
    this.fly("place", false);
  }

  play() {
    let last = performance.now();
    const step = (/** @type {number} */ stamp) => {
      if (!this.now.playing || this.state.kind !== "film") return;
      const passed = clamp((stamp - last) / 1000, 0, 1); // the first stamp can lie before now
      last = stamp;
      this.now.time = Math.min(this.end, this.now.time + passed * this.speed);
      if (this.now.time >= this.end) this.now.playing = false;
      if (this.now.view === "walker" && this.now.playing) this.follow();
      this.refresh();
      if (this.now.playing) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  get speeds() { return this.state.seconds > LONG ? FAST : SPEEDS; }
  get speed() { return this.speeds[this.now.speed % 3]; }

  /** The walker or the film's knob to a value. @param {number} value */
  scrub(value) {
    if (this.state.kind === "film") this.set({ time: clamp(value, 0, this.end), playing: false, hint: false });
    else if (this.state.kind === "places") {
      const x = this.state.x;
      this.set({ at: clamp(value, x[0], x[x.length - 1]), hint: false, chosen: null });
    } else {
      const places = this.model.states.find((each) => each.kind === "places");
      if (places) this.set({ state: places.key, at: clamp(value, places.x[0], places.x[places.count - 1]), hint: false, chosen: null });
    }
    if (this.now.view === "walker") this.fly("walker", true);
  }

  // ---- where it is seen from

  /** Points that the whole picture must hold besides the line. @returns {Point[]} */
  outline() {
    const { model } = this, margin = 0.02 * model.span;
    const inside = (/** @type {Point} */ p) => p[0] > -margin && p[0] < model.span + margin;
    const found = /** @type {Point[]} */ ([]);
    for (const { geometry } of piecesOf(model.gltf, "ground edge")) {
      const places = geometry.attributes.position;
      for (let k = 0; k < places.count; k++) found.push([places.getX(k), places.getY(k), places.getZ(k)]);
    }
    const ground = found.length ? found : model.profile.map(([x, z]) => /** @type {Point} */ ([x, 0, z]));
    return ground.filter(inside);
  }

  /** How deep the whole picture reaches: to all bodies, and no farther down a deep valley, so that the line stays long. The share is of the span. */
  floor(/** @type {number} */ share) {
    const { model } = this, lows = model.states.flatMap((state) => (state.bound?.bodies ?? []).map((/** @type {any} */ one) => one.foot[2]));
    const line = Math.min(0, -model.drop), deepest = Math.min(line, ...lows);
    return Math.min(line - share * model.span, Math.max(deepest - 1, line - DEEPEST * model.span));
  }

  /** What header, foot and drawers leave of the page. @returns {Rect} */
  area() {
    const header = $("header").getBoundingClientRect(), foot = $("#foot").getBoundingClientRect();
    const drawer = this.small || !this.now.drawer ? 0 : 372, left = this.now.drawer === "rig" ? drawer : 0;
    return { x: left, y: header.bottom + 4, w: innerWidth - drawer, h: Math.max(120, foot.top - header.bottom - 8) };
  }

  /** @param {string} view  "whole", "walker" or "place" @returns {import("./view/camera.js").Look} */
  looked(view) {
    const area = this.area(), { model, small } = this, shape = shapeAt(this.state, this.x);
    const page = /** @type {const} */ ([innerWidth, innerHeight]);
    if (view === "place" && this.now.chosen) {
      const { point, nearest, body } = this.now.chosen, spots = [point, nearest, ...(body ? [body.top, body.foot] : [])];
      const middle = spots.reduce((s, p) => [s[0] + p[0] / spots.length, s[1] + p[1] / spots.length, s[2] + p[2] / spots.length], [0, 0, 0]);
      const reach = Math.max(small ? 3.2 : 4.5, ...spots.map((p) => Math.hypot(p[0] - middle[0], p[1] - middle[1], p[2] - middle[2]) * 1.35));
      const box = /** @type {Point[]} */ ([[-1.2, 0, 0], [1.2, 0, 0], [0, 0, -1], [0, 0, 1]].map(([a, , b]) => [middle[0] + a * reach, middle[1], middle[2] + b * reach]));
      return fit(box, small ? -0.45 : -0.42, 0.16, area, ...page, 30, model.span);
    }
    if (view === "walker") {
      const [x, , z] = shape.ring ?? shape.feet ?? shape.tie ?? pointAt(shape.main[0] ?? shape.backup, this.now.at) ?? [model.span / 2, 0, 0];
      const k = small ? 0.52 : 1, box = /** @type {Point[]} */ ([[x - 9 * k, 0, z + 3], [x + 9 * k, 0, z + 3], [x - 7 * k, 0, z - 5.6 * k], [x + 7 * k, 0, z - 5.6 * k]]);
      return fit(box, small ? -0.5 : -0.42, 0.17, area, ...page, 30, model.span);
    }
    const rest = shapeAt(model.states.find((each) => each.kind === "places") ?? model.states[0], model.span / 2);
    const line = [...(rest.main[0] ?? rest.backup), ...rest.backup.filter((_, k) => k % 6 === 0)];
    if (small) {
      const low = this.floor(0.4), inside = this.edge.filter(([x]) => x > 0.03 * model.span && x < model.span);
      const floor = inside.map(([x, , z]) => /** @type {Point} */ ([x, 0, Math.max(z, low)]));
      return fit([...line, [-0.02 * model.span, 0, 1.5], ...floor], -1.06, 0.36, { x: 16, y: area.y + 84, w: area.w - 34, h: area.h - 94 }, ...page, 46, model.span);
    }
    const head = this.wide ? 96 : 118, low = this.floor(0.9 * (area.h - head) / area.w);
    const edge = this.edge.map((p) => /** @type {Point} */ ([p[0], p[1], Math.max(p[2], low)]));
    return fit([...line, ...edge], -0.16, 0.2, { x: area.x + 18, y: area.y + head, w: area.w - 36, h: area.h - head - 14 }, ...page, 24, model.span);
  }

  /** @param {string} view @param {boolean} at_once */
  fly(view, at_once) {
    this.words(frameAt(this.state, this.x).nearest); // how high the header is decides what is left for the picture
    this.now.view = view;
    document.body.classList.toggle("away", view !== "whole");
    this.flight.go(this.looked(view), at_once, () => this.control.update());
  }

  /** Keep the person of a film in the picture. */
  follow() { this.flight.go(this.looked("walker"), true); }

  /** Somebody turned the picture by hand. */
  moved() {
    this.now.view = "own";
    document.body.classList.add("away");
  }

  /** Stand somewhere and look. @param {Point} eye @param {Point} target */
  stand(eye, target) {
    this.moved();
    this.control.maxPolarAngle = 3;
    this.flight.go({ eye: new THREE.Vector3(...eye), target: new THREE.Vector3(...target), field: 55 }, false, () => this.control.update());
  }

  resized() {
    this.stage?.size(innerWidth, innerHeight);
    this.camera.aspect = innerWidth / innerHeight;
    this.camera.updateProjectionMatrix();
    if (this.now.view === "own") this.refresh(); else this.fly(this.now.view, true);
  }

  // ---- painting

  refresh() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.paint(); });
  }

  /** A point of the scene on the page. @param {Point} point @returns {[number, number, number]} */
  project(point) {
    spare.set(...point).project(this.camera);
    return [(spare.x + 1) / 2 * innerWidth, (1 - spare.y) / 2 * innerHeight, spare.z];
  }

  /** Lines besides the two: how low feet come, and where the line was before. @returns {[Point[], import("./view/lines.js").Rgb][]} */
  extras() {
    const { state, model } = this, found = /** @type {[Point[], import("./view/lines.js").Rgb][]} */ ([]);
    if (state.bound?.feet) found.push([state.bound.feet, rgb(model.colours.alarm)]);
    return found;
  }

  paint() {
    const begun = performance.now();
    const { model, now, state, pen, camera } = this, { colours } = model, small = this.small;
    const shape = this.shape = shapeAt(state, this.x), { frame, nearest } = frameAt(state, this.x);
    const W = innerWidth, H = innerHeight, ratio = this.stage?.renderer.getPixelRatio() ?? Math.min(devicePixelRatio, 2);
    const P = (/** @type {Point} */ p) => this.project(p);
    camera.updateMatrixWorld();
    const spot = shape.ring ?? shape.feet ?? pointAt(shape.main[0] ?? shape.backup, model.span / 2) ?? [model.span / 2, 0, 0];
    const scale = this.scale = pixelsPerMetre(camera, /** @type {Point} */ (spot), H), isFilm = state.kind === "film";
    const layer = isFilm && state.shape.topology === "own" ? { fence: [], bars: [], hot: sunk(model, shape) } : layered(model, now.layer, shape, state.rub), extras = this.extras();
    pen.clear(W, H, ratio);
    this.words(nearest); // before anything is put under the header, whose height they make
    const header = $("header").getBoundingClientRect(), area = this.area(), close = scale > NEAR;
    document.documentElement.style.setProperty("--head", `${Math.round(header.bottom)}px`);

    // the lens hangs in the sky beside the verdict, tied to its place, never over the line
    const at = now.pointer ?? (shape.fallen > 0.15 ? shape.ring?.[0] : shape.feet?.[0]) ?? model.span / 2, inLens = this.lens.aim(shape, at, small);
    const lens = this.lensPlace(shape, inLens ?? /** @type {Point} */ (spot), header, area);
    const shown = !close && now.view !== "place";
    this.lens.box.hidden = !shown;
    if (this.stage && !now.plain) {
      this.stage.lay(shape, layer, extras);
      this.stage.zoomed(scale);
      this.stage.bars.width = now.layer === "touch" || now.layer === "rub" ? this.stage.main.width + 3 : 5; // along the line, or off it
      this.stage.ground.paint(now.layer !== "left" ? PAINTED.none : PAINTED_BY[state.key] ?? PAINTED.fall);
      if (shown) {
        this.stage.person.place(shape, 1);
        this.stage.lens(this.lens.camera, lens.size);
        this.lens.draw(shape, lens.size, ratio, this.canvas, (bay) => textOf(state.shape.depthText, nearest, bay));
      }
      this.stage.person.place(shape, Math.max(1, (small ? 30 : 36) / (scale * this.stage.person.height)));
      this.stage.draw(camera);
    } else {
      if (shown) this.lens.draw(shape, lens.size, ratio, null, (bay) => textOf(state.shape.depthText, nearest, bay));
      drawPlain(pen, model, shape, layer, extras, P, scale, H);
    }
    this.canvas.hidden = now.plain;
    pen.block(0, 0, header.right, header.bottom);
    const views = $("#views").getBoundingClientRect();
    pen.block(views.x, views.y, views.width, views.height);
    if (shown) {
      this.lens.box.style.width = this.lens.box.style.height = `${lens.size}px`;
      this.lens.canvas.style.width = this.lens.canvas.style.height = `${lens.size}px`;
      this.lens.box.style.transform = `translate(${lens.x}px,${lens.y}px)`;
      pen.block(lens.x - 4, lens.y - 4, lens.size + 8, lens.size + 8);
      if (inLens) tie(pen, [lens.x + lens.size / 2, lens.y + lens.size / 2], lens.size / 2, P(inLens), small ? 6 : 9);
    }
    for (let k = 0; k < shape.backup.length; k += 4) { // words keep off the line
      const p = P(shape.backup[k]);
      pen.block(p[0] - 6, p[1] - 9, 12, 14);
    }
    const [A, B] = model.data.anchors.map((/** @type {any} */ one) => one.p);
    drawDashed(pen, dashedChord(A, B), P, colours.quiet, [14, 10]);
    if (isFilm && state.shape.topology === "own") drawDashed(pen, shapeAt(state, 0).main[0] ?? [], P, colours.quiet, [3, 4]);
    if (isFilm && state.bound?.backup) drawDashed(pen, pointsAt(state.bound.backup, 0, 0), P, colours.backup, [7, 6], 1.6);
    for (const body of state.bound?.bodies ?? []) drawBody(pen, P(body.top), P(body.foot), scale, 0.55);
    drawTapes(pen, shape, model.data.tapes, P, small ? 4 : 6, model.words.tape);
    const alone = !shape.main.length || shape.main.length > 1, which = alone ? "backup" : "main";
    for (const [point, name] of /** @type {[Point, string][]} */ ([[A, "A"], [B, "B"]])) {
      drawAnchor(pen, point, name, textOf(state.shape.pull[`${which}${name}`], nearest), alone ? colours.backup : colours.ink, P, W, header.bottom + 30, small);
    }
    const shows = now.layer === "left" && !isFilm && state.key !== "empty", places = now.chosen ? [now.chosen] : model.data.worst.slice(0, 9);
    const discs = shows ? spread(places, P, area, views) : [];
    for (const { x, y } of discs) pen.block(x - 13, y - 13, 26, 26);
    if (now.chosen) drawChosen(pen, now.chosen, shape, P, scale);
    else this.measured(shape, P, area, isFilm);
    this.inWords(state, frame, shape, P, area, close);
    this.discs.draw(pen, discs, now.chosen, area, now.chosen ? 0 : small || close ? 1 : 3);
    if (now.picked) drawPicked(pen, this, shape, nearest, P, area);
    this.footer();
    this.lasted = performance.now() - begun;
    document.documentElement.dataset.painted = `${Number(document.documentElement.dataset.painted ?? 0) + 1}`;
  }

  /** Height above the ground at the walker, dashed down to it. @param {import("./model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {Rect} area @param {boolean} isFilm */
  measured(shape, P, area, isFilm) {
    const { pen, model, small } = this, feet = shape.feet;
    if (!feet || isFilm) return;
    const sag = curveText(model, "sag", feet[0]), chord = pointAt([[0, 0, 0], [model.span, 0, -model.drop]], feet[0]);
    if (chord && sag && !small && this.now.view === "whole") {
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
    pen.stroke([a, b], "#2c343a", 1.5, [6, 5]);
    pen.disc(b, 4, "#2c343a");
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

  /** Labels and dimensions of the state, and where a film ends. @param {State} state @param {number} frame @param {import("./model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {Rect} area @param {boolean} close */
  inWords(state, frame, shape, P, area, close) {
    const { pen, model, now, small } = this, fits = (/** @type {any} */ one) => !one.layer || one.layer === now.layer;
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
      if (drawLabel(pen, p, "", one.text, pen.colours[one.role] ?? pen.colours.ink, area)) said++;
    }
    for (const one of small ? [] : model.data.labels.filter((/** @type {any} */ each) => each.kind === "area")) {
      const p = P(one.p);
      if (p[2] <= 1) drawLabel(pen, p, "", one.text, pen.colours[one.role] ?? pen.colours.ink, area);
    }
    const stop = state.trace?.stop;
    if (stop?.p && now.time >= this.end - 0.01) pen.burst(P(stop.p), pen.colours.alarm);
  }

  /** @param {import("./model/types.js").Shape} shape @param {Point} spot @param {DOMRect} header @param {Rect} area */
  lensPlace(shape, spot, header, area) {
    const { small, wide } = this, full = small ? 132 : wide ? 232 : 152, p = this.project(spot);
    const x = small ? 10 : clamp(p[0] + 70, wide ? Math.max(area.x + 20, header.right + 16) : area.x + 20, area.x + area.w - full - 24);
    const y = small ? header.bottom + 8 : wide ? 86 : header.bottom + 2;
    let line = Infinity;
    for (const run of [...shape.main, shape.backup]) {
      for (const point of run) {
        const q = this.project(point);
        if (q[0] > x - 8 && q[0] < x + full + 8) line = Math.min(line, q[1]);
      }
    }
    return { x: Math.round(x), y: Math.round(y), size: Math.round(small ? full : clamp(line - 22 - y, 132, full)) };
  }

  footer() {
    const { stripPen, model, state, now, small } = this, box = $("#strip");
    stripPen.clear(box.clientWidth, box.clientHeight, Math.min(devicePixelRatio, 2));
    if (state.kind === "film") this.reach = drawTrace(stripPen, state, now.time, small);
    else {
      const place = this.placeText(), hint = now.hint && !small ? `${place}, ${model.words.drag}` : place;
      this.reach = drawCurve(stripPen, model, now.at, state.kind === "places", hint, small);
    }
    const most = state.kind === "film" ? state.seconds : model.span, value = state.kind === "film" ? now.time : now.at;
    box.setAttribute("aria-valuemin", "0");
    box.setAttribute("aria-valuemax", most.toFixed(2));
    box.setAttribute("aria-valuenow", value.toFixed(2));
    box.setAttribute("aria-valuetext", state.kind === "film" ? this.filmText() : `${this.placeText()}. ${curveText(model, "left", now.at)}`);
  }

  placeText() {
    const { state } = this;
    return state.kind === "places" ? state.xText[frameAt(state, this.now.at).nearest] ?? "" : "";
  }

  filmText() { return this.state.xText?.[frameAt(this.state, this.now.time).nearest] ?? ""; }

  /** @param {number} nearest  frame */
  words(nearest) {
    const { model, state, now } = this, said = state.verdict[Math.min(nearest, state.verdict.length - 1)] ?? { text: state.title, grade: "unknown" };
    const first = state.kind === "places" && now.hint ? model.data.verdict ?? said : said, verdict = now.chosen ?? first;
    put("#verdict", verdict.text);
    $("#verdict").className = `${verdict.grade}${verdict.text.length > LONG_VERDICT ? " long" : ""}`;
    const where = state.kind === "places" ? model.words.at.replace("{ $place }", state.xText[nearest]) : state.where;
    put("#sub", [model.data.name, state.title, where, state.sub].filter(Boolean).filter((text, k, all) => all.indexOf(text) === k).join(" · "));
    showTab($("#states"), now.state);
    for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#layers input"))) input.checked = input.value === now.layer;
    document.body.dataset.state = state.key;
    document.body.classList.toggle("film", state.kind === "film");
    document.body.classList.toggle("plain", now.plain);
    put("#play", now.playing ? model.words.pause : now.time >= this.end - 0.01 ? model.words.again : model.words.play);
    put("#speed", model.words[SPEED_NAMES[this.speed]]);
    $("#plain").setAttribute("aria-pressed", String(now.plain));
    const { head, rows } = picked(this, nearest);
    put("#picked", [head, ...rows].join(". "));
    this.table(nearest);
    showLegend(model, $("#legend"), this.legend());
  }

  /** The figures of what is shown, as text. @param {number} nearest */
  table(nearest) {
    const { figures } = this.state, values = figures?.values?.[Math.min(nearest, (figures?.values?.length ?? 1) - 1)] ?? [];
    const key = values.join("\n") + this.now.state, box = $("#figures");
    if (!box || box.dataset.shown === key) return;
    box.dataset.shown = key;
    box.replaceChildren(...(figures?.names ?? []).map((name, k) => {
      const row = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name;
      dd.textContent = values[k];
      row.append(dt, dd);
      return row;
    }));
  }

  legend() {
    const { model, state, now } = this, { words } = model, entries = [];
    if (state.kind === "film" && state.shape.topology === "own") {
      entries.push({ text: words.before, role: "quiet", pattern: "dots" });
      if (state.bound?.feet) entries.push({ text: words.feet, role: "alarm", pattern: "line" });
    } else entries.push(...(model.data.layers?.[now.layer]?.legend ?? []));
    if ((this.scale ?? 0) * 1.8 < (this.small ? 30 : 36)) entries.push({ text: words.larger, role: "walker", pattern: "person" });
    return entries;
  }

  drawers() {
    const { drawer } = this.now;
    document.body.dataset.drawer = drawer;
    document.body.classList.toggle("drawer", drawer !== "");
    for (const box of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("aside"))) box.hidden = box.id !== `drawer-${drawer}`;
    for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-drawer-of]"))) {
      button.setAttribute("aria-expanded", String(button.dataset.drawerOf === drawer));
    }
  }
}

const PAINTED_BY = /** @type {Record<string, number>} */ ({ empty: PAINTED.rest, gust: PAINTED.none, gone: PAINTED.gone, fall: PAINTED.fall, crossing: PAINTED.none });
const spare = new THREE.Vector3();

/** @param {State} state */
const middle = (state) => state.x[Math.floor(state.count / 2)];

/** @param {Point} a @param {Point} b @returns {Point[]} */
const dashedChord = (a, b) => Array.from({ length: 33 }, (_, k) => [a[0] + (b[0] - a[0]) * k / 32, a[1] + (b[1] - a[1]) * k / 32, a[2] + (b[2] - a[2]) * k / 32]);

/** @param {string} which */
function context(which) {
  return /** @type {CanvasRenderingContext2D} */ (/** @type {HTMLCanvasElement} */ (document.querySelector(which)).getContext("2d"));
}

/** Text is touched only when it changes, so that it is read aloud only then. @param {string} which @param {string} text */
function put(which, text) {
  const element = $(which);
  if (element && element.textContent !== text) element.textContent = text;
}
