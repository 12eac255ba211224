/** What hands do: drag the walker or the knob, turn, zoom and shift the picture, stand somewhere; and the keys for all of it. */
import * as THREE from "three";
import { clamp } from "./model/numbers.js";
import { LAYER_KEYS } from "./foot/layers.js";
import { valueAt } from "./foot/strip.js";
import { NAMED } from "./view/looks.js";
import { turnScheme } from "./view/scheme.js";

/** @typedef {import("./app.js").App} App */
/** @typedef {import("./model/types.js").Point} Point */

const EYES = 1.7; // metres above the ground
const GRASP = { mouse: 24, touch: 34 }; // pixels
const ON_LINE = 26;
const TALL = 3; // times as high, when heights are stretched
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

/** @param {App} app */
export function takeGestures(app) {
  strip(app);
  picture(app);
  keys(app);
  buttons(app);
}

/** @param {App} app */
function strip(app) {
  const box = $("#strip");
  const scrub = (/** @type {PointerEvent} */ event) => {
    const most = app.state.kind === "film" ? app.state.seconds : app.model.span;
    app.scrub(valueAt(app.reach, event.clientX - box.getBoundingClientRect().left, most));
  };
  box.addEventListener("pointerdown", (event) => {
    box.setPointerCapture(event.pointerId);
    scrub(event);
  });
  box.addEventListener("pointermove", (event) => { if (box.hasPointerCapture(event.pointerId)) scrub(event); });
  box.addEventListener("keydown", (event) => step(app, event));
}

/** Arrows move the walker by 1 m (Shift 0.1, Page 10), a film by 0.04 s. @param {App} app @param {KeyboardEvent} event */
function step(app, event) {
  const by = /** @type {Record<string, number>} */ ({ ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10 })[event.key];
  const ends = /** @type {Record<string, number>} */ ({ Home: -Infinity, End: Infinity })[event.key];
  if (by === undefined && ends === undefined) return;
  event.preventDefault();
  event.stopPropagation();
  if (app.state.kind === "film") app.scrub(ends === undefined ? app.now.time + by * 0.04 : clamp(ends, 0, app.end));
  else app.scrub(ends === undefined ? app.now.at + by * (event.shiftKey ? 0.1 : 1) : clamp(ends, 0, app.model.span));
}

/** The point of the main nearest to a pointer. @param {App} app @param {{clientX: number, clientY: number}} event @returns {[Point|null, number]} */
export function onLine(app, event) {
  let best = null, off = Infinity;
  for (const run of app.shape?.main ?? []) {
    for (let k = 0; k + 1 < run.length; k++) {
      const a = app.project(run[k]), b = app.project(run[k + 1]);
      if (a[2] > 1 || b[2] > 1) continue;
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
      const share = clamp(((event.clientX - a[0]) * dx + (event.clientY - a[1]) * dy) / (dx * dx + dy * dy || 1), 0, 1);
      const d = Math.hypot(a[0] + dx * share - event.clientX, a[1] + dy * share - event.clientY);
      if (d < off) {
        off = d;
        best = /** @type {Point} */ (run[k].map((v, i) => v + (run[k + 1][i] - v) * share));
      }
    }
  }
  return [best, off];
}

/** @param {App} app */
function picture(app) {
  const { canvas, control } = app;
  let held = false, pressed = [0, 0];
  const places = () => app.state.kind === "places";
  canvas.addEventListener("pointerdown", (event) => {
    pressed = [event.clientX, event.clientY];
    const feet = app.shape?.feet;
    if (!feet || !places()) return;
    const p = app.project([feet[0], feet[1], feet[2] + 0.9]);
    if (Math.hypot(p[0] - event.clientX, p[1] - event.clientY) > (event.pointerType === "touch" ? GRASP.touch : GRASP.mouse)) return;
    held = true;
    control.enabled = false;
    canvas.setPointerCapture(event.pointerId);
  }, true);
  canvas.addEventListener("pointermove", (event) => {
    if (held) {
      const [point] = onLine(app, event);
      if (point) app.walk(point[0]);
      return;
    }
    if (event.pointerType !== "mouse" || event.buttons) return;
    const [point, off] = onLine(app, event), pointer = point && off < ON_LINE ? point[0] : null;
    canvas.style.cursor = pointer === null ? "" : "pointer";
    if (pointer !== app.now.pointer) app.set({ pointer });
  });
  const release = () => {
    held = false;
    control.enabled = true;
  };
  canvas.addEventListener("pointerup", (event) => {
    const tapped = Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) < 5;
    if (tapped && !held && !app.live?.tapped(event)) app.set({ picked: pickedBy(app, event) });
    release();
  });
  canvas.addEventListener("pointercancel", release);
  canvas.addEventListener("dblclick", (event) => {
    const [point, off] = onLine(app, event);
    if (point && off < GRASP.mouse) return app.stand([point[0] - 1.2, point[1] - 0.5, point[2] + 2.1], [point[0] + 14, point[1], point[2] + 0.2]);
    const spot = app.stage && onGround(app, event);
    const target = app.shape?.feet ?? /** @type {Point} */ ([app.model.span / 2, 0, 0]);
    if (spot) app.stand([spot.x, spot.y, spot.z + EYES], target);
  });
}

/** @param {App} app @param {{clientX: number, clientY: number}} event */
export function onGround(app, event) {
  const ray = new THREE.Raycaster();
  ray.setFromCamera(new THREE.Vector2(event.clientX / innerWidth * 2 - 1, 1 - event.clientY / innerHeight * 2), app.camera);
  const point = ray.intersectObjects(app.stage?.ground.meshes ?? [])[0]?.point ?? null;
  if (point) point.z /= app.tall;
  return point;
}

/** The tape or loop under a pointer: a tape where one is very near, else the loop of that bay. @param {App} app @param {{clientX: number, clientY: number}} event @returns {import("./app.js").App["now"]["picked"]} */
function pickedBy(app, event) {
  const { shape, model } = app, off = (/** @type {Point} */ p) => {
    const q = app.project(p);
    return q[2] > 1 ? Infinity : Math.hypot(q[0] - event.clientX, q[1] - event.clientY);
  };
  if (!shape || app.state.shape.topology !== "bay") return null;
  if (app.live) {
    const end = model.data.anchors.findIndex((/** @type {any} */ one) => off(one.p) < ON_LINE);
    if (end >= 0) return { kind: "anchor", index: end };
  }
  let tape = -1, best = 14;
  shape.tapes.forEach((p, k) => {
    if (p && off(p) < best) [tape, best] = [k, off(p)];
  });
  if (tape >= 0 && (app.scale ?? 0) > 12) return { kind: "tape", index: tape };
  let loop = -1, near = ON_LINE, per = (shape.backup.length - 1) / shape.bays;
  shape.backup.forEach((p, k) => {
    const d = off(p);
    if (d < near) [loop, near] = [Math.min(Math.floor(k / per), shape.bays - 1), d];
  });
  return loop >= 0 ? { kind: "loop", index: loop } : null;
}

/** The named look after one. @param {string} view */
function following(view) {
  const names = Object.keys(NAMED);
  return names[(names.indexOf(view) + 1) % names.length];
}

/** @param {App} app */
function keys(app) {
  addEventListener("keydown", (event) => {
    const on = /** @type {HTMLElement} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || on.matches("textarea, select, input:not([type=radio])")) return;
    const state = app.model.states["123456789".indexOf(event.key)];
    if (event.key !== "" && "123456789".includes(event.key) && state) app.choose(state.key);
    else if (event.key === "Escape") {
      if (app.now.drawer) app.set({ drawer: "" });
      else { app.set({ chosen: null }); app.fly("whole", false); }
    } else if (event.key === " " && !on.matches("button, input, summary")) {
      event.preventDefault();
      $("#play").click();
    } else if (LAYER_KEYS[event.key]) app.set({ layer: LAYER_KEYS[event.key], chosenLayer: true });
    else if (event.key === "w") app.fly("walker", false);
    else if (event.key === "o") app.fly("whole", false);
    else if (event.key === "p") $("#plain").click();
    else if (event.key === "d") $("#dark").click();
    else if (event.key === "e") $("#tall").click();
    else if (event.key === "f") app.fly(following(app.now.view), false);
    else if (!on.matches("input, summary, [role=tab], [role=slider]")) step(app, event);
  });
}

/** @param {App} app */
function buttons(app) {
  $("#home").addEventListener("click", () => { app.set({ chosen: null }); app.fly("whole", false); });
  $("#near").addEventListener("click", () => app.fly("walker", false));
  $("#tall").addEventListener("click", () => app.stretch(app.tall > 1 ? 1 : TALL));
  $("#from").addEventListener("change", (event) => {
    app.set({ chosen: null });
    app.fly(/** @type {HTMLSelectElement} */ (event.target).value || "whole", false);
  });
  $("#dark").addEventListener("click", () => {
    turnScheme();
    app.recolour();
  });
  $("#plain").addEventListener("click", () => { if (app.stage) app.set({ plain: !app.now.plain }); });
  $("#play").addEventListener("click", () => {
    if (app.state.kind === "still") return;
    if (app.state.kind === "film" && app.now.time >= app.end - 0.01) app.set({ time: 0 });
    if (app.state.kind === "places" && app.now.at >= app.reachOfWalk() - 0.01) app.walk(0);
    app.set({ playing: !app.now.playing, hint: false });
  });
  $("#speed").addEventListener("click", () => app.set({ speed: (app.now.speed + 1) % 3 }));
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-drawer-of]"))) {
    button.addEventListener("click", () => app.set({ drawer: app.now.drawer === button.dataset.drawerOf ? "" : button.dataset.drawerOf ?? "" }));
  }
  for (const button of document.querySelectorAll("aside .close")) button.addEventListener("click", () => app.set({ drawer: "" }));
  document.addEventListener("click", (event) => {
    const button = /** @type {HTMLElement|null} */ (/** @type {HTMLElement} */ (event.target).closest("[data-worst]"));
    if (button) app.look(app.model.data.worst[Number(button.dataset.worst)]);
  });
}
