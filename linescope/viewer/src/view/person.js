/** People to scale, as the scene's file has them: clothed, with a pale rim that parts them from what is behind. */
import * as THREE from "three";
import { discard, piecesOf } from "./meshes.js";

const RIM = 0.05; // metres

/**
 * @param {import("../model/types.js").Model} model
 * @param {string} name  of the node
 * @returns {THREE.Group}  empty when the scene has nobody in that pose
 */
function body(model, name) {
  const group = new THREE.Group();
  for (const { geometry, material } of piecesOf(model.gltf, name)) {
    if (!geometry.attributes.normal) geometry.computeVertexNormals();
    geometry.deleteAttribute("color");
    const colour = model.colours[material] ?? model.colours.walker;
    const rim = new THREE.Mesh(geometry, new THREE.MeshBasicMaterial({ color: model.colours.casing, side: THREE.BackSide, depthWrite: false }));
    rim.material.onBeforeCompile = (shader) => {
      shader.vertexShader = shader.vertexShader.replace("#include <begin_vertex>", `vec3 transformed = position + normal * ${RIM};`);
    };
    rim.renderOrder = 15;
    const skin = new THREE.Mesh(geometry, new THREE.MeshLambertMaterial({ color: colour, emissive: colour, emissiveIntensity: 0.2 }));
    skin.renderOrder = 16;
    group.add(rim, skin);
  }
  return group;
}

export class Person {
  /** @param {import("../model/types.js").Model} model @param {THREE.Scene} scene */
  constructor(model, scene) {
    this.standing = body(model, "person standing");
    this.hanging = body(model, "person hanging");
    this.height = model.data.walker?.height ?? 1.8;
    this.scene = scene;
    scene.add(this.standing, this.hanging);
  }

  /** Away with it. */
  dispose() {
    this.scene.remove(this.standing, this.hanging);
    discard(this.standing);
    discard(this.hanging);
  }

  /**
   * @param {import("../model/types.js").Shape} shape
   * @param {number} scale  1 is true
   * @param {number} [tall]  how many times heights are drawn, which nobody grows by
   */
  place(shape, scale, tall = 1) {
    const hangs = shape.fallen > 0.15 && shape.tie !== null;
    this.standing.visible = !hangs && shape.feet !== null;
    this.hanging.visible = hangs;
    if (shape.feet) this.standing.position.set(...shape.feet);
    if (hangs && shape.tie) this.hanging.position.set(...shape.tie);
    this.hanging.rotation.set(0.9 * (1 - shape.fallen), 0, 0);
    for (const each of [this.standing, this.hanging]) each.scale.set(scale, scale, scale / tall);
  }
}
