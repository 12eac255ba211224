/**
 * The page: what is shown now, and how a change becomes a picture. Everything that can be shown is in the model; what is chosen is
 * in `now`, which nothing but `set` changes.
 */
import * as THREE from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { clamp } from "./model/numbers.js";
import { frameAt, pointAt, shapeAt } from "./model/shapes.js";
import { pointsAt, textOf } from "./model/packed.js";
import { Pen, tapeSign } from "./ink/pen.js";
import { Lens, tie } from "./ink/lens.js";
import { dashedChord, drawAnchor, drawDashed, drawTapes } from "./ink/marks.js";
import { inWords, measured } from "./ink/captions.js";
import { Discs, drawBody, drawChosen, spread } from "./ink/worst.js";
import { drawPicked } from "./ink/picked.js";
import { beside, rowLens, second } from "./ink/rows.js";
import { curveText, drawCurve, drawLoops, drawTrace } from "./foot/strip.js";
import { makeTabs, walkTabs } from "./foot/tabs.js";
import { LAYERS, makeLayers } from "./foot/layers.js";
import { say } from "./foot/said.js";
import { Flight, makeCamera, pixelsPerMetre } from "./view/camera.js";
import { NAMED, lookOf, outline } from "./view/looks.js";
import { bare, layered, rgb, sunk } from "./view/layered.js";
import { PAINTED } from "./view/ground.js";
import { drawPlain } from "./view/plain.js";
import { coloursOf, scheme } from "./view/scheme.js";
import { Stage } from "./view/stage.js";

/** @typedef {import("./model/types.js").Point} Point */
/** @typedef {import("./model/types.js").Model} Model */
/** @typedef {import("./model/types.js").State} State */
/** @typedef {import("./view/camera.js").Rect} Rect */

const REST = 300; // milliseconds without a change after which a picture by a processor is drawn finely
const NEAR = 30; // pixels a metre from which the picture itself is as near as the lens
const SPEEDS = [0.5, 1, 0.25], FAST = [4, 8, 1], LONG = 15; // a film longer than that many seconds runs faster
const WALK = 24; // seconds from A to B when the walk is played
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
    const { halo, page, round } = model.colours;
    this.pen = new Pen(context("#ink"), model.colours, halo);
    this.stripPen = new Pen(context("#strip canvas"), model.colours, page);
    this.lens = new Lens($("#lens"), model, new Pen(context("#lens canvas"), model.colours, round));
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
    this.edge = outline(this.model);
    /** @type {Hooks|null} the live page, where this is one */
    this.live = null;
    /** @type {Point[]} what is measured: none, one or two points */
    this.marked = [];
    /** @type {Model|null} another variant, drawn on the same metres */
    this.other = null;
    /** @type {any} what is said of both */
    this.both = null;
    this.tall = 1; // how many times heights are drawn
    this.faced = false; // whether faces of the lines are painted
    this.behind = false; // what is shown is of before a change whose answer has not come yet
    this.tabs();
    walkTabs($("#states"));
    this.asked = false;
    this.rough = false; // what is on screen was drawn in haste
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
    if (anew || model.span !== before.span) this.edge = outline(this.model);
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

  /** The same in the other scheme of colours. */
  recolour() {
    const { model, other } = this, colours = coloursOf(model.data.colours);
    for (const each of [model, other]) if (each) each.colours = colours;
    for (const [pen, paper] of /** @type {[Pen, string][]} */ ([[this.pen, colours.halo], [this.stripPen, colours.page], [this.lens.pen, colours.round]])) Object.assign(pen, { colours, paper });
    this.stage?.recolour(model);
    $("#dark").setAttribute("aria-pressed", String(scheme() === "dark"));
    signs(colours);
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
    const room = before.drawer !== this.now.drawer || (this.small && (before.layer !== this.now.layer || before.state !== this.now.state)); // heads and legends of one row or three
    if (room && this.now.view !== "own") this.fly(this.now.view, false);
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

  /** What header, foot and drawers leave of the page. @returns {Rect} */
  area() {
    const header = $("header").getBoundingClientRect(), foot = $("#foot").getBoundingClientRect();
    const drawer = this.small || !this.now.drawer ? 0 : 372, left = this.now.drawer === "rig" ? drawer : 0;
    const high = Math.max(120, foot.top - header.bottom - 8);
    return { x: left, y: header.bottom + 4, w: innerWidth - drawer, h: this.other ? high / 2 : high };
  }

  /** @param {string} view @param {boolean} at_once */
  fly(view, at_once) {
    say(this, frameAt(this.state, this.x).nearest); // how high the header is decides what is left for the picture
    this.now.view = view;
    document.body.classList.toggle("away", view !== "whole");
    this.named();
    this.flight.go(lookOf(this, view), at_once, () => this.control.update());
  }

  /** The look that is on screen, in the list of those that have a name. */
  named() { /** @type {HTMLSelectElement} */ ($("#from")).value = NAMED[this.now.view] ? this.now.view : ""; }

  /** Keep the person of a film in the picture. */
  follow() { this.flight.go(lookOf(this, "walker"), true); }

  /** Heights as they are, or drawn so many times as high. @param {number} times */
  stretch(times) {
    this.tall = times;
    $("#tall").setAttribute("aria-pressed", String(times > 1));
    this.fly(this.now.view === "own" ? "whole" : this.now.view, true);
  }

  /** Somebody turned the picture by hand. */
  moved() {
    this.now.view = "own";
    this.named();
    document.body.classList.add("away");
  }

  /** Stand somewhere and look. @param {Point} eye @param {Point} target */
  stand(eye, target) {
    this.moved();
    this.control.maxPolarAngle = 3;
    const at = (/** @type {Point} */ [x, y, z]) => new THREE.Vector3(x, y, z * this.tall);
    this.flight.go({ eye: at(eye), target: at(target), field: 55 }, false, () => this.control.update());
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
    clearTimeout(this.settling);
    this.rough = !this.now.plain && (this.stage?.weak ?? false);
    requestAnimationFrame(() => {
      this.asked = false;
      this.paint();
      if (this.rough) this.settling = setTimeout(() => this.settle(), REST);
    });
  }

  /** Nothing has moved for a moment: the picture as fine as it can be. */
  settle() {
    this.rough = false;
    this.paint();
    if (!this.other) this.settling = setTimeout(() => this.stage?.keepGround(this.camera, this.tall), REST);
  }

  /** A point of the scene on the page. @param {Point} point @returns {[number, number, number]} */
  project(point) {
    spare.set(point[0], point[1], point[2] * this.tall).project(this.camera);
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
    const scale = this.scale = pixelsPerMetre(camera, /** @type {Point} */ ([spot[0], spot[1], spot[2] * this.tall]), H), isFilm = state.kind === "film";
    const layer = isFilm && state.shape.topology === "own" ? { ...bare(), hot: sunk(model, shape) } : layered(model, now.layer, shape, state.rub), extras = this.extras();
    this.faced = layer.faces !== null;
    if (this.stage) this.stage.coarse = this.rough;
    pen.clear(W, H, ratio);
    say(this, nearest); // before anything is put under the header, whose height they make
    const header = $("header").getBoundingClientRect(), area = this.area(), close = scale > NEAR;
    document.documentElement.style.setProperty("--head", `${Math.round(header.bottom)}px`);

    // the lens hangs in the sky beside the verdict, tied to its place, never over the line
    const at = now.pointer ?? (shape.fallen > 0.15 ? shape.ring?.[0] : shape.feet?.[0]) ?? model.span / 2, inLens = this.lens.aim(shape, at, small);
    const lens = this.lensPlace(shape, inLens ?? /** @type {Point} */ (spot), header, area);
    const shown = !close && now.view !== "place" && !this.other;
    $("#lens").hidden = !shown;
    const rows = this.rows, row = this.other ? { top: area.y + rows.own, high: area.h, more: true } : undefined;
    if (this.other) second(this, this.other, rows.other, { ...area, y: area.y + rows.other }, header);
    this.lookAt(rows.own);
    if (row) area.y += rows.own;
    if (this.stage && !now.plain) {
      this.stage.lay(shape, layer, extras, scale, P);
      this.stage.zoomed(scale);
      this.stage.ground.paint(now.layer !== "left" ? PAINTED.none : PAINTED_BY[state.key] ?? PAINTED.fall);
      if (shown) {
        this.stage.person.place(shape, 1);
        this.stage.lens(this.lens.camera, lens.size);
        this.lens.draw(shape, lens.size, ratio, this.canvas, (bay) => textOf(state.shape.depthText, nearest, bay), tapes, layer.faces);
      }
      this.stage.person.place(shape, Math.max(1, (small ? 30 : 36) / (scale * this.stage.person.height)), this.tall);
      this.stage.draw(camera, row, this.tall);
    } else {
      if (shown) this.lens.draw(shape, lens.size, ratio, null, (bay) => textOf(state.shape.depthText, nearest, bay), tapes, layer.faces);
      drawPlain(pen, model, shape, layer, extras, P, scale, H);
    }
    this.canvas.hidden = now.plain;
    pen.block(0, 0, header.right, header.bottom);
    const views = $("#views").getBoundingClientRect();
    pen.block(views.x, views.y, views.width, views.height);
    const tools = document.querySelector("#tools")?.getBoundingClientRect();
    if (tools) pen.block(tools.x, tools.y, tools.width, tools.height);
    if (shown) {
      const box = $("#lens");
      box.style.width = box.style.height = `${lens.size}px`;
      this.lens.canvas.style.width = this.lens.canvas.style.height = `${lens.size}px`;
      box.style.transform = `translate(${lens.x}px,${lens.y}px)`;
      pen.block(lens.x - 4, lens.y - 4, lens.size + 8, lens.size + 8);
      if (inLens) tie(pen, [lens.x + lens.size / 2, lens.y + lens.size / 2], lens.size / 2, P(inLens), small ? 6 : 9);
    }
    for (let k = 0; k < shape.backup.length; k += 4) { // words keep off the line
      const p = P(shape.backup[k]);
      pen.block(p[0] - 6, p[1] - 9, 12, 14);
    }
    const [A, B] = model.data.anchors.map((/** @type {any} */ one) => one.p);
    drawDashed(pen, dashedChord(A, B), P, colours.quiet, [14, 10]);
    if (this.other) {
      beside(this, this.other, shape, P, area, this.both?.active, rows.own > 0);
      rowLens(this, model, state, shape, area, nearest, layer.faces);
    }
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
    if (now.chosen) drawChosen(pen, now.chosen, shape, P, scale, model.words);
    else measured(this, shape, P, area, isFilm);
    inWords(this, state, frame, shape, P, area, close);
    this.discs.draw(pen, discs, now.chosen, area, now.chosen ? 0 : small || close ? 1 : 3, model.words);
    if (now.picked && !this.live) drawPicked(pen, this, shape, nearest, P, area);
    this.live?.painted(P, area);
    this.footer();
    this.lasted = performance.now() - begun;
    document.documentElement.dataset.painted = `${Number(document.documentElement.dataset.painted ?? 0) + 1}`;
  }

  /** @param {import("./model/types.js").Shape} shape @param {Point} spot @param {DOMRect} header @param {Rect} area */
  lensPlace(shape, spot, header, area) {
    const { small, wide } = this, full = small ? 132 : wide ? 232 : 152, p = this.project(spot);
    const y = small ? header.bottom + 8 : wide ? 86 : header.bottom + 2, least = wide ? Math.max(area.x + 20, header.right + 16) : area.x + 20, most = area.x + area.w - full - 24;
    const runs = [...shape.main, shape.backup].flat().map((point) => this.project(point));
    const room = (/** @type {number} */ x) => Math.min(Infinity, ...runs.filter((q) => q[0] > x - 8 && q[0] < x + full + 8).map((q) => q[1])) - 22 - y;
    const beside = clamp(p[0] + 70, least, most), places = small ? [10] : [beside, ...[least, most, area.x + 20].filter(() => room(beside) < 132)];
    const x = places.reduce((best, one) => (room(one) > room(best) ? one : best));
    return { x: Math.round(x), y: Math.round(y + (x < least ? Math.max(0, header.bottom + 8 - y) : 0)), size: Math.round(small ? full : clamp(room(x), 132, full)) };
  }

  footer() {
    const { stripPen, model, state, now, small } = this, box = $("#strip");
    stripPen.clear(box.clientWidth, box.clientHeight, Math.min(devicePixelRatio, 2));
    const difference = this.other && state.kind === "places" ? this.both?.curve : null;
    if (difference) this.reach = drawCurve(stripPen, /** @type {any} */ ({ ...model, curve: difference, data: { noFall: [] } }), now.at, true, this.placeText(), small);
    else if (state.kind === "film") this.reach = drawTrace(stripPen, state, now.time, small, model.words);
    else if (now.layer === "depth" && this.shape?.depths && model.data.layers?.depth) this.reach = drawLoops(stripPen, model, this.shape, now.at, state.kind === "places", this.placeText(), textOf(state.shape.depthText, frameAt(state, this.x).nearest), small);
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

/** The signs of tapes in the drawers. @param {Record<string, string>} colours */
export function signs(colours) {
  for (const sign of /** @type {NodeListOf<HTMLCanvasElement>} */ (document.querySelectorAll("canvas[data-symbol]"))) {
    const pen = /** @type {CanvasRenderingContext2D} */ (sign.getContext("2d"));
    pen.clearRect(0, 0, sign.width, sign.height);
    tapeSign(pen, sign.dataset.symbol ?? "", [14, 14], 8, colours[sign.dataset.colour ?? ""], colours.outline, colours.rim);
  }
}

/** @param {string} which */
function context(which) {
  return /** @type {CanvasRenderingContext2D} */ (/** @type {HTMLCanvasElement} */ (document.querySelector(which)).getContext("2d"));
}
