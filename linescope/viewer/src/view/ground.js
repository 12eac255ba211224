/**
 * The ground: its light was baked when the scene was written, so nothing is lit and no shadow drawn here. What reaches it, or
 * comes nearer than asked, is painted by the shader from distances at the corners, hatched as wide as the eye needs it.
 */
import * as THREE from "three";
import { discard, piecesOf } from "./meshes.js";

/** Whose distances are painted: components of the file's attributes. */
export const PAINTED = /** @type {const} */ ({ all: 0, fall: 1, gone: 2, rest: 3, none: -1 });

const HATCH = /* glsl */ `
  uniform float pitch;
  float hatch(float along, float duty) {
    float soft = fwidth(along), saw = abs(fract(along) - 0.5) * 2.0;
    float stroke = 1.0 - smoothstep(duty - soft, duty + soft, saw);
    return mix(stroke, duty, smoothstep(0.35, 0.9, soft)); // grey where strokes are finer than pixels
  }`;

const VERTEX = /* glsl */ `
  attribute vec4 color;
  #ifdef DANGER
  attribute vec4 near; attribute vec4 hit;
  varying vec4 vNear; varying vec4 vHit;
  #endif
  #ifdef PHOTO
  varying vec2 vUv;
  #endif
  varying vec4 vColour; varying vec3 vPlace;
  void main() {
    vColour = color; vPlace = position;
    #ifdef DANGER
    vNear = near; vHit = hit;
    #endif
    #ifdef PHOTO
    vUv = uv;
    #endif
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  }`;

const FRAGMENT = /* glsl */ `
  ${HATCH}
  uniform int painted; uniform float cut; uniform float aside; uniform float baked; uniform vec3 hitColour; uniform vec3 nearColour; uniform vec3 nearEdge;
  #ifdef DANGER
  varying vec4 vNear; varying vec4 vHit;
  #endif
  #ifdef PHOTO
  uniform sampler2D photo; varying vec2 vUv;
  #endif
  varying vec4 vColour; varying vec3 vPlace;
  void main() {
    if (vPlace.x > cut || vPlace.y < aside) discard;
    vec4 colour = vColour;
    #ifdef PHOTO
    colour.rgb *= texture2D(photo, vUv).rgb;
    #endif
    colour.rgb *= baked;
    #ifdef FACE
    colour.rgb *= 1.0 - 0.2 * hatch((vPlace.x + vPlace.z) / pitch / 0.9, 0.2);
    #endif
    #ifdef DANGER
    if (painted >= 0) {
      float gapNear = painted == 0 ? vNear.x : painted == 1 ? vNear.y : painted == 2 ? vNear.z : vNear.w;
      float gapHit = painted == 0 ? vHit.x : painted == 1 ? vHit.y : painted == 2 ? vHit.z : vHit.w;
      float limit = 128.0 / 255.0, soft = max(fwidth(gapHit), 1e-4), softNear = max(fwidth(gapNear), 1e-4);
      float isHit = 1.0 - smoothstep(limit - soft, limit + soft, gapHit);
      float isNear = 1.0 - smoothstep(limit - softNear, limit + softNear, gapNear);
      float stroke = hatch((vPlace.x + vPlace.y + vPlace.z) / pitch / 1.1, 0.46);
      colour.rgb = mix(colour.rgb, mix(nearColour, nearEdge, 0.12 * stroke), isNear * mix(0.3, 0.94, stroke));
      colour.rgb = mix(colour.rgb, hitColour, isHit * 0.93);
    }
    #endif
    if (colour.a < 0.004) discard;
    gl_FragColor = colour;
    #include <colorspace_fragment>
  }`;

export class Ground {
  /**
   * @param {import("../model/types.js").Model} model
   * @param {THREE.Scene} scene
   * @param {number} sharpness  anisotropy of a photo: 1 where a processor draws
   */
  constructor(model, scene, sharpness) {
    const colour = (/** @type {string} */ role) => new THREE.Color(model.colours[role] ?? "#888888");
    this.uniforms = {
      pitch: { value: 1 }, painted: { value: /** @type {number} */ (PAINTED.none) },
      cut: { value: 1e9 }, aside: { value: -1e9 }, baked: { value: Number(model.colours.baked ?? 1) },
      hitColour: { value: colour("ground_hit") }, nearColour: { value: colour("ground_near") }, nearEdge: { value: colour("near_edge") },
    };
    /** @type {THREE.Mesh[]} */
    this.meshes = [];
    this.group = new THREE.Group();
    this.photos = 0; // that have come
    this.scene = scene;
    scene.add(this.group);
    const face = piecesOf(model.gltf, "cut face"), edge = piecesOf(model.gltf, "ground edge");
    for (const piece of face) this.add(piece, -2, { FACE: "" });
    for (const piece of piecesOf(model.gltf, "ground")) {
      const mesh = this.add(piece, 0, piece.geometry.attributes.near ? { DANGER: "" } : {});
      if (piece.image !== null) this.photo(mesh, model.gltf.image(piece.image), sharpness);
      this.meshes.push(mesh);
    }
    for (const piece of piecesOf(model.gltf, "water")) this.add(piece, 1, {});
    for (const [name, opacity] of /** @type {const} */ ([["contours", 0.3], ["contours bold", 0.55]])) {
      for (const piece of piecesOf(model.gltf, name)) this.strokes(piece.geometry, model.colours.contour, opacity, 3);
    }
    for (const piece of piecesOf(model.gltf, "area")) this.strokes(piece.geometry, model.colours.ink, 0.9, 4);
    for (const piece of edge) this.strokes(piece.geometry, model.colours.ground_edge, 1, 3);
  }

  /**
   * @param {{geometry: THREE.BufferGeometry}} piece
   * @param {number} order
   * @param {Record<string, string>} defines
   */
  add(piece, order, defines) {
    const { geometry } = piece;
    if (geometry.attributes.color?.itemSize === 3) widen(geometry);
    const material = new THREE.ShaderMaterial({
      vertexShader: VERTEX, fragmentShader: FRAGMENT, uniforms: { ...this.uniforms, photo: { value: null } }, defines,
      transparent: true, side: THREE.DoubleSide, polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 8,
    });
    const mesh = new THREE.Mesh(geometry, material);
    mesh.renderOrder = order;
    this.group.add(mesh);
    return mesh;
  }

  /** @param {THREE.Mesh} mesh @param {Blob} picture @param {number} sharpness */
  async photo(mesh, picture, sharpness) {
    const texture = new THREE.Texture(await createImageBitmap(picture));
    Object.assign(texture, { flipY: false, colorSpace: THREE.SRGBColorSpace, anisotropy: sharpness, needsUpdate: true });
    const material = /** @type {THREE.ShaderMaterial} */ (mesh.material);
    material.uniforms.photo.value = texture;
    material.defines.PHOTO = "";
    material.needsUpdate = true;
    this.photos++;
    this.changed?.();
  }

  /** @type {(() => void)|undefined} told when a photo has come */
  changed;

  /** @param {THREE.BufferGeometry} geometry @param {string} colour @param {number} opacity @param {number} order */
  strokes(geometry, colour, opacity, order) {
    const lines = new THREE.LineSegments(geometry, new THREE.LineBasicMaterial({ color: colour, transparent: true, opacity, depthWrite: false }));
    geometry.deleteAttribute("color");
    lines.renderOrder = order;
    this.group.add(lines);
  }

  /** Where it stands in the frame of the line as it is now. @param {import("../model/types.js").Model["moved"]} moved */
  stand(moved) {
    this.group.position.set(moved?.x ?? 0, moved?.y ?? 0, moved?.z ?? 0);
    this.group.rotation.z = moved?.angle ?? 0;
  }

  /** Cut by a plane across the line, what lies farther along is not drawn; or along it, what lies before it. @param {number|null} at  metres from A @param {boolean} along */
  cutAt(at, along) {
    this.uniforms.cut.value = along ? 1e9 : at ?? 1e9;
    this.uniforms.aside.value = along ? 0 : -1e9;
  }

  /** All that its picture depends on, besides from where it is seen. */
  get state() {
    const { position, rotation } = this.group;
    return JSON.stringify([this.group.id, this.photos, position.toArray(), rotation.z, Object.values(this.uniforms).map((each) => each.value)]);
  }

  /** Away with it. */
  dispose() {
    this.scene.remove(this.group);
    discard(this.group);
  }

  /** @param {number} which  one of `PAINTED` */
  paint(which) { this.uniforms.painted.value = which; }

  /** Strokes of the hatches as wide as the eye needs them. @param {number} pixelsPerMetre  at the line */
  zoomed(pixelsPerMetre) { this.uniforms.pitch.value = 2 ** Math.round(Math.log2(12 / pixelsPerMetre)); }
}

/** Colours without a fade get one. @param {THREE.BufferGeometry} geometry */
function widen(geometry) {
  const from = geometry.attributes.color, found = new Float32Array(from.count * 4);
  for (let k = 0; k < from.count; k++) found.set([from.getX(k), from.getY(k), from.getZ(k), 1], 4 * k);
  geometry.setAttribute("color", new THREE.BufferAttribute(found, 4));
}
