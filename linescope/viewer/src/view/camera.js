/** Where the picture is seen from: fitting it into what is left of the page, flying there, standing somewhere. */
import * as THREE from "three";
import { clamp, lerp, smooth } from "../model/numbers.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {{x: number, y: number, w: number, h: number}} Rect  pixels of the page */
/** @typedef {{eye: THREE.Vector3, target: THREE.Vector3, field: number}} Look */

const ROUNDS = 26;
const FLIGHT = 650; // milliseconds

/** @param {number} field  vertical angle of view, degrees */
export function makeCamera(field) {
  const camera = new THREE.PerspectiveCamera(field, 1, 0.3, 4000);
  camera.up.set(0, 0, 1);
  return camera;
}

const spare = makeCamera(24), seen = new THREE.Vector3();

/**
 * The look from a direction at which points just fill a rectangle of the page: what is seen is shifted into its middle and the
 * distance scaled, again and again.
 * @param {Point[]} points
 * @param {number} azimuth  0 looks along +y; radians
 * @param {number} tilt  upwards of level; radians
 * @param {Rect} rect
 * @param {number} width  of the page
 * @param {number} height
 * @param {number} field
 * @param {number} span  a first guess of the distance comes from it
 * @returns {Look}
 */
export function fit(points, azimuth, tilt, rect, width, height, field, span) {
  spare.fov = field;
  spare.aspect = width / height;
  spare.updateProjectionMatrix();
  const back = new THREE.Vector3(Math.sin(azimuth) * Math.cos(tilt), -Math.cos(azimuth) * Math.cos(tilt), Math.sin(tilt));
  const target = points.reduce((sum, p) => sum.add(new THREE.Vector3(...p)), new THREE.Vector3()).divideScalar(points.length);
  const [left, right] = [rect.x / width * 2 - 1, (rect.x + rect.w) / width * 2 - 1];
  const [top, low] = [1 - rect.y / height * 2, 1 - (rect.y + rect.h) / height * 2];
  let far = 2.4 * span;
  for (let round = 0; round < ROUNDS; round++) {
    spare.position.copy(target).addScaledVector(back, far);
    spare.lookAt(target);
    spare.updateMatrixWorld();
    let [x0, x1, y0, y1] = [9, -9, 9, -9];
    for (const point of points) {
      seen.set(...point).project(spare);
      x0 = Math.min(x0, seen.x); x1 = Math.max(x1, seen.x);
      y0 = Math.min(y0, seen.y); y1 = Math.max(y1, seen.y);
    }
    const ratio = Math.max((x1 - x0) / (right - left), (y1 - y0) / (top - low));
    far *= lerp(1, clamp(ratio, 0.2, 5), 0.8);
    const half = Math.tan(field * Math.PI / 360) * far;
    target.addScaledVector(new THREE.Vector3(1, 0, 0).applyQuaternion(spare.quaternion), ((x0 + x1) / 2 - (left + right) / 2) * half * spare.aspect * 0.8);
    target.addScaledVector(new THREE.Vector3(0, 1, 0).applyQuaternion(spare.quaternion), ((y0 + y1) / 2 - (top + low) / 2) * half * 0.8);
  }
  return { eye: target.clone().addScaledVector(back, far), target, field };
}

/** Pixels to a metre at a point. @param {THREE.PerspectiveCamera} camera @param {Point} point @param {number} height */
export function pixelsPerMetre(camera, point, height) {
  return height / (2 * Math.tan(camera.fov * Math.PI / 360) * camera.position.distanceTo(seen.set(...point)));
}

/** Flies a camera from one look to another. */
export class Flight {
  /**
   * @param {THREE.PerspectiveCamera} camera
   * @param {{target: THREE.Vector3}} control
   * @param {() => void} paint
   */
  constructor(camera, control, paint) {
    this.camera = camera;
    this.control = control;
    this.paint = paint;
    this.turn = 0;
    this.flying = false;
  }

  /** @param {Look} to @param {boolean} at_once @param {() => void} [landed] */
  go(to, at_once, landed) {
    const turn = ++this.turn, { camera, control } = this;
    const from = { eye: camera.position.clone(), target: control.target.clone(), field: camera.fov };
    const put = (/** @type {number} */ share) => {
      camera.position.lerpVectors(from.eye, to.eye, share);
      control.target.lerpVectors(from.target, to.target, share);
      camera.fov = lerp(from.field, to.field, share);
      camera.updateProjectionMatrix();
      camera.lookAt(control.target);
      camera.updateMatrixWorld();
    };
    if (at_once || matchMedia("(prefers-reduced-motion: reduce)").matches) {
      put(1);
      this.flying = false;
      landed?.();
      this.paint();
      return;
    }
    const start = performance.now();
    this.flying = true;
    const step = () => {
      if (turn !== this.turn) return;
      const share = clamp((performance.now() - start) / FLIGHT, 0, 1);
      put(smooth(share));
      if (share < 1) requestAnimationFrame(step);
      else {
        this.flying = false;
        landed?.();
      }
      this.paint();
    };
    step();
  }

  stop() {
    this.turn++;
    this.flying = false;
  }
}
