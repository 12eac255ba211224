/**
 * The 3-D picture: ground, lines, person. Nothing is drawn unless something changed; plain mode has no such stage at all. Where a
 * processor draws, frames of what moves are coarse, and over ground that was drawn before where only lines and people move.
 */
import * as THREE from "three";
import { Ground } from "./ground.js";
import { Lines, thinned } from "./lines.js";
import { Ribbons, fewer, lifted, thickness } from "./ribbons.js";
import { Person } from "./person.js";
import { Sheets } from "./sheets.js";
import { Sky } from "./sky.js";
import { clamp } from "../model/numbers.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {import("../model/types.js").Shape} Shape */

const PIECES = 1200;

export class Stage {
  /**
   * @param {import("../model/types.js").Model} model
   * @param {HTMLCanvasElement} canvas
   * @throws {Error} where there is no WebGL
   */
  constructor(model, canvas) {
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: false, alpha: false, stencil: true });
    this.renderer.autoClear = false;
    const gl = /** @type {WebGL2RenderingContext} */ (this.renderer.getContext()), names = gl.getExtension("WEBGL_debug_renderer_info");
    this.weak = names !== null && /swiftshader|llvmpipe|software/i.test(gl.getParameter(names.UNMASKED_RENDERER_WEBGL));
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, this.weak ? 1 : 2));
    this.scene = new THREE.Scene(); // all but the ground
    this.land = new THREE.Scene();
    this.sky = new Sky();
    this.sheets = new Sheets(gl);
    this.coarse = false; // the next picture need not be fine
    this.kept = this.last = ""; // what the ground that is kept was drawn with, and that of the last picture
    this.width = this.height = 1;
    const { colours } = model, { scene } = this;
    this.colours = colours;
    this.painted = false;
    this.ground = new Ground(model, this.land, this.weak ? 1 : 8);
    this.fence = new Lines(scene, 400, { width: 1.1, order: 6, coloured: true, opacity: 0.6 });
    this.bars = new Lines(scene, 2400, { width: 5, order: 13, coloured: true, opacity: 0.92, nearer: 120 });
    this.extras = new Lines(scene, PIECES, { width: 2.4, order: 8, coloured: true });
    this.backupCasing = new Lines(scene, PIECES, { colour: colours.casing, width: 5.2, order: 9 });
    this.backup = new Lines(scene, this.backupCasing, { colour: colours.backup, width: 2.5, order: 10, covers: true });
    this.mainCasing = new Lines(scene, PIECES, { colour: colours.casing, width: 7.4, order: 11, nearer: 60 });
    this.main = new Lines(scene, this.mainCasing, { colour: colours.main, width: 4.2, order: 12, covers: true, nearer: 90 });
    this.ribbons = new Ribbons(scene, 2 * PIECES, 13);
    this.hot = new Lines(scene, 600, { colour: colours.alarm, width: 6, order: 14, through: true });
    this.leash = new Lines(scene, 80, { colour: colours.leash, width: 2.4, order: 15, nearer: 6 });
    scene.add(new THREE.HemisphereLight("#eef4ff", "#8d8272", 2));
    const sun = new THREE.DirectionalLight("#fff6e6", 2.2);
    sun.position.set(-30, -60, 80);
    scene.add(sun);
    this.person = new Person(model, scene);
    this.drawn = 0;
  }

  /** Other ground and other people, or the same ones elsewhere. @param {import("../model/types.js").Model} model @param {boolean} anew  whether the file is another one */
  take(model, anew) {
    if (anew) {
      const { changed } = this.ground;
      this.ground.dispose();
      this.person.dispose();
      this.ground = new Ground(model, this.land, this.weak ? 1 : 8);
      this.ground.changed = changed;
      this.person = new Person(model, this.scene);
    }
    this.ground.stand(model.moved);
  }

  /** In other colours. @param {import("../model/types.js").Model} model */
  recolour(model) {
    const { colours } = model;
    this.colours = colours;
    this.sky.recolour();
    for (const [lines, role] of /** @type {[Lines, string][]} */ ([[this.main, "main"], [this.backup, "backup"], [this.hot, "alarm"], [this.leash, "leash"]])) lines.recolour(colours[role]);
    this.take(model, true);
  }

  /** @param {Shape} shape @param {import("./layered.js").Drawn} layer @param {[Point[], import("./lines.js").Rgb][]} extras @param {number} scale  pixels to a metre at the walker @param {(p: Point) => [number, number, number]} P */
  lay(shape, layer, extras, scale, P) {
    const { faces } = layer, [up, down] = [thickness("main", scale) / 2, thickness("backup", scale) / 2];
    const main = faces ? [lifted(shape.main[0], up)] : shape.main, backup = faces ? lifted(shape.backup, -down) : shape.backup;
    const thin = (/** @type {Point[]} */ run) => thinned(run, P).map((k) => run[k]);
    this.mainCasing.set(main.map(thin));
    this.backupCasing.set([thin(backup)]);
    for (const [core, casing] of [[this.main, this.mainCasing], [this.backup, this.backupCasing]]) core.object.visible = !faces && casing.object.visible;
    this.ribbons.set(faces ? [{ run: backup, ...faces.backup, thick: 2 * down }, { run: main[0], ...faces.main, thick: 2 * up }].map((each) => fewer(each, P)) : []);
    this.painted = faces !== null;
    this.leash.set(shape.leash.length ? [shape.leash] : []);
    this.fence.set(layer.fence.map(([run]) => run), layer.fence.map(([, colour]) => colour));
    this.bars.set(layer.bars.map(([run]) => run), layer.bars.map(([, colour]) => colour));
    this.extras.set(extras.map(([run]) => run), extras.map(([, colour]) => colour));
    this.hot.set(layer.hot);
  }

  /** Widths follow nearness; round painted ribbons a dark rim parts pale faces from what is behind. @param {number} scale  pixels to a metre at the walker */
  zoomed(scale) {
    const { painted } = this, thick = (/** @type {"main"|"backup"} */ line) => thickness(line, scale) * scale;
    this.main.width = clamp(4.2 * (scale / 15) ** 0.4, 3.4, 8);
    this.mainCasing.width = painted ? thick("main") + 3 : this.main.width + 3;
    this.backup.width = clamp(2.5 * (scale / 15) ** 0.45, 1.8, 5.5);
    this.backupCasing.width = painted ? thick("backup") + 3 : this.backup.width + 2.6;
    for (const casing of [this.mainCasing, this.backupCasing]) casing.recolour(painted ? this.colours.face_rim : this.colours.casing);
    this.ground.zoomed(scale);
  }

  /** @param {number} width @param {number} height */
  size(width, height) {
    this.renderer.setSize(width, height, false);
    [this.width, this.height] = [width, height];
    const { canvas } = this.renderer.getContext();
    this.sheets.size(canvas.width, canvas.height);
    this.kept = this.last = "";
  }

  /** The lens, into the lower left corner. @param {THREE.Camera} camera @param {number} size */
  lens(camera, size) {
    const hidden = [this.fence, this.bars, this.extras, this.main, this.mainCasing, this.backup, this.backupCasing, this.hot, this.ribbons];
    const seen = hidden.map((each) => each.object.visible), { renderer, sheets } = this;
    this.scene.scale.z = this.land.scale.z = 1;
    for (const each of hidden) each.object.visible = false;
    if (!this.coarse) sheets.open("all");
    renderer.setScissorTest(true);
    renderer.setScissor(0, 0, size, size);
    renderer.setViewport(0, 0, size, size);
    renderer.setClearColor(this.colours.round);
    renderer.clear();
    renderer.render(this.land, camera);
    renderer.render(this.scene, camera);
    renderer.setScissorTest(false);
    if (!this.coarse) sheets.show("all", Math.round(size * renderer.getPixelRatio()));
    hidden.forEach((each, k) => { each.object.visible = seen[k]; });
  }

  /** @param {THREE.PerspectiveCamera} camera @param {{top: number, high: number, more: boolean}} [row]  of the page that is drawn, and whether another one stands already @param {number} [tall]  how many times heights are drawn */
  draw(camera, row, tall = 1) {
    const { renderer, sheets, coarse } = this;
    this.scene.scale.z = this.land.scale.z = tall;
    renderer.setViewport(0, 0, this.width, this.height);
    if (!coarse) sheets.open("all");
    if (row) {
      if (!row.more) this.drawSky(camera);
      renderer.setScissorTest(true);
      renderer.setScissor(0, this.height - row.top - row.high, this.width, row.high);
    }
    if (row || !coarse || !this.layGround(camera, tall)) {
      this.drawSky(camera);
      renderer.render(this.land, camera);
    }
    renderer.render(this.scene, camera);
    renderer.setScissorTest(false);
    if (!coarse) sheets.show("all");
    this.last = row ? "" : this.looks(camera, tall);
    this.drawn++;
  }

  /** The ground as it was drawn before, where it is seen as in the last picture. @param {THREE.PerspectiveCamera} camera @param {number} tall @returns {boolean} whether it is on the canvas */
  layGround(camera, tall) {
    if (this.looks(camera, tall) !== this.last) return false; // while the eye moves nothing is worth keeping
    this.keepGround(camera, tall);
    return this.sheets.lay("ground");
  }

  /** Draw the ground to be kept, unless it is. @param {THREE.PerspectiveCamera} camera @param {number} tall */
  keepGround(camera, tall) {
    const { renderer, sheets } = this, looks = this.looks(camera, tall);
    if (looks === this.kept) return;
    this.land.scale.z = tall;
    renderer.setViewport(0, 0, this.width, this.height);
    sheets.open("ground");
    this.drawSky(camera);
    renderer.render(this.land, camera);
    sheets.close();
    this.kept = looks;
  }

  /** All that the picture of the ground depends on. @param {THREE.PerspectiveCamera} camera @param {number} tall */
  looks(camera, tall) {
    return [...camera.matrixWorld.elements, ...camera.projectionMatrix.elements, tall, this.ground.state, this.sky.state].join(" ");
  }

  /** @param {THREE.Camera} camera */
  drawSky(camera) {
    this.renderer.clear();
    this.renderer.render(this.sky.scene, camera);
  }
}
