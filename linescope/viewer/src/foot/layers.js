/** The switch of layers, and the legend of what is on screen. */

import { scheme, shadeOf } from "../view/scheme.js";

/** @typedef {import("../model/types.js").Model} Model */

/** @type {string[]} */
export const LAYERS = ["left", "tension", "depth", "touch", "rub"];
export const LAYER_KEYS = /** @type {Record<string, string>} */ ({ g: "left", t: "tension", l: "depth", c: "touch", r: "rub" });

/**
 * @param {Model} model
 * @param {HTMLElement} box
 * @param {(layer: string) => void} choose
 */
export function makeLayers(model, box, choose) {
  const shown = LAYERS.filter((key) => model.data.layers?.[key]).map((key) => `${key} ${model.data.layers[key].name}`).join();
  if (box.dataset.shown === shown) return;
  box.dataset.shown = shown;
  box.replaceChildren();
  for (const key of LAYERS) {
    const layer = model.data.layers?.[key];
    if (!layer) continue;
    const label = document.createElement("label"), input = document.createElement("input"), name = document.createElement("span");
    Object.assign(input, { type: "radio", name: "layer", value: key });
    name.textContent = layer.name;
    input.addEventListener("change", () => choose(key));
    label.append(input, name);
    box.append(label);
  }
}

/**
 * Entries of the legend: what this layer shows, and lines and tapes that are on screen.
 * @param {Model} model
 * @param {HTMLElement} box
 * @param {{text: string, role?: string, colour?: string, pattern?: string}[]} entries
 */
export function showLegend(model, box, entries) {
  const key = [scheme(), ...entries.map((one) => `${one.text}|${one.role}|${one.colour}`)].join("\n");
  if (box.dataset.shown === key) return;
  box.dataset.shown = key;
  box.replaceChildren(...entries.map((one) => {
    const item = document.createElement("span"), swatch = document.createElement("i");
    swatch.className = `swatch ${one.pattern ?? ""}`;
    swatch.style.setProperty("--swatch", shadeOf(one) ?? model.colours[one.role ?? "ink"] ?? "#000");
    item.append(swatch, one.text);
    return item;
  }));
}
