/** The answers: what changed, where nobody may fall, the worst places, the figures shown, and what takes longer, part by part. */
import { fill, find, make, table } from "./dom.js";
import { Levers } from "./levers.js";

/** @typedef {import("./live.js").Live} Live */

const SLOW = ["clearance", "catches", "rub", "excess", "wind", "readings", "bands", "in_time"];

export class Answers {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    this.levers = new Levers(live);
    this.changed = make("div", { id: "changed" });
    this.places = make("div", { id: "places" });
    this.shown = make("div", {}, make("h3", {}, live.t("figures")), make("dl", { id: "figures" }));
    this.parts = make("div", { id: "parts" });
    this.rest = make("div", { id: "unmeasured" });
    this.right = make("div", { id: "right" });
    find("#inside-answers").append(this.changed, this.places, this.right, this.shown, this.parts, this.rest);
  }

  draw() {
    const { live } = this, { answers, study, status, job } = live, t = live.t.bind(live);
    if (!answers.rows) return;
    const moved = answers.rows.filter((/** @type {any} */ row) => row.was);
    fill(this.changed, [answers.alarms, answers.state, moved, status.dirty, answers.rows], () => [
      ...answers.alarms.map((/** @type {string} */ text) => make("p", { className: "alarm" }, text)),
      make("p", { className: "small", id: "state" }, answers.state),
      ...(moved.length ? [make("h3", {}, t("did")), make("dl", {}, ...moved.map((/** @type {any} */ row) => this.figure(row)))] : []),
      make("details", { "data-key": "all-figures" }, make("summary", {}, t("lines")), make("dl", { id: "rows" }, ...answers.rows.map((/** @type {any} */ row) => this.figure(row)))),
    ]);
    const data = live.app?.model.data;
    fill(this.places, data ? [data.noFall, data.worst, data.worstMore] : [], () => (data ? [
      make("h3", {}, t("no-fall")), ...(data.noFall.length ? data.noFall.map((/** @type {any} */ zone) => make("p", { className: zone.grade === "reached" ? "answer" : "" }, this.aged(zone.text, zone.old))) : [make("p", {}, t(study.done && data.curve?.series.some((/** @type {any} */ one) => one.key === "left" && !one.old) ? "no-fall-none" : "no-fall-unknown"))]),
      ...(data.worst.length ? [make("h3", {}, t("worst-places")), make("ol", { id: "worst" }, ...data.worst.map((/** @type {any} */ one, /** @type {number} */ k) => make("li", {}, make("button", { type: "button", "data-worst": k, "data-met": one.met, "data-focus": `worst${k}` },
        make("i", {}, String(one.rank)), make("span", {}, make("b", {}, one.head), ` ${this.aged(one.text, one.old)}`))))), ...(data.worstMore ? [make("p", { className: "small" }, data.worstMore)] : [])] : []),
    ] : []));
    const red = Boolean(data?.worst.some((/** @type {any} */ one) => !one.met));
    fill(this.right, [red, study.parts.advice, job.running, job.kind], () => this.plans(red, study.parts.advice, job));
    fill(this.parts, [study.parts, status.has_walker, job.running, job.kind], () => SLOW.map((name) => this.part(name, study.parts[name], job)));
    fill(this.rest, [answers.doubtful, answers.ground, answers.proof, answers.caution], () => [
      ...["guess", "assumed"].map((known) => [known, answers.doubtful.filter((/** @type {any} */ one) => one.known === known)]).filter(([, list]) => list.length).map(([known, list]) => make("details", { "data-key": known },
        make("summary", {}, t(`list-${known}`, { count: list.length })), make("ul", {}, ...list.map((/** @type {any} */ one) => make("li", {}, make("button", { type: "button", className: "link", onclick: () => live.rig.seek(one.path) }, one.path), `: ${one.text}`))))),
      ...answers.ground.map((/** @type {string} */ text) => make("p", { className: "small" }, text)), make("p", { className: "small" }, answers.proof), make("p", { className: "small" }, answers.caution),
    ]);
  }

  /** @param {any} row */
  figure(row) {
    return make("div", { "data-key": row.key }, make("dt", {}, row.label), make("dd", {}, row.value, row.was ? make("small", {}, ` ${this.live.t("was", { before: row.was })}`) : null));
  }

  /** @param {string} text @param {boolean|undefined} old */
  aged(text, old) { return old ? `${text} (${this.live.t("old")})` : text; }

  /** What would put red places right: asked for, being sought, or found. @param {boolean} red @param {any} part @param {any} job */
  plans(red, part, job) {
    const { live } = this, t = live.t.bind(live), sought = job.running && job.kind === "advice";
    if (!red && !part) return [];
    const inside = [make("h3", { id: "right-head", tabIndex: -1 }, t("plans"))];
    if (sought) inside.push(make("p", { className: "small", role: "status" }, t("right-sought")), make("p", { className: "row" }, make("button", { type: "button", "data-focus": "ask-right", onclick: () => live.stop() }, t("stop"))));
    else inside.push(make("p", { className: "row" }, make("button", { type: "button", id: "ask-right", "data-focus": "ask-right", disabled: Boolean(job.running), onclick: () => live.putRight() }, t("right"))), make("p", { className: "small" }, t("right-first")));
    if (!part) return inside;
    if (part.ended) inside.push(make("p", { className: "small" }, t("right-ended", { why: part.ended })));
    if (part.old) inside.push(make("p", { className: "alarm" }, t("right-old")));
    inside.push(...part.alarms.map((/** @type {string} */ text) => make("p", { className: "alarm" }, text)), ...part.plans.map((/** @type {any} */ plan) => this.plan(plan, part)));
    if (part.sliders?.length) inside.push(this.levers.draw(part.sliders, Boolean(part.old)));
    if (part.way.length) inside.push(make("h4", {}, t("in-the-way")), ...part.way.map((/** @type {string} */ text) => make("p", { className: "small" }, text)));
    if (part.wished) inside.push(make("details", { "data-key": "wished" }, make("summary", {}, part.wished.title), table(part.wished.title, part.wished.head, part.wished.rows)));
    inside.push(...part.notes.map((/** @type {string} */ text) => make("p", { className: "small" }, text)));
    return inside;
  }

  /** One plan: what to change, what its clearance says, its price, and the one action that tries it. @param {any} plan @param {any} part */
  plan(plan, part) {
    const { live } = this, t = live.t.bind(live), title = t("plan-price", { plan: plan.name });
    const head = [t("plan-what"), t("plan-of", { plan: plan.name }), ...(plan.prices[0]?.length > 2 ? [t("plan-now")] : [])];
    const moved = plan.moved.map((/** @type {string[]} */ [what, mine, now]) => t("plan-moves", { what, value: mine, now }));
    return make("article", { className: "plan", "data-plan": plan.name },
      make("h4", {}, t("plan", { plan: plan.name, what: plan.why })), make("ul", {}, ...plan.changes.map((/** @type {string} */ text) => make("li", {}, text))),
      make("p", {}, t("plan-clearance", { clearance: plan.clearance })), moved.length ? make("p", { className: "small" }, t("plan-moved", { prices: moved.join("; ") })) : null,
      make("details", { "data-key": `price-${plan.name}` }, make("summary", {}, title), table(title, head, plan.prices)),
      plan.about.length ? make("details", { "data-key": `about-${plan.name}` }, make("summary", {}, t("plan-about")), ...plan.about.map((/** @type {string} */ text) => make("p", { className: "small" }, text))) : null,
      make("p", { className: "row" }, make("button", { type: "button", "data-focus": `adopt-${plan.name}`, disabled: part.old, onclick: () => live.act("adopt", plan.name) }, t("adopt", { plan: plan.name }))));
  }

  /** @param {string} name @param {any} part @param {any} job */
  part(name, part, job) {
    const { live } = this, t = live.t.bind(live), title = t(`part-${name.replace("_", "-")}`), { status } = live;
    const ask = (/** @type {string} */ kind, /** @type {string} */ button, /** @type {string} */ first) => make("p", { className: "row" }, make("button", {
      type: "button", "data-focus": kind, disabled: !status.has_walker || Boolean(job.running), onclick: () => live.work(kind, {}),
    }, t(button)), make("small", {}, t(first)));
    return make("details", { "data-key": `part-${name}`, "data-part": name },
      make("summary", {}, title, part?.old ? make("small", {}, ` ${t("old")}`) : null),
      ...(part?.alarms ?? []).map((/** @type {string} */ text) => make("p", { className: "alarm" }, text)),
      part?.rows.length ? table(title, part.head?.length ? part.head : null, part.rows) : null,
      ...(part?.places ?? []).map((/** @type {any} */ place) => make("p", {}, make("button", { type: "button", className: "link", onclick: () => this.go(name, place) }, place.text))),
      ...(part?.notes ?? []).map((/** @type {string} */ text) => make("p", { className: "small" }, text)),
      !part && name !== "in_time" ? make("p", { className: "small" }, t("worked-out")) : null,
      name === "rub" && part && !part.whole ? ask("day", "day", "day-first") : null,
      name === "in_time" && (!part || part.old) ? ask("in-time", "in-time", "in-time-first") : null);
  }

  /** Look at a place that a part names: the loop or tape there, with the layer that shows why. @param {string} part @param {any} place */
  go(part, place) {
    const { app } = this.live;
    if (!app) return;
    const picked = place.tape ? { kind: /** @type {const} */ ("tape"), index: place.tape - 1 } : { kind: /** @type {const} */ ("loop"), index: place.bay };
    app.set({ picked, layer: part === "rub" && app.model.data.layers.rub ? "rub" : app.now.layer, drawer: app.small ? "" : app.now.drawer });
    app.fly("picked", false);
  }
}
