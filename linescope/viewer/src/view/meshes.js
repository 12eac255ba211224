/** Meshes of the scene's file as three.js geometry, turned from glTF's y up into the frame of the line. */
import * as THREE from "three";

/** @typedef {ReturnType<typeof import("../model/glb.js").readGlb>} Gltf */

/**
 * The pieces of all nodes of a name, a second one being "name 2"; empty when the scene has none.
 * @param {Gltf} gltf
 * @param {string} name
 * @returns {{geometry: THREE.BufferGeometry, material: string, image: number|null}[]}
 */
export function piecesOf(gltf, name) {
  const nodes = (gltf.json.nodes ?? []).filter((/** @type {any} */ each) => each.mesh !== undefined && each.name.replace(/ \d+$/, "") === name);
  return nodes.flatMap((/** @type {any} */ node) => gltf.json.meshes[node.mesh].primitives).map((/** @type {any} */ piece) => {
    const geometry = new THREE.BufferGeometry();
    for (const [key, index] of Object.entries(piece.attributes)) {
      const accessor = gltf.json.accessors[/** @type {number} */ (index)], values = gltf.values(/** @type {number} */ (index));
      const wide = values.length / accessor.count;
      const turned = key === "POSITION" || key === "NORMAL" ? inFrame(/** @type {Float32Array} */ (values)) : values;
      geometry.setAttribute(NAMES[key] ?? key.toLowerCase(), new THREE.BufferAttribute(turned, wide, accessor.normalized ?? false));
    }
    if (piece.indices !== undefined) geometry.setIndex(new THREE.BufferAttribute(gltf.values(piece.indices), 1));
    const material = gltf.json.materials?.[piece.material];
    const texture = material?.pbrMetallicRoughness?.baseColorTexture?.index;
    return {
      geometry,
      material: material?.name ?? "",
      image: texture === undefined ? null : gltf.json.textures[texture].source,
    };
  });
}

const NAMES = /** @type {Record<string, string>} */ ({ POSITION: "position", NORMAL: "normal", COLOR_0: "color", TEXCOORD_0: "uv", _NEAR: "near", _HIT: "hit" });

/** (x, z, -y) back to (x, y, z). @param {Float32Array} values */
function inFrame(values) {
  const found = new Float32Array(values.length);
  for (let k = 0; k < values.length; k += 3) {
    found[k] = values[k];
    found[k + 1] = -values[k + 2];
    found[k + 2] = values[k + 1];
  }
  return found;
}

/** Frees what a group holds on the graphics card. @param {THREE.Object3D} group */
export function discard(group) {
  group.traverse((one) => {
    const mesh = /** @type {any} */ (one);
    mesh.geometry?.dispose();
    mesh.material?.uniforms?.photo?.value?.dispose();
    mesh.material?.dispose();
  });
}
