/** The drawer in which readings are typed beside the line: kept on this device alone, and given out as text. */
import { NUMBERED, UNITS, csv, keptOf, takenOf, toml } from "./taken.js";
import { make, said } from "../live/dom.js";

/** @typedef {import("./taken.js").Taken} Taken */

/** @param {Date} when */
const stamp = (when) => new Date(when.getTime() - when.getTimezoneOffset() * 60e3).toISOString().slice(0, 16).replace("T", " ");

export class Measured {
  /** @param {HTMLFormElement} form @param {Record<string, string>} words */
  constructor(form, words) {
    this.form = form;
    this.t = (/** @type {string} */ name, /** @type {Record<string, any>} */ values = {}) => said(words, name, values);
    this.key = `linescope readings ${form.dataset.line}`;
    this.line = { bays: Number(form.dataset.bays), tapes: Number(form.dataset.tapes), span: Number(form.dataset.span) };
    /** @type {Taken[]} */
    this.taken = [];
    this.kept = true;
    try { this.taken = keptOf(localStorage.getItem(this.key)); } catch { this.kept = false; }
    form.hidden = false;
    form.addEventListener("submit", (event) => { event.preventDefault(); this.add(); });
    this.field("what").addEventListener("change", () => this.kind());
    for (const [what, act] of Object.entries({ csv: () => this.copy(csv(this.taken)), toml: () => this.copy(toml(this.taken)), save: () => this.save(), send: () => this.send() })) {
      this.button(what).addEventListener("click", act);
    }
    this.button("send").hidden = !navigator.share;
    this.kind();
    this.draw();
  }

  /** @param {string} name */
  field(name) { return /** @type {HTMLInputElement & HTMLSelectElement} */ (this.form.elements.namedItem(name)); }

  /** @param {string} what */
  button(what) { return /** @type {HTMLButtonElement} */ (document.querySelector(`#give [data-give="${what}"]`)); }

  /** Fields and units of the kind that is chosen. */
  kind() {
    const what = /** @type {import("./taken.js").Kind} */ (this.field("what").value);
    const units = [...UNITS[what]];
    if (this.form.dataset.system === "feet") units.reverse();
    const options = () => units.map(([name]) => make("option", { value: name }, name === "ten" ? this.t("ten") : name));
    this.field("unit").replaceChildren(...options());
    this.field("errorUnit").replaceChildren(...options(), make("option", { value: "%" }, "%"));
    for (const label of /** @type {NodeListOf<HTMLElement>} */ (this.form.querySelectorAll("[data-of]"))) label.hidden = !label.dataset.of?.split(" ").includes(what);
    this.field("number").max = String(what === "tape" ? this.line.tapes : this.line.bays);
    this.tell("");
  }

  add() {
    const typed = Object.fromEntries([...new FormData(this.form).entries()].map(([name, value]) => [name, String(value)]));
    const found = takenOf(typed, this.line, stamp(new Date()));
    for (const one of ["value", "error", "number", "weight", "at"]) this.field(one).removeAttribute("aria-invalid");
    if ("wrong" in found) {
      this.field(found.wrong).setAttribute("aria-invalid", "true");
      this.field(found.wrong).focus();
      this.tell(this.t(`wrong-${found.wrong}`, { bays: this.line.bays, tapes: this.line.tapes, span: this.line.span.toFixed(1) }), true);
      return;
    }
    this.taken.push(found);
    for (const one of ["value", "number", "note"]) this.field(one).value = "";
    this.changed(this.t("kept"));
    if (NUMBERED.includes(found.what)) this.field("number").focus();
  }

  /** @param {string} text */
  changed(text) {
    try { localStorage.setItem(this.key, JSON.stringify(this.taken)); } catch { this.kept = false; }
    this.draw();
    this.tell(this.kept ? text : this.t("not-kept"), !this.kept);
  }

  /** @param {string} text @param {boolean} [wrong] */
  tell(text, wrong = false) {
    const line = /** @type {HTMLElement} */ (document.querySelector("#told"));
    line.textContent = text;
    line.className = wrong ? "alarm" : "small";
  }

  draw() {
    const list = /** @type {HTMLElement} */ (document.querySelector("#taken"));
    list.replaceChildren(...this.taken.map((one, k) => {
      const more = [one.number && `${one.number}`, one.end].filter(Boolean).join(" "), kind = this.field("what").querySelector(`[value="${one.what}"]`)?.textContent ?? one.what;
      const also = [one.weight && this.t("with", { weight: one.weight, at: one.at || this.t("middle") }), one.error && `± ${one.error}`, one.taken, one.note].filter(Boolean).join(", ");
      return make("li", {}, make("span", {}, make("b", {}, `${kind} ${more}`.trim(), ": ", one.value), make("small", {}, ` ${also}`)),
        make("button", { type: "button", "aria-label": this.t("drop-one", { reading: `${kind} ${more} ${one.value}` }), onclick: () => { this.taken.splice(k, 1); this.changed(this.t("dropped")); } }, this.t("drop")));
    }));
    const give = /** @type {HTMLElement} */ (document.querySelector("#give"));
    give.hidden = !this.taken.length;
    /** @type {HTMLTextAreaElement} */ (document.querySelector("#given")).value = csv(this.taken);
  }

  /** @param {string} text */
  async copy(text) {
    const box = /** @type {HTMLTextAreaElement} */ (document.querySelector("#given"));
    box.value = text;
    try { await navigator.clipboard.writeText(text); this.tell(this.t("copied")); } catch {
      box.focus();
      box.select(); // A page from a file may not reach the clipboard: the text is marked, to be copied by hand.
      this.tell(this.t("copy-by-hand"));
    }
  }

  save() {
    const address = URL.createObjectURL(new Blob([csv(this.taken)], { type: "text/csv" }));
    make("a", { href: address, download: "readings.csv" }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10e3);
  }

  async send() {
    const file = new File([csv(this.taken)], "readings.csv", { type: "text/csv" });
    try { await navigator.share(navigator.canShare?.({ files: [file] }) ? { files: [file] } : { text: csv(this.taken) }); } catch { /* Whoever closes the list of programs sends nothing. */ }
  }
}

/** Where the page has the drawer. @param {Record<string, string>} words */
export function beginMeasured(words) {
  const form = document.querySelector("#reading");
  if (form instanceof HTMLFormElement) new Measured(form, words);
}

