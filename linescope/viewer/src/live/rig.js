/** The rig in words: sentences whose values can be edited, and behind them every key of the scene. */
import { fill, find, make } from "./dom.js";
import { Box, Row } from "./field.js";

/** @typedef {import("./live.js").Live} Live */

const SLOT = /\ue000([^\ue001]+)\ue001/;

export class Rig {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    this.top = make("div", { className: "row" });
    this.words = make("div", { id: "sentences" });
    this.key = make("p", { className: "small", id: "marks" });
    this.sections = make("div", { id: "sections" });
    find("#inside-rig").append(this.top, this.words, this.key, this.sections);
    /** @type {Map<string, Box>} in sentences */
    this.boxes = new Map();
    /** @type {Map<string, Row>} */
    this.rows = new Map();
  }

  draw() {
    const { live } = this, { form } = live;
    if (form === this.drawn) return this.head();
    this.drawn = form;
    const fields = new Map(form.sections.flatMap((/** @type {any} */ section) => section.fields.map((/** @type {any} */ field) => [field.path, { field, title: section.title }])));
    this.head();
    this.sentences(form.sentences, fields);
    fill(this.key, [1], () => ["measured", "guess", "assumed"].map((known) => make("span", { "data-known": known }, live.t(`mark-${known}`))));
    this.form(form.sections);
  }

  head() {
    const { live } = this, { status } = live;
    fill(this.top, [status.file, status.dirty, status.reason !== "", status.kept, status.kept_as, status.variants, status.active], () => {
      const kept = status.kept.length ? make("select", { "aria-label": live.t("kept"), "data-focus": "kept", onchange: (/** @type {any} */ event) => live.act("use_variant", event.target.value) },
        make("option", { value: "" }, live.t("own")), ...status.kept.map((/** @type {string} */ name) => make("option", { value: name }, name))) : null;
      if (kept) kept.value = status.kept_as;
      return [
        make("b", { id: "file" }, status.dirty ? live.t("not-saved", { file: status.file }) : status.file),
        make("button", { type: "button", id: "save", "data-focus": "save", disabled: !status.dirty || status.reason !== "", onclick: () => live.act("save") }, live.t("save")),
        ...(kept ? [make("label", {}, `${live.t("kept")} `, kept)] : []),
        ...(status.variants.length > 1 ? [make("div", { role: "group", className: "row", "aria-label": live.t("edited") }, ...status.variants.map((/** @type {string} */ name) => make("button", {
          type: "button", "data-focus": name, "aria-pressed": String(name === status.active), onclick: () => live.act("activate", name),
        }, live.t("edit", { name: live.t(name) }))))] : []),
      ];
    });
  }

  /** @param {string[]} sentences @param {Map<string, any>} fields */
  sentences(sentences, fields) {
    const key = sentences.map((text) => text + [...text.matchAll(new RegExp(SLOT, "g"))].map((found) => fields.get(found[1])?.field.kind).join()).join("\n");
    if (this.words.dataset.shown !== key) {
      this.words.dataset.shown = key;
      this.boxes.clear();
      this.words.replaceChildren(...sentences.map((text) => {
        const line = make("p");
        let rest = text;
        for (let found = SLOT.exec(rest); found; found = SLOT.exec(rest)) {
          const one = fields.get(found[1]);
          line.append(rest.slice(0, found.index));
          if (one) {
            const box = new Box(this.live, one.field, one.title);
            this.boxes.set(found[1], box);
            line.append(box.element);
          }
          rest = rest.slice(found.index + found[0].length);
        }
        line.append(rest);
        return line;
      }));
    }
    for (const [path, box] of this.boxes) if (fields.has(path)) box.update(fields.get(path).field);
  }

  /** @param {any[]} sections */
  form(sections) {
    const { live } = this;
    const key = JSON.stringify(sections.map((one) => [one.path, one.title, one.present, one.removable, one.error, one.adds, one.fields.map((/** @type {any} */ field) => [field.path, field.kind, field.slider !== null])]));
    if (this.sections.dataset.shown !== key) {
      const open = new Set([...this.sections.querySelectorAll("details[open]")].map((one) => /** @type {HTMLElement} */ (one).dataset.key));
      const held = /** @type {HTMLElement|null} */ (document.activeElement), focus = held && this.sections.contains(held) ? held.dataset.focus : undefined;
      this.sections.dataset.shown = key;
      this.rows.clear();
      this.sections.replaceChildren(make("h3", {}, live.t("every")), ...sections.map((section) => {
        const rows = section.fields.map((/** @type {any} */ field) => {
          const row = new Row(live, field, section.title);
          this.rows.set(field.path, row);
          return row.element;
        });
        const wrong = section.error || section.fields.some((/** @type {any} */ field) => field.error);
        return make("details", { open: Boolean(wrong) || open.has(section.path), "data-key": section.path, className: `level${section.level}` },
          make("summary", {}, section.title, !section.present && section.optional ? make("small", {}, ` ${live.t("not-in-scene")}`) : null),
          make("p", { className: "small" }, section.help), section.error ? make("p", { className: "alarm" }, section.error) : null, ...rows,
          make("p", { className: "row" },
            !section.present && section.optional ? make("button", { type: "button", onclick: () => live.act("add", section.path) }, live.t("put-in", { title: section.title })) : null,
            section.removable || (section.present && section.optional) ? make("button", { type: "button", onclick: () => live.act("remove", section.path) }, live.t("take-out-section", { title: section.title })) : null,
            ...section.adds.map((/** @type {any} */ one) => make("button", { type: "button", onclick: () => live.act("add", one.path) }, one.label))));
      }));
      if (focus) /** @type {HTMLElement|null} */ (this.sections.querySelector(`[data-focus="${CSS.escape(focus)}"]`))?.focus();
    }
    for (const section of sections) for (const field of section.fields) this.rows.get(field.path)?.update(field);
  }

  /** Open the drawer at a value and put the cursor into it. @param {string} path */
  seek(path) {
    this.live.app?.set({ drawer: "rig" });
    const near = [...this.rows.keys()].filter((one) => path === one || path.startsWith(`${one}.`)).sort((a, b) => b.length - a.length)[0];
    const row = near === undefined ? undefined : this.rows.get(near);
    if (!row) return;
    for (let box = row.element.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
    row.box.element.scrollIntoView({ block: "center" });
    row.box.element.focus();
  }
}
