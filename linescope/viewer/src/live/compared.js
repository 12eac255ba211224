/** Two variants above one another on the same metres: turned on and off, and what is to be kept when one goes. */
import { fill, find, make, table } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */

export class Compared {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    this.box = make("div", { id: "compared" });
    find("#inside-answers").prepend(this.box);
    this.leaving = make("div", { id: "leaving", role: "dialog", hidden: true, "aria-label": live.t("leaving") });
    document.body.append(this.leaving);
    addEventListener("keydown", (event) => { if (event.key === "Escape" && !this.leaving.hidden) { event.stopImmediatePropagation(); this.close(); } }, true);
  }

  get two() { return (this.live.status?.variants.length ?? 1) > 1; }

  /** What stands over the rows and their difference. */
  names() {
    const { live } = this, found = live.answers.difference;
    return { order: live.status.variants, active: live.status.active, heads: found?.heads ?? {}, verdict: found?.verdict ?? "", higher: found?.higher ?? "", curve: found?.curve ?? null };
  }

  toggle() {
    if (this.two) this.leave(); else this.live.act("compare", true);
  }

  /** Leaving asks which one is to be gone on with. */
  leave() {
    const { live, leaving } = this;
    const keep = (/** @type {string} */ name) => make("button", { type: "button", onclick: async () => {
      this.close();
      await live.act("activate", name);
      await live.act("compare", false);
    } }, live.t("keep", { name: live.t(name) }));
    leaving.replaceChildren(make("p", {}, live.t("leaving")), make("div", { className: "row" }, ...live.status.variants.map(keep), make("button", { type: "button", onclick: () => this.close() }, live.t("stay"))));
    leaving.hidden = false;
    leaving.querySelector("button")?.focus();
  }

  close() {
    this.leaving.hidden = true;
    find("#variants").focus();
  }

  draw() {
    const { live, box } = this, { compared, difference } = live.answers;
    fill(box, [compared, difference?.verdict], () => (compared ? [
      make("p", { className: "answer" }, difference?.verdict ?? ""),
      table(live.t("side-by-side"), [live.t("figure"), live.t("first"), live.t("second"), live.t("second-against")], compared),
    ] : []));
    if (difference !== this.shown && live.app?.other) {
      this.shown = difference;
      live.app.compare(live.app.other, this.names());
    }
  }
}
