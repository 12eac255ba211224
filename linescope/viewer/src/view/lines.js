/**
 * Thick lines of a fixed width in pixels, whose points change every frame. A piece is two triangles, rounded at its ends by the
 * shader: where a processor draws, what a line costs is its triangles.
 */
import * as THREE from "three";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {[number, number, number]} Rgb */

/**
 * @typedef {object} Look
 * @property {string} [colour]
 * @property {number} width  pixels
 * @property {number} order  later ones are drawn over earlier ones
 * @property {number} [opacity]
 * @property {boolean} [coloured]  every run has a colour of its own
 * @property {boolean} [covers]  hides what is drawn later behind it
 * @property {boolean} [through]  seen through everything
 * @property {number} [nearer]  offset in depth, so that a core is not eaten by its casing
 */

const VERTEX = /* glsl */ `
  uniform vec2 page; uniform float width;
  attribute vec3 start; attribute vec3 end; attribute vec2 corner;
  #ifdef COLOURED
  attribute vec3 shade;
  varying vec3 vShade;
  #endif
  varying vec3 vAt; // pixels across, along, and how long
  void main() {
    #ifdef COLOURED
    vShade = shade;
    #endif
    vec4 a = modelViewMatrix * vec4(start, 1.0), b = modelViewMatrix * vec4(end, 1.0);
    if (projectionMatrix[2][3] == -1.0) { // what lies behind the eye is cut off in front of it
      float near = -0.5 * projectionMatrix[3][2] / projectionMatrix[2][2];
      if (a.z >= 0.0 && b.z >= 0.0) { gl_Position = vec4(2.0, 2.0, 2.0, 1.0); vAt = vec3(0.0); return; }
      if (a.z >= 0.0) a.xyz = mix(b.xyz, a.xyz, (near - b.z) / (a.z - b.z));
      if (b.z >= 0.0) b.xyz = mix(a.xyz, b.xyz, (near - a.z) / (b.z - a.z));
    }
    a = projectionMatrix * a;
    b = projectionMatrix * b;
    vec3 from = a.xyz / a.w, to = b.xyz / b.w;
    vec2 way = (to.xy - from.xy) * page * 0.5;
    float far = length(way), half_ = width * 0.5;
    way = far > 1e-6 ? way / far : vec2(1.0, 0.0);
    vec2 off = (vec2(way.y, -way.x) * corner.x + way * (2.0 * corner.y - 1.0)) * half_;
    vec3 at = corner.y < 0.5 ? from : to;
    vAt = vec3(corner.x * half_, corner.y < 0.5 ? -half_ : far + half_, far);
    gl_Position = vec4(at.xy + off / (page * 0.5), at.z, 1.0); // divided already, so that pixels are mixed evenly
  }`;

const FRAGMENT = /* glsl */ `
  uniform vec3 colour; uniform float opacity; uniform float width;
  #ifdef COLOURED
  varying vec3 vShade;
  #endif
  varying vec3 vAt;
  void main() {
    float past = max(-vAt.y, vAt.y - vAt.z);
    if (past > 0.0 && past * past + vAt.x * vAt.x > 0.25 * width * width) discard;
    #ifdef COLOURED
    gl_FragColor = vec4(vShade, opacity);
    #else
    gl_FragColor = vec4(colour, opacity);
    #endif
    #include <colorspace_fragment>
  }`;

const CORNERS = [[-1, 0], [1, 0], [-1, 1], [1, 1]], FACES = [0, 1, 2, 1, 3, 2];
const EACH = 6 * CORNERS.length; // numbers of a piece

export class Lines {
  /** @param {THREE.Scene} scene @param {number|Lines} most  pieces, or the lines along which these lie as well @param {Look} look */
  constructor(scene, most, look) {
    /** @type {Lines|null} */
    const beneath = typeof most === "number" ? null : most;
    /** @type {number} */
    this.most = typeof most === "number" ? most : beneath?.most ?? 0;
    /** @type {THREE.BufferGeometry} */
    this.geometry = beneath ? beneath.geometry : cornered(this.most);
    /** @type {THREE.InterleavedBuffer|null} */
    this.places = beneath ? null : held(this.geometry, this.most, ["start", "end"]);
    this.shades = look.coloured ? held(this.geometry, this.most, ["shade"]) : null;
    this.material = new THREE.ShaderMaterial({
      vertexShader: VERTEX, fragmentShader: FRAGMENT, defines: look.coloured ? { COLOURED: "" } : {},
      uniforms: { page: { value: new THREE.Vector2(1, 1) }, width: { value: look.width }, opacity: { value: look.opacity ?? 1 }, colour: { value: new THREE.Color(look.colour) } },
      transparent: true, side: THREE.DoubleSide, depthWrite: look.covers ?? false, depthTest: !look.through,
      polygonOffset: true, polygonOffsetFactor: 0, polygonOffsetUnits: -(look.nearer ?? 0),
    });
    this.object = new THREE.Mesh(this.geometry, this.material);
    this.object.frustumCulled = false; // its box is never computed
    this.object.renderOrder = look.order;
    this.object.visible = false;
    this.object.onBeforeRender = (renderer) => {
      renderer.getViewport(seen);
      this.material.uniforms.page.value.set(seen.z, seen.w);
      this.material.uniformsNeedUpdate = true;
    };
    scene.add(this.object);
  }

  /** Not for those that lie along others. @param {Point[][]} runs @param {Rgb[]} [colours]  of each run */
  set(runs, colours) {
    const { places, shades } = this;
    let n = 0;
    runs.forEach((run, which) => {
      for (let k = 0; k + 1 < run.length && n < this.most; k++, n++) {
        if (places) put(places.array, n * EACH, [...run[k], ...run[k + 1]]);
        if (shades && colours) put(shades.array, n * EACH / 2, colours[which]);
      }
    });
    this.geometry.setDrawRange(0, n * FACES.length);
    if (places) send(places, n * EACH);
    if (shades) send(shades, n * EACH / 2);
    this.object.visible = n > 0;
  }

  /** @param {string} colour */
  recolour(colour) { this.material.uniforms.colour.value.set(colour); }

  set width(/** @type {number} */ pixels) { this.material.uniforms.width.value = pixels; }
  get width() { return this.material.uniforms.width.value; }
}

const seen = new THREE.Vector4();

/** Pieces that know which corner each of their vertices is. @param {number} most */
function cornered(most) {
  const geometry = new THREE.BufferGeometry(), sides = new Int8Array(most * 4 * CORNERS.length), index = new Uint16Array(most * FACES.length);
  for (let piece = 0; piece < most; piece++) {
    CORNERS.forEach((corner, k) => sides.set(corner, 4 * (piece * CORNERS.length + k))); // in fours, as graphics cards want bytes
    FACES.forEach((face, k) => { index[piece * FACES.length + k] = piece * CORNERS.length + face; });
  }
  geometry.setAttribute("corner", new THREE.BufferAttribute(sides, 4));
  geometry.setIndex(new THREE.BufferAttribute(index, 1));
  return geometry;
}

/** Values in threes for every corner, which change. @param {THREE.BufferGeometry} geometry @param {number} most @param {string[]} names */
function held(geometry, most, names) {
  const wide = 3 * names.length, buffer = new THREE.InterleavedBuffer(new Float32Array(most * CORNERS.length * wide), wide).setUsage(THREE.DynamicDrawUsage);
  names.forEach((name, k) => geometry.setAttribute(name, new THREE.InterleavedBufferAttribute(buffer, 3, 3 * k)));
  return buffer;
}

/** The same for all corners of a piece. @param {ArrayLike<number> & {set: any}} array @param {number} from @param {number[]} values */
function put(array, from, values) {
  for (let k = 0; k < CORNERS.length; k++) array.set(values, from + k * values.length);
}

/** Only what was written goes to the graphics card. @param {THREE.InterleavedBuffer} buffer @param {number} count */
function send(buffer, count) {
  buffer.clearUpdateRanges();
  buffer.addUpdateRange(0, count);
  buffer.needsUpdate = count > 0;
}

const DEEP = 1e-6; // of the depth from near to far, far below by what cores stand before what lies beneath them

/**
 * A run without the points that nobody would miss: what is left lies within a tolerance of all that was there, as it is seen, and
 * not before or behind it.
 * @param {Point[]} run
 * @param {(p: Point) => [number, number, number]} P  to pixels and depth
 * @param {number} [within]  pixels
 * @param {number} [longest]  piece, pixels: the depth of a longer strip, thin as it is, is mixed too roughly
 * @returns {number[]}  which points stay
 */
export function thinned(run, P, within = 0.12, longest = 24) {
  const kept = run.length ? [0] : [];
  let from = /** @type {number[]} */ ([]), last = from, far = 0, middle = 0; // bearings and slopes from the last kept point that miss none since
  let [low, high, down, up] = FREE;
  for (let k = 0; k < run.length; k++) {
    const p = P(run[k]);
    if (k === 0) from = p;
    else if (k > 1) {
      const [long, bearing, slope] = course(from, p, middle);
      if (from[2] >= 1 || p[2] >= 1 || bearing < low || bearing > high || slope < down || slope > up || long < far - within || long > longest) {
        kept.push(k - 1);
        [from, far, low, high, down, up] = [last, 0, ...FREE];
      }
    }
    if (far === 0) middle = course(from, p, 0)[1];
    const [long, bearing, slope] = course(from, p, middle), free = long > within ? Math.asin(within / long) : Infinity;
    [low, high] = [Math.max(low, bearing - free), Math.min(high, bearing + free)];
    [down, up] = [Math.max(down, slope - DEEP / long), Math.min(up, slope + DEEP / long)];
    far = Math.max(far, long);
    last = p;
  }
  if (run.length > 1) kept.push(run.length - 1);
  return kept;
}

const FREE = [-Infinity, Infinity, -Infinity, Infinity];

/** How far it is from a point to another one, in which direction, off a given one, and by how much deeper a pixel. @param {number[]} from @param {number[]} to @param {number} middle */
function course(from, to, middle) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]], long = Math.hypot(dx, dy) || 1e-9, turn = Math.atan2(dy, dx) - middle;
  return [long, turn > Math.PI ? turn - 2 * Math.PI : turn < -Math.PI ? turn + 2 * Math.PI : turn, (to[2] - from[2]) / long];
}
