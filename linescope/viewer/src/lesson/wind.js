/**
 * The page on which a strip is wound: followed from its beginning to its end, in space and cut across. Ways, lengths and words
 * are the program's; nothing is mixed between two of its points but a straight piece.
 */
import "./lesson.css";
import * as THREE from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { Pen } from "../ink/pen.js";

/** @typedef {{way: [number, number][], strip: number[], apart: number, sides: [number, string][]}} Phase */
/** @typedef {{role: string, colour: string, name: string, met: string, outline: [number, number][]}} Body */
/** @typedef {any} Tape */

const STEPS = ["ask", "show", "answer"], SECONDS = 14, SHOWN = 400; // positions along a strip
const STICKY = "#a9bcae", HATCH = "#47695a", DRY = "#f1e9d2", INK = "#15191c", QUIET = "#5f5c53", RED = "#c22a12", ABOVE = /** @type {[number, number, number]} */ ([-150, 105, 175]), BELOW = /** @type {[number, number, number]} */ ([-150, -115, 165]), INTO = /** @type {[number, number, number]} */ ([-62, 34, 222]), TAIL = 58, REACH = 62; // mm
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

/** Points from tenths of a millimetre. @param {number[]} flat @returns {[number, number][]} */
const points = (flat) => Array.from({ length: flat.length / 2 }, (_, k) => [flat[2 * k] / 10, flat[2 * k + 1] / 10]);

/** @param {any} told @returns {Phase} */
const phaseOf = (told) => ({ way: points(told.way), strip: told.strip.map((/** @type {number} */ s) => s / 10), apart: told.apart, sides: told.sides });

export class WindPage {
  /** @param {any} data */
  constructor(data) {
    this.data = data;
    this.tapes = data.tapes.map((/** @type {Tape} */ tape) => ({
      ...tape, length: tape.length / 10, bare: tape.bare.map((/** @type {number} */ s) => s / 10), phases: tape.phases.map(phaseOf), along: tape.along.map(phaseOf),
      lines: tape.lines.map((/** @type {any} */ line) => ({ ...line, outline: points(line.outline) })), pieces: tape.pieces.map(points),
      parts: tape.parts.map((/** @type {any} */ part) => ({ ...part, end: part.end / 10 })),
    }));
    this.now = { step: 0, tape: 0, at: 0, mode: "right", playing: false };
    this.canvas = /** @type {HTMLCanvasElement} */ ($("#rows"));
    this.pen = new Pen(/** @type {CanvasRenderingContext2D} */ (this.canvas.getContext("2d")), data.colours, "#fbf9f3");
    this.time = /** @type {HTMLInputElement} */ ($("#time"));
    this.time.max = String(SHOWN);
    try { this.space = new Space(/** @type {HTMLCanvasElement} */ ($("#solid")), () => this.refresh()); } catch { this.space = null; }
    document.documentElement.dataset.space = String(this.space !== null);
    this.asked = false;
    this.radios("#stops", "tape", this.tapes.map((/** @type {Tape} */ tape) => tape.name), (k) => this.set({ tape: k, mode: "right" }));
    this.modes = Object.keys(data.modes);
    this.radios("#modes", "mode", Object.values(data.modes), (k) => this.off(this.modes[k]));
    $("#next").addEventListener("click", () => this.next(1));
    $("#back").addEventListener("click", () => this.next(-1));
    $("#run").addEventListener("click", () => this.set({ playing: !this.now.playing, mode: "right", at: this.now.at >= SHOWN ? 0 : this.now.at }));
    this.time.addEventListener("input", () => this.set({ at: Number(this.time.value), playing: false }));
    addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.refresh()).observe($("#wound"));
    this.set({});
  }

  /** @param {string} where @param {string} name @param {string[]} texts @param {(k: number) => void} chosen */
  radios(where, name, texts, chosen) {
    texts.forEach((text, k) => {
      const label = document.createElement("label"), input = document.createElement("input"), shown = document.createElement("span");
      input.type = "radio";
      input.name = name;
      input.value = String(k);
      shown.textContent = text;
      input.addEventListener("change", () => chosen(k));
      label.append(input, shown);
      $(where).append(label);
    });
  }

  get tape() { return this.tapes[this.now.tape]; }

  /** What is wrong with it. @param {string} mode */
  off(mode) {
    if (mode !== "right" && !this.tape.slips[mode]) return;
    const { bare, length } = this.tape, at = mode === "right" ? this.now.at : mode === "along" ? SHOWN : Math.round(SHOWN * (bare[1] + 4) / length);
    this.set({ mode, at, playing: false });
  }

  /** @param {number} by */
  next(by) {
    const step = Math.min(2, Math.max(0, this.now.step + by)), still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (step === 0) this.set({ step, at: 0, playing: false, mode: "right" });
    else if (step === 1) this.set({ step, at: by > 0 ? 0 : this.now.at, playing: by > 0 && !still, mode: "right" });
    else this.set({ step, at: SHOWN, playing: false, mode: "right" });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? 20 : 2, last = this.tapes.length - 1, { now } = this;
    const onKnob = event.target instanceof HTMLInputElement && event.target.type === "radio";
    const does = /** @type {Record<string, () => void>} */ ({
      " ": () => this.next(1), PageDown: () => this.next(1), Enter: () => this.next(1), PageUp: () => this.next(-1), Backspace: () => this.next(-1),
      ArrowRight: () => this.set({ at: now.at + far, playing: false }), ArrowLeft: () => this.set({ at: now.at - far, playing: false }),
      ArrowUp: () => this.set({ tape: Math.min(last, now.tape + 1), mode: "right" }), ArrowDown: () => this.set({ tape: Math.max(0, now.tape - 1), mode: "right" }),
      Home: () => this.set({ at: 0 }), End: () => this.set({ at: SHOWN }), s: () => this.off(this.modes[(this.modes.indexOf(now.mode) + 1) % this.modes.length]),
      p: () => $("#run").click(), f: () => { if (document.fullscreenElement) document.exitFullscreen(); else document.documentElement.requestFullscreen?.(); },
      0: () => this.set({ step: 0, at: 0, playing: false, tape: 0, mode: "right" }),
    })[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!does || (now.step === 0 && (event.key.startsWith("Arrow") || event.key === "s")) || (onKnob && event.key.startsWith("Arrow"))) return;
    if (event.target instanceof HTMLButtonElement && (event.key === " " || event.key === "Enter")) return;
    event.preventDefault();
    does();
  }

  /** @param {Partial<WindPage["now"]>} change */
  set(change) {
    const was = this.now.playing;
    Object.assign(this.now, change);
    this.now.at = Math.min(SHOWN, Math.max(0, this.now.at));
    if (this.now.playing && !was) this.play();
    this.words();
    this.refresh();
  }

  play() {
    const began = performance.now(), from = this.now.at;
    const step = () => {
      if (!this.now.playing) return;
      const at = Math.min(SHOWN, from + Math.floor((performance.now() - began) / (SECONDS * 1000) * SHOWN));
      if (at !== this.now.at) this.set({ at, playing: at < SHOWN });
      if (this.now.playing) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  /** Millimetres of strip that are laid. */
  get laid() { return this.now.at / SHOWN * this.tape.length; }

  /** How it lies now: phase, point reached, and the way up to there. */
  get state() {
    const { tape, laid, now } = this, phases = /** @type {Phase[]} */ (now.mode === "along" && tape.along.length ? tape.along : tape.phases);
    const phase = phases.find((each) => laid < each.strip[each.strip.length - 1] - 1e-6) ?? phases[phases.length - 1];
    let k = 0;
    while (k < phase.strip.length - 1 && phase.strip[k + 1] <= laid) k++;
    const way = phase.way.slice(0, k + 1), span = (phase.strip[k + 1] ?? 0) - phase.strip[k];
    if (k < phase.way.length - 1 && span > 1e-9) {
      const share = (laid - phase.strip[k]) / span, a = phase.way[k], b = phase.way[k + 1];
      way.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
    }
    const next = phase.way[Math.min(k + 1, phase.way.length - 1)], before = phase.way[Math.max(0, Math.min(k, phase.way.length - 2))];
    return { phase, point: k, way, along: unit([next[0] - before[0], next[1] - before[1]]), rest: tape.length - laid };
  }

  get part() {
    const { parts } = this.tape, found = parts.findIndex((/** @type {any} */ part) => this.laid < part.end - 0.05);
    return parts[found < 0 ? parts.length - 1 : found];
  }

  words() {
    const { now, data, tape } = this, { phase, point } = this.state, done = now.at >= SHOWN;
    document.body.dataset.step = STEPS[now.step];
    $("#next").textContent = data.say[["show", "answer", "answer"][now.step]];
    $("#next").hidden = now.step === 2;
    $("#back").hidden = now.step === 0;
    $("#run").textContent = data.say[now.playing ? "stop" : "play"];
    this.time.value = String(now.at);
    const side = phase.sides.filter(([at]) => at <= point).at(-1)?.[1] ?? "";
    $("#moment").textContent = done ? data.end : this.part.name;
    const told = now.mode === "right" ? done ? tape.ends : `${this.part.name}: ${side}` : `${data.modes[now.mode]}. ${tape.slips[now.mode]}`;
    $("#watched").textContent = told;
    $("#which").textContent = now.mode === "right" ? `${tape.notes} ${tape.ends}` : told;
    this.time.setAttribute("aria-valuetext", told);
    $("#told").textContent = now.playing || !now.step ? "" : told;
    $("#answer").setAttribute("aria-hidden", String(now.step < 2));
    document.querySelectorAll("#stops input").forEach((input, k) => { /** @type {HTMLInputElement} */ (input).checked = k === now.tape; });
    document.querySelectorAll("#modes input").forEach((input, k) => {
      /** @type {HTMLInputElement} */ (input).checked = this.modes[k] === now.mode;
      /** @type {HTMLInputElement} */ (input).disabled = this.modes[k] !== "right" && !tape.slips[this.modes[k]];
    });
  }

  refresh() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.paint(); });
  }

  paint() {
    const { state, tape, now } = this;
    this.space?.show(tape, state, now.mode, this.now.step);
    const { pen, canvas } = this, width = canvas.clientWidth, height = canvas.clientHeight;
    pen.clear(width, height, Math.min(2, devicePixelRatio || 1));
    this.drawSection(width, height - 108);
    this.drawStrip(width, height);
  }

  /** Cut across, the sticky face marked along it. @param {number} width @param {number} height */
  drawSection(width, height) {
    const { pen, tape, state: { phase, way, along, rest }, now } = this, g = pen.context;
    const scale = Math.min(width / 108, height / 62), P = (/** @type {ArrayLike<number>} */ p) => [width / 2 + 10 + scale * p[0], height / 2 - scale * (p[1] - (phase.apart ? -4 : 0))];
    const edge = Math.min(...way.map((p) => p[0]));
    tape.lines.forEach((/** @type {Body} */ line, /** @type {number} */ k) => {
      g.beginPath();
      line.outline.forEach((p, n) => { const [x, y] = P([p[0], p[1] - (k ? phase.apart : 0)]); if (n) g.lineTo(x, y); else g.moveTo(x, y); });
      g.closePath();
      g.fillStyle = line.colour;
      g.fill();
      g.lineWidth = 1;
      g.strokeStyle = INK;
      g.stroke();
      const level = line.outline.reduce((sum, p) => sum + p[1], 0) / line.outline.length - (k ? phase.apart : 0);
      pen.say(line.name, P([0, level])[0], P([0, level])[1], 15, { weight: 700, align: "center", colour: "#fff", bare: true });
      if (now.at >= SHOWN && now.mode === "right") pen.say(line.met, P([edge - 2, level])[0], P([edge, level])[1] + (k ? 9 : -9), P([edge, level])[0] < 180 ? 13 : 16, { weight: 700, align: "right" });
    });
    const whole = rest > 0.5 ? [...way, [way[way.length - 1][0] + Math.min(rest, 16) * along[0], way[way.length - 1][1] + Math.min(rest, 16) * along[1]]] : way;
    for (const piece of tape.pieces) { pen.stroke(piece.map(P), INK, 0.8 * scale + 1.4); pen.stroke(piece.map(P), DRY, 0.8 * scale); }
    if (whole.length > 1) {
      pen.stroke(whole.map(P), INK, 0.8 * scale + 1.6);
      pen.stroke(whole.map(P), DRY, 0.8 * scale);
      pen.stroke(beside(/** @type {[number, number][]} */ (whole), tape.stickyRight ? -0.26 : 0.26).map(P), "#2f7d6d", Math.max(1.6, 0.36 * scale));
    }
    const tip = P(way[way.length - 1]);
    pen.disc(tip, 5, now.at >= SHOWN ? RED : INK);
    if (now.at >= SHOWN) pen.say(this.data.end, tip[0] + 10, tip[1] + 14, 17, { weight: 700, colour: RED });
  }

  /** The flat strip, in its parts, and how much of it is laid. @param {number} width @param {number} height */
  drawStrip(width, height) {
    const { pen, tape, laid } = this, left = 14, scale = (width - 28) / tape.length, top = height - 90, g = pen.context, ends = [-Infinity, -Infinity, -Infinity];
    let from = 0;
    tape.parts.forEach((/** @type {any} */ part) => {
      const a = left + from * scale, b = left + part.end * scale;
      g.fillStyle = part.dry ? DRY : STICKY;
      g.fillRect(a, top, b - a, 24);
      g.strokeStyle = INK;
      g.lineWidth = 1.2;
      g.strokeRect(a, top, b - a, 24);
      const active = part === this.part && this.now.at < SHOWN;
      const fits = pen.width(part.length, 14) + 4 <= b - a; // Else its number alone: the unit stands on its neighbours.
      pen.say(fits ? part.length : part.length.replace(/\D+$/, ""), (a + b) / 2, top + 12, 14, { align: "center", bare: true });
      const half = pen.width(part.name, 15, 700) / 2, middle = Math.min(width - 10 - half, Math.max(10 + half, (a + b) / 2));
      const level = ends.findIndex((end) => middle - half > end + 8); // The first line of names that has room for it.
      if (level >= 0) {
        ends[level] = middle + half;
        if (level) pen.stroke([[(a + b) / 2, top + 24], [(a + b) / 2, top + 29 + 16 * level]], QUIET, 1);
        pen.say(part.name, middle, top + 38 + 16 * level, 15, { align: "center", weight: active ? 700 : 500 });
      }
      from = part.end;
    });
    const x = left + laid * scale;
    pen.stroke([[x, top - 9], [x, top + 30]], RED, 3);
  }
}

/** @param {[number, number]} v @returns {[number, number]} */
function unit(v) {
  const long = Math.hypot(v[0], v[1]) || 1;
  return [v[0] / long, v[1] / long];
}

/** A way moved to its left. @param {[number, number][]} way @param {number} off @returns {[number, number][]} */
function beside(way, off) {
  return way.map((p, k) => {
    const a = way[Math.max(0, k - 1)], b = way[Math.min(way.length - 1, k + 1)], [x, y] = unit([b[0] - a[0], b[1] - a[1]]);
    return [p[0] - off * y, p[1] + off * x];
  });
}

/** The picture in space, by WebGL; where there is none, the section is the whole picture. */
class Space {
  /** @param {HTMLCanvasElement} canvas @param {() => void} turned */
  constructor(canvas, turned) {
    this.canvas = canvas;
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.setClearColor(0, 0);
    this.scene = new THREE.Scene();
    this.scene.add(new THREE.HemisphereLight("#ffffff", "#b9b3a4", 2.4));
    const sun = new THREE.DirectionalLight("#fff8ea", 1.5);
    sun.position.set(-60, 120, 90);
    this.scene.add(sun);
    this.camera = new THREE.PerspectiveCamera(26, 1, 10, 900);
    this.camera.position.set(...ABOVE);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enablePan = this.controls.enableZoom = false;
    this.controls.target.set(-6, 0, 0);
    this.controls.update();
    this.controls.addEventListener("change", turned);
    const hatch = document.createElement("canvas");
    hatch.width = hatch.height = 64;
    const g = /** @type {CanvasRenderingContext2D} */ (hatch.getContext("2d"));
    g.fillStyle = STICKY;
    g.fillRect(0, 0, 64, 64);
    g.strokeStyle = HATCH;
    g.lineWidth = 7;
    for (const x of [-64, 0, 64]) { g.beginPath(); g.moveTo(x, 64); g.lineTo(x + 64, 0); g.stroke(); }
    this.hatch = new THREE.CanvasTexture(hatch);
    this.hatch.wrapS = this.hatch.wrapT = THREE.RepeatWrapping;
    this.hatch.colorSpace = THREE.SRGBColorSpace;
    this.made = /** @type {THREE.Object3D|null} */ (null);
    this.from = ABOVE;
  }

  /** Looks from where what counts is seen; else as it was turned by hand. @param {[number, number, number]} from */
  look(from) {
    if (from === this.from) return;
    this.from = from;
    this.camera.position.set(...from);
    this.controls.update();
  }

  /** @param {Tape} tape @param {any} state @param {string} mode @param {number} step */
  show(tape, state, mode, step) {
    if (this.made) {
      this.scene.remove(this.made);
      this.made.traverse((each) => { const mesh = /** @type {THREE.Mesh} */ (each); mesh.geometry?.dispose(); if (mesh.material) /** @type {THREE.Material} */ (mesh.material).dispose(); });
    }
    const top = tape.lines[0].role === "backup";
    this.look(mode === "aside" ? INTO : state.rest <= 0.5 && !top ? BELOW : ABOVE);
    const group = new THREE.Group(), { phase, way, along, rest } = state;
    tape.lines.forEach((/** @type {Body} */ line, /** @type {number} */ k) => { if (!(k && mode === "aside")) group.add(this.bar(line, k ? -phase.apart : 0)); });
    for (const piece of tape.pieces) this.sheet(group, piece, tape, false, 0, true);
    const short = mode === "aside" ? this.first(tape, phase) : 0;
    if (way.length > 1) {
      if (short) {
        this.sheet(group, way.slice(0, short + 1), tape, true, -tape.slipped);
        this.sheet(group, way.slice(short), tape, true, 0);
        this.glue(group, tape, phase, way);
      } else this.sheet(group, way, tape, true, 0);
    }
    if (rest > 0.5) {
      const last = way[way.length - 1], long = Math.min(rest, step ? TAIL : 2 * TAIL);
      this.sheet(group, [last, [last[0] + long * along[0], last[1] + long * along[1]]], tape, true, 0);
    } else group.add(this.end(way[way.length - 1], tape));
    this.made = group;
    this.scene.add(group);
    const width = this.canvas.clientWidth, height = this.canvas.clientHeight;
    if (!width || !height) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio || 1, 2));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.fov = width / height < 1.2 ? 34 : 21;
    this.camera.updateProjectionMatrix();
    this.renderer.render(this.scene, this.camera);
  }

  /** Where the dry tail ends on the way and the strip goes on. @param {Tape} tape @param {Phase} phase */
  first(tape, phase) {
    const end = tape.parts[0].end;
    return phase.apart ? 0 : phase.strip.filter((used) => used <= end).length - 1;
  }

  /** @param {Body} line @param {number} up */
  bar(line, up) {
    const shape = new THREE.Shape(line.outline.map(([x, y]) => new THREE.Vector2(x, y + up)));
    const solid = new THREE.ExtrudeGeometry(shape, { depth: 2 * REACH, bevelEnabled: false });
    solid.translate(0, 0, -REACH);
    const mesh = new THREE.Mesh(solid, new THREE.MeshLambertMaterial({ color: line.colour }));
    mesh.add(new THREE.LineSegments(new THREE.EdgesGeometry(solid, 40), new THREE.LineBasicMaterial({ color: INK })));
    return mesh;
  }

  /** @param {THREE.Group} group @param {[number, number][]} way @param {Tape} tape @param {boolean} glued @param {number} aside @param {boolean} [dry] */
  sheet(group, way, tape, glued, aside, dry = false) {
    if (way.length < 2) return;
    const half = tape.wide / 2, at = /** @type {number[]} */ ([]), uv = /** @type {number[]} */ ([]), faces = /** @type {number[]} */ ([]);
    let run = 0;
    way.forEach(([x, y], k) => {
      if (k) run += Math.hypot(x - way[k - 1][0], y - way[k - 1][1]);
      at.push(x, y, aside - half, x, y, aside + half);
      uv.push(run / 5, 0, run / 5, tape.wide / 5);
      if (k) faces.push(2 * k - 2, 2 * k - 1, 2 * k, 2 * k, 2 * k - 1, 2 * k + 1);
    });
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(at, 3));
    geometry.setAttribute("uv", new THREE.Float32BufferAttribute(uv, 2));
    geometry.setIndex(faces);
    geometry.computeVertexNormals();
    // A triangle as wound here shows its front to the left of the way.
    const sticky = tape.stickyRight ? THREE.BackSide : THREE.FrontSide, back = tape.stickyRight ? THREE.FrontSide : THREE.BackSide;
    const nearer = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 };
    group.add(new THREE.Mesh(geometry, new THREE.MeshLambertMaterial(dry || !glued ? { color: DRY, side: sticky, ...nearer } : { map: this.hatch, side: sticky, ...nearer })));
    group.add(new THREE.Mesh(geometry, new THREE.MeshLambertMaterial({ color: DRY, side: back, ...nearer })));
    for (const z of [aside - half, aside + half]) {
      const rim = new THREE.BufferGeometry().setFromPoints(way.map(([x, y]) => new THREE.Vector3(x, y, z)));
      group.add(new THREE.Line(rim, new THREE.LineBasicMaterial({ color: INK })));
    }
    const tips = [way[0], way[way.length - 1]].flatMap(([x, y]) => [new THREE.Vector3(x, y, aside - half), new THREE.Vector3(x, y, aside + half)]);
    group.add(new THREE.LineSegments(new THREE.BufferGeometry().setFromPoints(tips), new THREE.LineBasicMaterial({ color: INK })));
  }

  /** Glue that the dry tail leaves open when it lies aside. @param {THREE.Group} group @param {Tape} tape @param {Phase} phase @param {[number, number][]} way */
  glue(group, tape, phase, way) {
    const run = way.filter((_, k) => phase.strip[k] >= tape.bare[0] && phase.strip[k] <= tape.bare[1]);
    if (run.length < 2) return;
    const half = tape.wide / 2, moved = beside(run, tape.stickyRight ? -0.3 : 0.3), at = /** @type {number[]} */ ([]), faces = /** @type {number[]} */ ([]);
    moved.forEach(([x, y], k) => {
      at.push(x, y, half - tape.slipped, x, y, half);
      if (k) faces.push(2 * k - 2, 2 * k - 1, 2 * k, 2 * k, 2 * k - 1, 2 * k + 1);
    });
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(at, 3));
    geometry.setIndex(faces);
    group.add(new THREE.Mesh(geometry, new THREE.MeshBasicMaterial({ color: RED, side: THREE.DoubleSide })));
  }

  /** @param {[number, number]} at @param {Tape} tape */
  end(at, tape) {
    const bar = new THREE.Mesh(new THREE.CylinderGeometry(0.7, 0.7, tape.wide, 8), new THREE.MeshBasicMaterial({ color: RED }));
    bar.rotation.x = Math.PI / 2;
    bar.position.set(at[0], at[1], 0);
    return bar;
  }
}

/** @param {ArrayBuffer} told */
export async function beginWinding(told) {
  document.documentElement.classList.add("teaching", "wound");
  await Promise.all(["500 16px", "700 16px"].map((font) => document.fonts.load(`${font} "Barlow Semi Condensed"`)));
  const page = new WindPage(JSON.parse(new TextDecoder().decode(told)));
  Object.assign(window, { lesson: page });
  requestAnimationFrame(() => { document.documentElement.dataset.ready = "true"; });
}
