/** What is behind everything: the page's own colours, as its style sheet has them, so that the picture covers the page wholly. */
import * as THREE from "three";

const VERTEX = /* glsl */ `
  varying vec2 vAt;
  void main() { vAt = vec2(position.x + 1.0, 1.0 - position.y) * 0.5; gl_Position = vec4(position.xy, 1.0, 1.0); }`;

// radial-gradient(120% 90% at 50% 30%, glow 0, page 55%, edge 100%)
const FRAGMENT = /* glsl */ `
  uniform vec3 glow; uniform vec3 page; uniform vec3 edge;
  varying vec2 vAt;
  void main() {
    float out_ = length((vAt - vec2(0.5, 0.3)) / vec2(1.2, 0.9));
    gl_FragColor = vec4(out_ < 0.55 ? mix(glow, page, out_ / 0.55) : mix(page, edge, min((out_ - 0.55) / 0.45, 1.0)), 1.0);
  }`;

export class Sky {
  constructor() {
    this.uniforms = { glow: { value: new THREE.Color() }, page: { value: new THREE.Color() }, edge: { value: new THREE.Color() } };
    const mesh = new THREE.Mesh(new THREE.PlaneGeometry(2, 2), new THREE.ShaderMaterial({
      vertexShader: VERTEX, fragmentShader: FRAGMENT, uniforms: this.uniforms, depthTest: false, depthWrite: false,
    }));
    mesh.frustumCulled = false;
    this.scene = new THREE.Scene();
    this.scene.add(mesh);
    this.recolour();
  }

  get state() { return Object.values(this.uniforms).map(({ value }) => value.getHex()).join(" "); }

  /** As the style sheet has it now; mixed as it mixes them, not in linear light. */
  recolour() {
    const style = getComputedStyle(document.documentElement);
    for (const [name, { value }] of Object.entries(this.uniforms)) value.set(style.getPropertyValue(`--${name}`).trim()).convertLinearToSRGB();
  }
}
