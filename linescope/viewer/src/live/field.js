/** One value of the scene that can be edited: in a sentence, or in a row of its own with all that can be said of it. */
import { latest, make } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */

const WHOLE = /^\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+))(\s*)(.*)$/s;
const READY = /^\s*[-+]?(?:\d+(?:\.\d+)?|\.\d+)\s*(?:[A-Za-z%°][^\s,]*)\s*$/;
const SOON = 600; // milliseconds after the last letter
const KNOWN = ["assumed", "guess", "measured", "sheet"];
let count = 0;

/** A number stepped in its last digit, with what stands behind it as it was. @param {string} text @param {number} by @returns {string|null} */
export function stepped(text, by) {
  const found = WHOLE.exec(text);
  if (!found) return null;
  const decimals = (found[1].split(".")[1] ?? "").length, scale = 10 ** decimals;
  return `${(Math.round(Number(found[1]) * scale + by) / scale).toFixed(decimals)}${found[2]}${found[3]}`;
}

/** The box in which a value is typed or chosen. */
export class Box {
  /** @param {Live} live @param {any} field @param {string} title  of its section */
  constructor(live, field, title) {
    this.live = live;
    this.path = field.path;
    this.draft = /** @type {string|null} */ (null);
    this.gesture = "";
    this.timer = 0;
    this.id = `f${++count}`;
    this.slide = latest((text, gesture) => live.act("edit", this.path, text, gesture));
    const shared = { id: this.id, "data-path": field.path, "data-focus": field.path, "aria-label": `${title}: ${field.label}` };
    if (field.kind === "choice" || field.kind === "flag") this.element = make("select", { ...shared, onchange: () => live.act("edit", this.path, this.element.value) });
    else {
      const listen = { oninput: () => this.typed(), onblur: () => this.left(), onkeydown: (/** @type {KeyboardEvent} */ event) => this.key(event) };
      this.element = field.kind === "lines" ? make("textarea", { ...shared, rows: 4, ...listen }) : make("input", { ...shared, type: "text", autocomplete: "off", spellcheck: false, ...listen });
    }
    this.field = field;
    this.update(field);
  }

  /** @param {any} field */
  update(field) {
    const { element, live } = this;
    this.field = field;
    const known = field.what_if ? "tried" : field.known;
    element.dataset.known = known;
    element.toggleAttribute("data-changed", field.changed);
    element.title = [field.error, field.what_if, KNOWN.includes(field.known) ? live.t(`known-${field.known}`) : "", field.help].filter(Boolean).join(" · ");
    element.setAttribute("aria-invalid", String(Boolean(field.error)));
    if (element.tagName === "SELECT") {
      const options = field.required && field.present ? field.options : ["", ...field.options], key = options.join("\n") + field.placeholder;
      if (element.dataset.options !== key) {
        element.dataset.options = key;
        element.replaceChildren(...options.map((/** @type {string} */ one) => make("option", { value: one }, one || (field.placeholder || live.t("not-given")))));
      }
      element.value = field.text;
    } else {
      element.placeholder = field.placeholder;
      if (this.draft === null && element.value !== field.text) element.value = field.text;
      this.width();
    }
  }

  width() { if (this.element.tagName === "INPUT") this.element.size = Math.min(34, Math.max(3, (this.element.value || this.element.placeholder).length)); }

  typed() {
    this.draft = this.element.value;
    this.width();
    clearTimeout(this.timer);
    this.gesture ||= `t${this.id}-${Date.now()}`;
    if (this.field.kind === "quantity" && READY.test(this.draft ?? "")) this.timer = window.setTimeout(() => this.send(), SOON);
  }

  async send() {
    clearTimeout(this.timer);
    const { draft } = this;
    if (draft === null || draft === this.field.text) return;
    await this.live.act("edit", this.path, draft, this.gesture);
    if (this.draft === draft && document.activeElement !== this.element) this.rest();
  }

  /** What was typed gives way to what the program made of it. */
  rest() {
    this.draft = null;
    this.gesture = "";
    this.update(this.field);
  }

  async left() {
    await this.send();
    this.rest();
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    const { element, field } = this;
    if (event.key === "Escape") {
      event.stopPropagation();
      clearTimeout(this.timer);
      this.draft = null;
      element.value = field.text;
    } else if (event.key === "Enter" && field.kind !== "lines") {
      await this.send();
      this.draft = null;
      this.gesture = "";
      this.update(this.field);
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && ["quantity", "whole"].includes(field.kind)) {
      const next = stepped(element.value, (event.key === "ArrowUp" ? 1 : -1) * (event.shiftKey ? 10 : 1));
      if (next === null) return;
      event.preventDefault();
      element.value = next;
      this.draft = next;
      this.gesture ||= `k${this.id}-${Date.now()}`;
      this.slide(next, this.gesture);
    }
  }
}

/** A row of the form: label, box, slider, error, and behind a button all that can be said of the value. */
export class Row {
  /** @param {Live} live @param {any} field @param {string} title */
  constructor(live, field, title) {
    const t = live.t.bind(live), whole = { title, field: field.label };
    this.live = live;
    this.title = title;
    this.box = new Box(live, field, title);
    this.mark = make("span", { className: "mark" });
    this.error = make("p", { className: "alarm small", id: `${this.box.id}-error` });
    this.note = make("p", { className: "small" });
    this.slider = make("input", { type: "range", "aria-label": t("slider", whole), oninput: () => this.slid(), onchange: () => { this.gesture = ""; } });
    this.gesture = "";
    this.more = make("div", { className: "more", hidden: true, id: `${this.box.id}-more` });
    const button = make("button", { type: "button", className: "dots", "aria-label": t("more", whole), "aria-expanded": "false", "aria-controls": this.more.id, onclick: () => {
      this.more.hidden = !this.more.hidden;
      button.setAttribute("aria-expanded", String(!this.more.hidden));
      this.details();
    } }, "…");
    this.element = make("div", { className: "field", "data-row": field.path }, make("label", { for: this.box.id }, field.label), this.mark, button, this.box.element, this.slider, this.error, this.note, this.more);
    this.box.element.setAttribute("aria-describedby", this.error.id);
    this.update(field);
  }

  /** @param {any} field */
  update(field) {
    const { live } = this;
    this.field = field;
    this.box.update(field);
    const known = field.what_if ? live.t("what-if") : KNOWN.includes(field.known) ? live.t(`known-${field.known}`) : "";
    this.mark.textContent = [known, field.changed ? live.t("unsaved") : ""].filter(Boolean).join(", ");
    this.error.textContent = field.error;
    this.error.hidden = !field.error;
    this.note.textContent = field.what_if;
    this.note.hidden = !field.what_if;
    this.slider.hidden = !field.slider;
    if (field.slider && !this.gesture) {
      const { low, high, step, value } = field.slider;
      Object.assign(this.slider, { min: low, max: high, step, value });
      this.slider.setAttribute("aria-valuetext", field.text);
    }
    if (!this.more.hidden) this.details();
  }

  slid() {
    const { step, unit } = this.field.slider, decimals = Math.min(4, Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));
    this.gesture ||= `s${this.box.id}-${Date.now()}`;
    this.box.slide(`${Number(this.slider.value).toFixed(decimals)} ${unit}`.trim(), this.gesture);
  }

  details() {
    const { field, live, title } = this, t = live.t.bind(live), whole = { title, field: field.label };
    const key = JSON.stringify([field.own_known, field.low, field.high, field.present, field.allowed]);
    if (this.more.dataset.shown === key) return;
    this.more.dataset.shown = key;
    const choice = (/** @type {string} */ name, /** @type {string} */ label, /** @type {[string, string][]} */ options, /** @type {string} */ value, /** @type {(value: string) => void} */ done) => {
      const box = make("select", { "aria-label": label, onchange: () => done(box.value) }, ...options.map(([key, text]) => make("option", { value: key }, text)));
      box.value = value;
      return make("label", {}, `${name} `, box);
    };
    const end = (/** @type {"low"|"high"} */ which) => {
      const box = make("input", { type: "text", value: field[which], "aria-label": t(`${which}-of`, whole), onchange: () => live.act("set_limit", field.path, which, box.value) });
      return make("label", {}, `${t(`${which}-end`)} `, box);
    };
    this.more.replaceChildren(...[
      make("p", { className: "small" }, `${field.help} ${t("allowed", { allowed: field.allowed })}`),
      field.alternatives.length ? choice(t("give-by"), t("give-by-of", whole), field.alternatives.map((/** @type {any} */ one) => [one.name, one.label]), field.path.split(".").pop(), (name) => live.act("choose", field.path, name)) : null,
      field.can_be_known ? choice(t("known-from"), t("known-from-of", whole), [["", t("not-said")], .../** @type {[string, string][]} */ (["measured", "sheet", "guess"].map((one) => [one, t(`known-${one}`)]))], field.own_known, (how) => live.act("set_known", field.path, how)) : null,
      ...(field.banded ? [end("low"), end("high")] : []),
      field.present && !field.required && field.kind !== "lines" ? make("button", { type: "button", onclick: () => live.act("edit", field.path, "") }, t("take-out", { field: field.label })) : null,
    ].filter((one) => one !== null));
  }
}
