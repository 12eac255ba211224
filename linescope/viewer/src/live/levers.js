/** Sliders for what can be changed: what surfaces say of a setting stands beside them at once, as an estimate. */
import { latest, make, table } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */
/** @typedef {{name: string, low: number, high: number, step: number, now: number, value: number}} Lever */
/** @typedef {{values: number[], sets: string[], rows: string[][], short: boolean[]}} Told */

/** A value within a lever's range: what the scene has may lie outside. @param {Lever} lever @param {number} value @returns {number} */
export const placed = (lever, value) => Math.min(Math.max(value, lever.low), lever.high);

/** Where an arrow key takes a lever: by what hands can set; null for other keys. @param {Lever} lever @param {number} value @param {string} key @returns {number|null} */
export function stepped(lever, value, key) {
  const by = /** @type {Record<string, number>} */ ({ ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 })[key];
  return by ? placed(lever, value + by * lever.step) : null;
}

export class Levers {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    /** @type {Lever[]} */
    this.sliders = [];
    /** @type {number[]} */
    this.values = [];
    /** @type {HTMLElement|null} */
    this.box = null;
    /** What surfaces say of the newest setting. */
    this.ask = latest(async () => {
      const box = this.box, result = await this.live.act("foretell", this.values);
      if (box === this.box && result?.said) this.show(result.said);
    });
  }

  /** Sliders of an advice; what was turned stays while it is of the same one. @param {Lever[]} sliders @param {boolean} old @returns {HTMLElement} */
  draw(sliders, old) {
    const { live } = this, t = live.t.bind(live);
    if (JSON.stringify(sliders) !== JSON.stringify(this.sliders)) {
      this.sliders = sliders;
      this.values = sliders.map((lever) => lever.value);
    }
    this.told = make("div", { className: "foretold", role: "status" });
    this.inputs = sliders.map((lever, k) => make("input", {
      type: "range", min: String(lever.low), max: String(lever.high), step: "any", value: String(placed(lever, this.values[k])),
      "aria-label": lever.name, "data-focus": `lever-${k}`, oninput: () => this.turned(k), onkeydown: (/** @type {KeyboardEvent} */ event) => this.pressed(k, event),
    }));
    this.named = sliders.map((lever) => make("span", {}, lever.name));
    this.box = make("details", { "data-key": "levers", id: "levers", ontoggle: () => { if (this.box instanceof HTMLDetailsElement && this.box.open) this.ask(); } },
      make("summary", {}, t("levers")), make("p", { className: "small" }, t("levers-first")),
      ...this.inputs.map((input, k) => make("label", { className: "lever" }, this.named?.[k], input)), this.told,
      make("p", { className: "row" },
        make("button", { type: "button", id: "adopt-levers", "data-focus": "adopt-levers", disabled: old, onclick: () => live.act("adopt_levers", this.values) }, t("levers-adopt")),
        make("button", { type: "button", "data-focus": "levers-now", onclick: () => this.back() }, t("levers-now"))));
    return /** @type {HTMLElement} */ (this.box);
  }

  /** @param {number} k */
  turned(k) {
    this.values[k] = Number(this.inputs?.[k].value);
    this.ask();
  }

  /** @param {number} k @param {KeyboardEvent} event */
  pressed(k, event) {
    const value = stepped(this.sliders[k], this.values[k], event.key);
    if (value === null) return;
    event.preventDefault();
    this.values[k] = value;
    this.ask();
  }

  /** All levers as the scene has them. */
  back() {
    this.values = this.sliders.map((lever) => lever.now);
    this.ask();
  }

  /** @param {Told} told */
  show(told) {
    const { live } = this, t = live.t.bind(live);
    this.values = told.values;
    told.sets.forEach((text, k) => {
      if (this.named) this.named[k].textContent = text;
      if (this.inputs) {
        this.inputs[k].value = String(placed(this.sliders[k], told.values[k]));
        this.inputs[k].setAttribute("aria-valuetext", text);
      }
    });
    const rows = table(t("levers"), [t("levers-head-wish"), t("levers-head-about"), t("levers-head-missed")], told.rows);
    rows.querySelectorAll("tbody tr").forEach((/** @type {HTMLElement} */ row, /** @type {number} */ k) => row.classList.toggle("short", told.short[k]));
    this.told?.replaceChildren(rows);
  }
}
