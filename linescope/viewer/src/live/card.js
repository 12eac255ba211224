/** The card of what was picked: its figures, and what a hand can do to it by buttons and keys as well as by dragging. */
import { find, make } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */
/** @typedef {import("../model/types.js").Point} Point */

const NUDGE = 0.05, DEEPER = 0.01, LIFT = 0.1; // metres

export class Card {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    this.box = find("#card");
    this.asked = "";
    addEventListener("keydown", (event) => this.key(event));
  }

  get picked() { return this.live.app?.now.picked ?? null; }

  draw() {
    const { live, box, picked } = this, { app, answers, status } = live, t = live.t.bind(live);
    const known = picked && answers.picked && answers.picked.kind === picked.kind && answers.picked.index === picked.index ? answers.picked : null;
    const asked = picked && picked.kind !== "anchor" ? `${picked.kind} ${picked.index}` : "";
    if (asked !== this.asked) {
      this.asked = asked;
      if (picked && asked) live.act("pick", picked.kind, picked.index); else live.act("pick", "", 0);
    }
    box.hidden = !picked;
    if (!picked || !app) {
      box.dataset.shown = "";
      return;
    }
    const tape = picked.kind === "tape" ? (app.state.tapes ?? app.model.data.tapes)[picked.index] : null, zone = tape ? live.form.sections.find((/** @type {any} */ one) => one.path === `taping.zones[${tape.zone + 1}]`) : null;
    const style = zone?.fields.find((/** @type {any} */ field) => field.path.endsWith(".style"))?.text;
    const spacing = live.form.sections.find((/** @type {any} */ one) => one.path === `taping.zones[${(tape?.zone ?? 0) + 1}].spacing`)?.fields.find((/** @type {any} */ field) => field.path.endsWith(".every"))?.text ?? "";
    const key = JSON.stringify([picked, known, style, spacing, status.system]);
    if (box.dataset.shown === key) return;
    box.dataset.shown = key;
    const held = /** @type {HTMLElement|null} */ (document.activeElement), focus = held && box.contains(held) ? held.dataset.focus : undefined;
    const push = (/** @type {string} */ name, /** @type {() => void} */ done) => make("button", { type: "button", "data-focus": name, onclick: done }, t(name));
    const tools = {
      tape: () => {
        const choice = make("select", { "data-focus": "style", "aria-label": t("style"), onchange: () => live.act("restyle", picked.index, choice.value) }, ...live.fixed.styles.map((/** @type {[string, string]} */ [family, name]) => make("option", { value: family }, name)));
        choice.value = style;
        const every = make("input", { type: "text", size: 7, value: spacing, "data-focus": "every", "aria-label": t("every-of"), onchange: () => live.act("respace", picked.index, every.value) });
        return tape?.kind === "tape" ? [make("label", {}, `${t("style")} `, choice), make("label", {}, `${t("every-of")} `, every), push("to-a", () => this.nudge(-1)), push("to-b", () => this.nudge(1))] : [];
      },
      loop: () => [push("shallower", () => this.nudge(-1)), push("deeper", () => this.nudge(1))],
      anchor: () => [push("down", () => this.nudge(-1)), push("up", () => this.nudge(1))],
    }[picked.kind]();
    const name = known?.name ?? (picked.kind === "anchor" ? t("anchor", { name: "AB"[picked.index] }) : "");
    box.replaceChildren(
      make("button", { type: "button", className: "close", "data-focus": "close", onclick: () => app.set({ picked: null }) }, t("close")), make("h2", {}, name),
      make("div", { className: "row" }, ...tools), make("p", { className: "small" }, t(`drag-${picked.kind}`)),
      make("details", { open: innerHeight > 840 && !app.small, hidden: !known }, make("summary", {}, t("its-figures")), make("dl", {}, ...(known?.rows ?? []).map((/** @type {[string, string]} */ [label, value]) => make("div", {}, make("dt", {}, label), make("dd", {}, value))))),
    );
    if (focus) /** @type {HTMLElement|null} */ (box.querySelector(`[data-focus="${focus}"]`))?.focus();
  }

  /** A step: a tape towards an anchor, a loop deeper or shallower, an anchor up or down. @param {number} way */
  async nudge(way) {
    const { live, picked } = this, app = live.app, shape = app?.shape;
    if (!picked || !app || !shape) return;
    if (picked.kind === "tape") {
      const tape = shape.tapes[picked.index];
      if (tape) await live.act("move_tape", picked.index, tape[0] + way * NUDGE);
    } else if (picked.kind === "loop") await live.act("deepen", picked.index, Math.max(0, (shape.depths?.[picked.index] || 0) + way * DEEPER));
    else await live.act("lift", "AB"[picked.index], way * LIFT);
  }

  /** Where what is picked lies. @returns {Point|null} */
  spot() {
    const { picked } = this, shape = this.live.app?.shape;
    if (!picked || !shape) return null;
    if (picked.kind === "anchor") return this.live.app?.model.data.anchors[picked.index].p ?? null;
    if (picked.kind === "tape") return shape.tapes[picked.index] ?? null;
    const per = (shape.backup.length - 1) / shape.bays;
    return shape.backup[Math.round((picked.index + 0.5) * per)] ?? null;
  }

  /** Beside its spot, inside the picture. @param {(p: Point) => [number, number, number]} P @param {import("../view/camera.js").Rect} area */
  place(P, area) {
    const { box, live } = this, spot = this.spot();
    this.draw();
    if (box.hidden || !live.app) return;
    if (live.app.small || !spot) {
      box.style.transform = "";
      return;
    }
    const p = P(spot), wide = box.offsetWidth, high = box.offsetHeight;
    const right = p[0] + 34 + wide < area.x + area.w - 10, x = right ? p[0] + 34 : p[0] - 34 - wide;
    const y = Math.min(Math.max(p[1] + 20, area.y + 8), area.y + area.h - high - 8);
    box.style.transform = `translate(${Math.round(Math.max(area.x + 8, x))}px,${Math.round(Math.max(60, y))}px)`;
  }

  /** n and b: loops; full stop and comma: tapes; a: anchors; plus and minus do what dragging does. @param {KeyboardEvent} event */
  key(event) {
    const { app } = this.live, on = /** @type {HTMLElement} */ (event.target);
    if (!app || event.ctrlKey || event.metaKey || event.altKey || on.matches("textarea, select, input:not([type=radio])")) return;
    const { picked } = this, shape = app.shape;
    const step = (/** @type {"loop"|"tape"} */ kind, /** @type {number} */ by, /** @type {number} */ count) => {
      const from = picked?.kind === kind ? picked.index : by > 0 ? -1 : count;
      app.set({ picked: { kind, index: Math.min(count - 1, Math.max(0, from + by)) } });
    };
    if (!shape) return;
    if (event.key === "n") step("loop", 1, shape.bays);
    else if (event.key === "b") step("loop", -1, shape.bays);
    else if (event.key === ".") step("tape", 1, shape.bays - 1);
    else if (event.key === ",") step("tape", -1, shape.bays - 1);
    else if (event.key === "a") app.set({ picked: { kind: "anchor", index: picked?.kind === "anchor" ? 1 - picked.index : 0 } });
    else if (event.key === "+" && picked) this.nudge(1);
    else if (event.key === "-" && picked) this.nudge(-1);
    else if (event.key === "Escape" && picked) {
      event.stopImmediatePropagation();
      app.set({ picked: null });
    }
  }
}
