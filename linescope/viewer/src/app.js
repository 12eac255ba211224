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
import { makeTabs, showTab, walkTabs } from "./foot/tabs.js";
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
const WALK = 24; // seconds from A to B when the walk is played
const DEEPEST = 0.34; // of what hangs below the line that the whole picture shows, over the span
const LONG_VERDICT = 75; // letters
const SPEED_NAMES = /** @type {Record<number, string>} */ ({ 0.25: "quarter", 0.5: "half", 1: "real", 4: "four", 8: "eight" });
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

/**
 * What the live page is told, and does.
 * @typedef {object} Hooks
 * @property {(at: number) => void} walked  the walker is to stand there, and only one place is known
 * @property {(key: string) => void} chose  a state was chosen
 * @property {(event: PointerEvent) => boolean} tapped  somebody tapped the picture; whether that was for the live page
 * @property {(P: (p: Point) => [number, number, number], area: Rect) => void} painted  the picture was painted
 */

export class App {
  /** @param {Model} model */
  constructor(model) {
    this.model = model;
    const first = model.states.find((each) => each.key === model.data.first) ?? model.states[0];
    this.now = {
      state: first.key, at: first.kind === "places" ? middle(first) : model.span / 2, time: 0, playing: false, speed: 0,
      layer: LAYERS.find((layer) => model.data.layers?.[layer]) ?? "left",
      drawer: "", hint: true, plain: false, pointer: /** @type {number|null} */ (null), chosen: /** @type {any} */ (null),
      chosenLayer: false, view: "whole", picked: /** @type {{kind: "loop"|"tape"|"anchor", index: number}|null} */ (null),
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
    /** @type {Hooks|null} the live page, where this is one */
    this.live = null;
    /** @type {Point[]} what is measured: none, one or two points */
    this.marked = [];
    /** @type {Model|null} another variant, drawn on the same metres */
    this.other = null;
    /** @type {any} what is said of both */
    this.both = null;
    this.tabs();
    walkTabs($("#states"));
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

  tabs() {
    const { model } = this, row = $("#states"), focused = /** @type {HTMLElement|null} */ (document.activeElement)?.closest("#states [role=tab]");
    const key = /** @type {HTMLElement|undefined} */ (focused ?? undefined)?.dataset.state;
    makeTabs(model, row, (which) => this.choose(which));
    makeLayers(model, $("#layers"), (layer) => this.set({ layer, chosenLayer: true }));
    if (key) /** @type {HTMLElement|null} */ (row.querySelector(`[data-state="${key}"]`))?.focus();
  }

  /** Show another model: the same rig changed, or more of it known. What is looked at stays as far as there is such a thing. @param {Model} model */
  adopt(model) {
    const { now } = this, anew = model.gltf !== this.model.gltf, before = this.model;
    this.model = this.lens.model = model;
    this.stage?.take(model, anew);
    if (anew || model.span !== before.span) this.edge = this.outline();
    if (!model.states.some((each) => each.key === now.state)) now.state = (model.states.find((each) => each.key === model.data.first) ?? model.states[0]).key;
    if (this.state.kind === "places") now.at = this.state.count === 1 && this.state.x[0] !== 0 ? this.state.x[0] : clamp(now.at, this.state.x[0], this.state.x[this.state.count - 1]);
    if (this.state.kind === "film") now.time = Math.min(now.time, this.end);
    if (!now.chosenLayer) now.layer = "left"; // which may not be known yet
    else if (!model.data.layers?.[now.layer]) now.layer = LAYERS.find((layer) => model.data.layers?.[layer]) ?? "left";
    if (now.chosen && before.data.worst !== model.data.worst) now.chosen = model.data.worst.find((/** @type {any} */ one) => one.rank === now.chosen.rank && one.cause === now.chosen.cause) ?? null;
    this.discs.clear();
    this.tabs();
    if (now.view === "whole" && (anew || model.span !== before.span)) this.fly("whole", true);
    this.refresh();
  }

  /** Draw another variant above or below this one; null ends that. @param {Model|null} other @param {any} both */
  compare(other, both) {
    const turned = (other === null) !== (this.other === null);
    this.other = other;
    this.both = both;
    document.body.classList.toggle("two", other !== null);
    if (turned) {
      this.now.chosen = null;
      this.fly("whole", true);
    }
    this.refresh();
  }

  /** Which row of two is edited: by how much it stands lower on the page, and by how much the other one does. */
  get rows() {
    const second = this.other !== null && this.both?.order[1] === this.both?.active, down = this.other ? this.area().h : 0;
    return { own: second ? down : 0, other: second ? 0 : down };
  }

  /** Look at a row of the page. @param {number} down */
  lookAt(down) {
    if (down) this.camera.setViewOffset(innerWidth, innerHeight, 0, -down, innerWidth, innerHeight);
    else if (this.camera.view?.enabled) this.camera.clearViewOffset();
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

  /** Go to a state; a film plays at once, unless the reader asked for no motion. @param {string} key @param {boolean} [play] */
  choose(key, play = true) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.set({ state: key, time: 0, playing: false, chosen: null, picked: null, pointer: null, speed: 0 });
    if (this.state.kind === "film" && play) this.set({ playing: !still });
    this.live?.chose(key);
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
      if (!this.now.playing || this.state.kind === "still") return;
      const passed = clamp((stamp - last) / 1000, 0, 1); // the first stamp can lie before now
      last = stamp;
      if (this.state.kind === "places") {
        const far = this.model.span, next = this.now.at + passed * far / WALK;
        if (next >= far || this.now.at >= this.reachOfWalk()) this.now.playing = false;
        this.walk(next);
        if (this.now.playing) requestAnimationFrame(step);
        return;
      }
      this.now.time = Math.min(this.end, this.now.time + passed * this.speed);
      if (this.now.time >= this.end) this.now.playing = false;
      if (this.now.view === "walker" && this.now.playing) this.follow();
      this.refresh();
      if (this.now.playing) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  /** The last place at which somebody can stand. */
  reachOfWalk() {
    const { x, count } = this.state;
    return count > 1 ? x[count - 1] : 0.999 * this.model.span;
  }

  /** The walker to a place; where only one place is known, it is asked for. @param {number} at */
  walk(at) {
    const { state } = this;
    if (state.count > 1) this.set({ at: clamp(at, state.x[0], state.x[state.count - 1]), hint: false, chosen: null });
    else {
      this.set({ hint: false, chosen: null });
      this.live?.walked(clamp(at, 0.001 * this.model.span, 0.999 * this.model.span));
    }
  }

  get speeds() { return this.state.seconds > LONG ? FAST : SPEEDS; }
  get speed() { return this.speeds[this.now.speed % 3]; }

  /** The walker or the film's knob to a value. @param {number} value */
  scrub(value) {
    if (this.state.kind === "film") this.set({ time: clamp(value, 0, this.end), playing: false, hint: false });
    else if (this.state.kind === "places") {
      this.now.playing = false;
      this.walk(value);
    } else {
      const places = this.model.states.find((each) => each.kind === "places");
      if (places) {
        this.set({ state: places.key });
        this.walk(value);
      }
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
    const high = Math.max(120, foot.top - header.bottom - 8);
    return { x: left, y: header.bottom + 4, w: innerWidth - drawer, h: this.other ? high / 2 : high };
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
    if (view === "walker" || view === "picked") {
      const spot = view === "picked" ? picked(this, 0).spot : null;
      const [x, , z] = spot ?? shape.ring ?? shape.feet ?? shape.tie ?? pointAt(shape.main[0] ?? shape.backup, this.now.at) ?? [model.span / 2, 0, 0];
      const k = small ? 0.52 : 1, box = /** @type {Point[]} */ ([[x - 9 * k, 0, z + 3], [x + 9 * k, 0, z + 3], [x - 7 * k, 0, z - 5.6 * k], [x + 7 * k, 0, z - 5.6 * k]]);
      return fit(box, small ? -0.5 : -0.42, 0.17, area, ...page, 30, model.span);
    }
    const rest = shapeAt(model.states.find((each) => each.kind === "places") ?? model.states[0], model.span / 2);
    const line = [...(rest.main[0] ?? rest.backup), ...rest.backup.filter((_, k) => k % 6 === 0)];
    if (small) {
      const low = this.floor(this.other ? 0.1 : 0.4), inside = this.edge.filter(([x]) => x > 0.03 * model.span && x < model.span);
      const floor = inside.map(([x, , z]) => /** @type {Point} */ ([x, 0, Math.max(z, low)]));
      return fit([...line, [-0.02 * model.span, 0, 1.5], ...floor], -1.06, 0.36, { x: 16, y: area.y + (this.other ? 48 : 84), w: area.w - 34, h: area.h - (this.other ? 58 : 94) }, ...page, 46, model.span);
    }
    const head = this.other ? 64 : this.wide ? 96 : 118, low = this.floor(0.9 * (area.h - head) / area.w);
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
    const tapes = state.tapes ?? model.data.tapes, W = innerWidth, H = innerHeight, ratio = this.stage?.renderer.getPixelRatio() ?? Math.min(devicePixelRatio, 2);
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
    const shown = !close && now.view !== "place" && !this.other;
    this.lens.box.hidden = !shown;
    const rows = this.rows, row = this.other ? { top: area.y + rows.own, high: area.h, more: true } : undefined;
    if (this.other) this.second(rows.other, { ...area, y: area.y + rows.other }, header);
    this.lookAt(rows.own);
    if (row) area.y += rows.own;
    if (this.stage && !now.plain) {
      this.stage.lay(shape, layer, extras);
      this.stage.zoomed(scale);
      this.stage.bars.width = now.layer === "touch" || now.layer === "rub" ? this.stage.main.width + 3 : 5; // along the line, or off it
      this.stage.ground.paint(now.layer !== "left" ? PAINTED.none : PAINTED_BY[state.key] ?? PAINTED.fall);
      if (shown) {
        this.stage.person.place(shape, 1);
        this.stage.lens(this.lens.camera, lens.size);
        this.lens.draw(shape, lens.size, ratio, this.canvas, (bay) => textOf(state.shape.depthText, nearest, bay), tapes);
      }
      this.stage.person.place(shape, Math.max(1, (small ? 30 : 36) / (scale * this.stage.person.height)));
      this.stage.draw(camera, row);
    } else {
      if (shown) this.lens.draw(shape, lens.size, ratio, null, (bay) => textOf(state.shape.depthText, nearest, bay), tapes);
      drawPlain(pen, model, shape, layer, extras, P, scale, H);
    }
    this.canvas.hidden = now.plain;
    pen.block(0, 0, header.right, header.bottom);
    const views = $("#views").getBoundingClientRect();
    pen.block(views.x, views.y, views.width, views.height);
    const tools = document.querySelector("#tools")?.getBoundingClientRect();
    if (tools) pen.block(tools.x, tools.y, tools.width, tools.height);
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
    if (this.other) this.beside(this.other, shape, P, area, this.both?.active, rows.own > 0);
    if (isFilm && state.shape.topology === "own") drawDashed(pen, shapeAt(state, 0).main[0] ?? [], P, colours.quiet, [3, 4]);
    if (isFilm && state.bound?.backup) drawDashed(pen, pointsAt(state.bound.backup, 0, 0), P, colours.backup, [7, 6], 1.6);
    for (const body of state.bound?.bodies ?? []) drawBody(pen, P(body.top), P(body.foot), scale, 0.55);
    drawTapes(pen, shape, tapes, P, small ? 4 : 6, model.words.tape);
    const alone = !shape.main.length || shape.main.length > 1, which = alone ? "backup" : "main";
    for (const [point, name] of /** @type {[Point, string][]} */ ([[A, "A"], [B, "B"]])) {
      drawAnchor(pen, point, name, textOf(state.shape.pull[`${which}${name}`], nearest), alone ? colours.backup : colours.ink, P, W, area.y + (this.other ? 0 : 26), small);
    }
    const shows = now.layer === "left" && !isFilm && state.key !== "empty", places = now.chosen ? [now.chosen] : model.data.worst.slice(0, 9);
    const discs = shows && !this.other ? spread(places, P, area, views) : [];
    for (const { x, y } of discs) pen.block(x - 13, y - 13, 26, 26);
    if (now.chosen) drawChosen(pen, now.chosen, shape, P, scale);
    else this.measured(shape, P, area, isFilm);
    this.inWords(state, frame, shape, P, area, close);
    this.discs.draw(pen, discs, now.chosen, area, now.chosen ? 0 : small || close ? 1 : 3);
    if (now.picked && !this.live) drawPicked(pen, this, shape, nearest, P, area);
    this.live?.painted(P, area);
    this.footer();
    this.lasted = performance.now() - begun;
    document.documentElement.dataset.painted = `${Number(document.documentElement.dataset.painted ?? 0) + 1}`;
  }

  /** The other of two variants in its row: the same state, seen from the same place. @param {number} down @param {Rect} area @param {DOMRect} header */
  second(down, area, header) {
    const model = /** @type {Model} */ (this.other), { pen, now, camera } = this, { colours } = model;
    const state = model.states.find((one) => one.key === now.state) ?? model.states.find((one) => one.kind === "places") ?? model.states[0];
    const x = state.kind === "film" ? Math.min(now.time, state.seconds) : state.kind === "places" ? now.at : 0;
    const shape = shapeAt(state, x), { nearest } = frameAt(state, x), P = (/** @type {Point} */ p) => this.project(p);
    this.lookAt(down);
    camera.updateMatrixWorld();
    const spot = shape.feet ?? shape.ring ?? /** @type {Point} */ ([model.span / 2, 0, 0]), scale = pixelsPerMetre(camera, spot, innerHeight);
    const layer = state.kind === "film" ? { fence: [], bars: [], hot: [] } : layered(model, now.layer, shape, state.rub);
    if (this.stage && !now.plain) {
      this.stage.lay(shape, layer, []);
      this.stage.zoomed(scale);
      this.stage.ground.paint(PAINTED.none);
      this.stage.person.place(shape, Math.max(1, (this.small ? 24 : 36) / (scale * this.stage.person.height)));
      this.stage.draw(camera, { top: area.y, high: area.h, more: false });
    } else drawPlain(pen, model, shape, layer, [], P, scale, innerHeight);
    const [A, B] = model.data.anchors.map((/** @type {any} */ one) => one.p);
    drawDashed(pen, dashedChord(A, B), P, colours.quiet, [14, 10]);
    this.beside(this.model, shape, P, area, this.both?.order.find((/** @type {string} */ name) => name !== this.both.active), down > 0);
    drawTapes(pen, shape, state.tapes ?? model.data.tapes, P, 5, model.words.tape);
    for (const [point, name] of /** @type {[Point, string][]} */ ([[A, "A"], [B, "B"]])) {
      drawAnchor(pen, point, name, textOf(state.shape.pull[`main${name}`], nearest), colours.ink, P, innerWidth, area.y, this.small);
    }
    pen.stroke([[0, header.bottom + 4 + area.h], [innerWidth, header.bottom + 4 + area.h]], colours.rule, 1.4);
  }

  /**
   * Beside a variant's line that of the other one, grey; in the lower row hatched between both, and measured at the walker.
   * @param {Model} model  of the other one
   * @param {import("./model/types.js").Shape} shape
   * @param {(p: Point) => [number, number, number]} P
   * @param {Rect} area
   * @param {string} name
   * @param {boolean} lower  row
   */
  beside(model, shape, P, area, name, lower) {
    const { pen, now, both } = this, { colours } = model;
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
      const [large, fine] = this.small ? [15, 12.5] : [20, 15], x = area.x + (this.small ? 12 : 24);
      pen.say(head.name, x, area.y + 15, large, { weight: 700 });
      pen.say(head.text, x + pen.width(head.name, large, 700) + 12, area.y + 16, fine, { colour: colours.quiet });
    }
  }

  /** Height above the ground at the walker, dashed down to it. @param {import("./model/types.js").Shape} shape @param {(p: Point) => [number, number, number]} P @param {Rect} area @param {boolean} isFilm */
  measured(shape, P, area, isFilm) {
    const { pen, model, small } = this, feet = shape.feet;
    if (!feet || isFilm || this.other) return;
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
    const difference = this.other && state.kind === "places" ? this.both?.curve : null;
    if (difference) this.reach = drawCurve(stripPen, /** @type {any} */ ({ ...model, curve: difference, data: { noFall: [] } }), now.at, true, this.placeText(), small);
    else if (state.kind === "film") this.reach = drawTrace(stripPen, state, now.time, small);
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
    const first = state.kind === "places" && now.hint ? model.data.verdict ?? said : said, verdict = now.chosen ?? (this.other && this.both?.verdict ? { text: this.both.verdict, grade: "kept" } : first);
    put("#verdict", verdict.text);
    $("#verdict").className = `${verdict.grade}${verdict.text.length > LONG_VERDICT ? " long" : ""}`;
    const where = state.kind === "places" ? model.words.at.replace("{ $place }", state.xText[nearest]) : state.where;
    put("#sub", [model.data.name, state.title, where, state.sub, state.old ? model.words.old : ""].filter(Boolean).filter((text, k, all) => all.indexOf(text) === k).join(" · "));
    showTab($("#states"), now.state);
    for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#layers input"))) input.checked = input.value === now.layer;
    document.body.dataset.state = state.key;
    document.body.classList.toggle("film", state.kind === "film");
    document.body.classList.toggle("walk", state.kind === "places");
    document.body.classList.toggle("plain", now.plain);
    put("#play", now.playing ? model.words.pause : state.kind === "film" && now.time >= this.end - 0.01 ? model.words.again : model.words.play);
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
