/** The live page: puts the picture together from what comes, and hands what is done to the program. */
import { App } from "../app.js";
import { takeGestures } from "../gestures.js";
import { merged, pieceOf, wholeOf } from "../model/merge.js";
import { Answers } from "./answers.js";
import { Card } from "./card.js";
import { Compared } from "./compared.js";
import { find, latest, make, said } from "./dom.js";
import { Files } from "./files.js";
import { Hands } from "./hands.js";
import { keyOf, Link } from "./link.js";
import { Rig } from "./rig.js";

/** @typedef {import("../model/merge.js").Piece} Piece */

const FILMED = ["fall", "gone"];
const LOOKED = new Set(["preview_walker", "pick", "measured", "foretell", "save", "save_as", "move_walker"]); // what changes no answer
const SOON = 150; // milliseconds within which an answer mostly comes, and nothing need be said

export class Live {
  /** @param {Record<string, any>} words  messages; `fixed` has colours and scales */
  constructor(words) {
    this.words = words;
    this.fixed = JSON.parse(find("#fixed").textContent ?? "{}");
    /** @type {any} what the program says of the rig that is edited */
    this.status = null;
    /** @type {any} */
    this.answers = {};
    /** @type {any} */
    this.study = { parts: {}, done: false, progress: [] };
    /** @type {any} */
    this.job = {};
    /** @type {Record<string, {whole: Piece|null, now: Piece|null, films: Piece[]}>} by variant */
    this.pieces = {};
    /** @type {App|null} */
    this.app = null;
    /** @type {any} */
    this.form = { sections: [], sentences: [] };
    this.link = new Link(keyOf(), (topic, value) => this.told(topic, value), (message) => this.shown(message), () => this.lost());
    this.moveWalker = latest((share) => this.act("preview_walker", share));
    this.cards = /** @type {any[]|null} */ (null);
    this.rig = new Rig(this);
    this.beside = new Answers(this);
    this.files = new Files(this);
    this.card = new Card(this);
    this.compared = new Compared(this);
    this.log = /** @type {{revision: number, at: number}[]} */ ([]);
    this.lastSaid = this.lastMessage = this.filmed = "";
    this.wanted = this.two = false;
    this.of = -1;
    this.late = false;
    this.changes = 0;
    this.stood = NaN; // where the program has the walker stand [m]
    this.arranged = "";
    /** @type {Hands|null} */
    this.hands = null;
    this.keys();
    Object.assign(window, { linescopeLive: this });
  }

  /** @param {string} name @param {Record<string, string|number>} [values] */
  t(name, values) { return said(this.words, name, values); }

  // ---- what comes

  /** @param {string} topic @param {any} value */
  told(topic, value) {
    if (topic === "status") this.status = value;
    if (topic === "answers") this.answers = value;
    if (topic === "form") this.form = value;
    if (topic === "study") this.study = value;
    if (topic === "job") this.job = value;
    if (topic === "status") {
      for (const name of Object.keys(this.pieces)) if (!value.variants.includes(name) && this.two) delete this.pieces[name];
      this.two = value.variants.length > 1;
      const key = JSON.stringify([value.variants, value.active, value.plan, value.state, value.air]);
      if (key !== this.arranged) this.arrange();
      this.arranged = key;
    }
    this.refresh();
  }

  /** @param {ArrayBuffer} message */
  shown(message) {
    const piece = pieceOf(message);
    if ((piece.of ?? 0) !== this.of) { // another scene was opened
      this.of = piece.of ?? 0;
      this.pieces = {};
      this.app?.set({ chosen: null, picked: null });
    }
    const kept = this.pieces[piece.name] ??= { whole: null, now: null, films: [] };
    if (piece.kind === "whole") {
      piece.model = wholeOf(kept.whole, piece, this.words);
      kept.whole = piece;
    } else if (piece.kind === "now") {
      kept.now = piece;
      const [state] = piece.data.states;
      if (state.kind === "places" && piece.name === this.status?.active) [this.stood] = state.x;
    } else {
      const key = piece.data.states[0].key;
      kept.films = [...kept.films.filter((one) => one.data.states[0].key !== key), piece];
      if (piece.name === this.status?.active) this.filmed = key;
    }
    this.arrange();
    if (piece.kind === "now" && piece.name === this.status?.active) this.note(piece.revision ?? 0);
  }

  /** When a revision was painted, for those who measure. @param {number} revision */
  note(revision) {
    requestAnimationFrame(() => requestAnimationFrame(() => {
      this.log.push({ revision, at: performance.now() });
      if (this.log.length > 2000) this.log.splice(0, 1000);
    }));
  }

  /** The model of a variant as it is known now. @param {string} name */
  modelOf(name) {
    const kept = this.pieces[name], { status } = this;
    if (!kept || !status) return null;
    const asked = status.state !== "as taped" || status.air !== "still";
    const lent = Object.values(this.pieces).find((one) => one.whole)?.whole, whole = kept.whole ?? (lent ? { ...lent, plan: -1 } : null); // the ground of the other variant, until its own has come
    return merged(whole, kept.now, kept.films, { plan: status.plan, asked }, this.words, this.fixed);
  }

  /** Show what is known now. */
  arrange() {
    const { status } = this;
    if (!status) return;
    const model = this.modelOf(status.active);
    if (!model) return;
    if (!this.app) this.open(model); else this.app.adopt(model);
    const app = /** @type {App} */ (this.app);
    const other = status.variants.find((/** @type {string} */ name) => name !== status.active);
    app.compare(other ? this.modelOf(other) : null, other ? this.compared.names() : null);
    if (this.filmed) {
      const key = this.filmed;
      this.filmed = "";
      app.choose(key, false);
    }
    const wanted = status.state !== "as taped" || status.air !== "still", has = model.states.some((state) => state.key === "asked");
    if (wanted && has && !this.wanted) app.choose("asked", false);
    this.wanted = wanted && has;
    this.refresh();
  }

  /** What is shown is of before a change whose answer does not come at once, or cannot come: the headline says so. */
  lag() {
    const { app, status } = this, kept = this.pieces[status?.active ?? ""];
    if (!app) return;
    const shown = Math.max(kept?.now?.plan ?? -1, kept?.whole?.plan ?? -1), behind = this.late || status.plan > shown;
    if (app.behind === behind) return;
    app.behind = behind;
    app.refresh();
  }

  /** @param {import("../model/types.js").Model} model */
  open(model) {
    const app = this.app = new App(model);
    app.live = this;
    app.now.layer = "left";
    takeGestures(app);
    this.hands = new Hands(this, app);
    app.drawers();
    app.recolour();
    app.fly("whole", true);
    Object.assign(window, { linescope: app });
    document.documentElement.classList.add("live");
    document.documentElement.dataset.ready = "true";
  }

  lost() {
    const wrong = find("#wrong");
    wrong.hidden = false;
    wrong.textContent = this.t("lost");
    document.documentElement.dataset.lost = "true";
  }

  // ---- what is done

  /** @param {string} name @param {...any} what  its arguments, a last plain object by name */
  async act(name, ...what) {
    const last = what[what.length - 1], named = last && typeof last === "object" && !Array.isArray(last) ? what.pop() : {};
    if (!LOOKED.has(name)) this.stand();
    const asked = this.link.ask("act", [name, ...what], named), result = await (LOOKED.has(name) ? asked : this.waited(asked));
    if (result?.error) this.say(result.error);
    return result;
  }

  /** A change whose answer is waited for. @param {Promise<any>} asked */
  async waited(asked) {
    const timer = setTimeout(() => { this.late = true; this.lag(); }, SOON);
    this.changes++;
    try { return await asked; } finally {
      clearTimeout(timer);
      if (--this.changes === 0) this.late = false;
      this.lag();
    }
  }

  /** Before a change the program is told where the walker is looked at, so that he stands there afterwards too. */
  stand() {
    const { app } = this;
    if (!app || app.state.kind !== "places" || Math.abs(app.now.at - this.stood) < 0.01) return;
    this.stood = app.now.at;
    this.link.ask("act", ["preview_walker", app.now.at / app.model.data.span]);
  }

  /** A longer job; its end is the answer. @param {string} kind @param {Record<string, any>} named */
  async work(kind, named) {
    const result = await this.link.ask("job", [kind], named);
    if (result?.error) this.say(result.error);
    return result;
  }

  /** The film of a fall or a loss, with him at a place. @param {{which: string, at: number}} offer */
  playAt({ which, at }) {
    this.app?.set({ chosen: null, at });
    return this.work("film", { which, at });
  }

  /** Plans that put red places right: sought beside the page, shown among the answers. */
  putRight() {
    this.app?.set({ drawer: "answers" });
    find("#right-head")?.scrollIntoView({ block: "start" });
    return this.work("advice", {});
  }

  stop() { return this.link.ask("stop", []); }

  /** @param {string} text */
  say(text) {
    const box = find("#said");
    box.textContent = text;
    box.classList.toggle("shown", text !== "");
    clearTimeout(this.timer);
    this.timer = setTimeout(() => box.classList.remove("shown"), 9000);
  }

  // ---- what the picture says

  /** The walker is to stand there, and only one place is known. @param {number} at */
  walked(at) { if (this.app) this.moveWalker(at / this.app.model.data.span); }

  /** A state was chosen: its film is of one place of the walker, and he may have gone elsewhere since. @param {string} key */
  chose(key) {
    const { app } = this;
    if (!app || !FILMED.includes(key)) return this.refresh();
    this.refresh();
  }

  /** A film that can be asked for: of the chosen place's fall or loss, or of the state shown where the walker is looked at now. @returns {{which: string, at: number, listed: boolean}|null} */
  film() {
    const { app } = this, chosen = app?.now.chosen;
    if (!app) return null;
    const listed = chosen && FILMED.includes(chosen.state) && chosen.at !== null, which = listed ? chosen.state : app.now.state, at = listed ? chosen.at : app.now.at;
    if (!FILMED.includes(which)) return null;
    const state = app.model.states.find((one) => one.key === which), from = state?.at ?? app.model.data.walker?.at;
    const known = state && from !== undefined && from !== null && Math.abs(from - at) <= 0.25 && !state.old;
    return known && !listed ? null : { which, at, listed: Boolean(listed) };
  }

  /** @param {PointerEvent} event @returns {boolean} */
  tapped(event) { return this.hands?.tapped(event) ?? false; }

  /** @param {(p: import("../model/types.js").Point) => [number, number, number]} P @param {import("../view/camera.js").Rect} area */
  painted(P, area) {
    this.hands?.draw(P);
    this.card.place(P, area);
    const said = `${this.app?.now.state} ${Math.round((this.app?.now.at ?? 0) * 10)} ${this.app?.now.chosen?.rank}`;
    if (said !== this.lastSaid) {
      this.lastSaid = said;
      this.refreshJob();
    }
  }

  // ---- what stands beside it

  refresh() {
    const { status } = this;
    if (!status) return;
    this.lag();
    document.title = `${status.title} · linescope`;
    if (status.message && status.message !== this.lastMessage) this.say(status.message);
    this.lastMessage = status.message;
    const undo = /** @type {HTMLButtonElement} */ (find("#undo")), redo = /** @type {HTMLButtonElement} */ (find("#redo"));
    undo.disabled = !status.undo;
    redo.disabled = !status.redo;
    undo.title = status.undo ? this.t("take-back", { what: status.undo }) : "";
    redo.title = status.redo ? this.t("bring-back", { what: status.redo }) : "";
    find("#variants").setAttribute("aria-pressed", String(status.variants.length > 1));
    const wrong = find("#wrong"), why = status.reason ? this.t(status.blank ? "no-picture" : "not-right", { why: status.reason }) : "";
    const clash = status.disk === "conflict";
    if (document.documentElement.dataset.lost !== "true") {
      const key = `${why} ${clash}`;
      if (wrong.dataset.shown !== key) {
        wrong.dataset.shown = key;
        wrong.hidden = !why && !clash;
        wrong.replaceChildren(why || "", ...(clash ? [make("span", {}, `${this.t("changed")} `, make("button", { type: "button", onclick: () => this.act("reload") }, this.t("take-disk")))] : []));
        this.app?.refresh();
      }
    }
    if (status.blank && status.reason && !this.app) {
      document.documentElement.classList.add("live");
      document.documentElement.dataset.ready = "true";
      find("#verdict").textContent = this.t("nothing");
    }
    const stale = find("#stale"), age = this.age();
    if (stale.textContent !== age) {
      stale.textContent = age;
      stale.hidden = !age;
    }
    this.rig.draw();
    this.beside.draw();
    this.files.draw();
    this.card.draw();
    this.compared.draw();
    this.refreshJob();
  }

  /** What of the picture is from before the last change, and how far what is new has come. */
  age() {
    const { study, status } = this, whole = this.pieces[status.active]?.whole ?? null;
    if (study.done || status.reason) return "";
    const [share, what] = study.progress ?? [], doing = what ? this.t("doing", { what, share: Math.round(100 * share) }) : this.t("doing-first");
    return whole && whole.plan === status.plan ? doing : `${this.t(whole ? "aged" : "beginning")} ${doing}`;
  }

  /** The job under way with its Stop, or a film that can be asked for. */
  refreshJob() {
    const box = find("#job"), { job } = this, film = this.film(), running = Boolean(job.running), offers = running ? null : film;
    const red = !running && this.app?.now.chosen && !this.app.now.chosen.met;
    const key = running ? `${job.kind} ${job.what}` : offers || red ? `offer ${offers?.which} ${offers?.at} ${offers?.listed} ${red}` : job.share === 1 || job.share < 0 ? `done ${job.what}` : "";
    box.hidden = !running && !offers && !red;
    const bar = box.querySelector("progress");
    if (bar && running) bar.value = job.share;
    if (box.dataset.shown === key) return;
    box.dataset.shown = key;
    if (running) {
      box.replaceChildren(
        make("span", {}, this.t(`job-${job.kind}`, { what: job.what })), make("progress", { max: 1, value: job.share, "aria-label": this.t("job") }),
        make("button", { type: "button", onclick: () => this.stop() }, this.t("stop")),
      );
    } else if (offers || red) {
      box.replaceChildren(...[
        offers ? make("button", { type: "button", onclick: () => this.playAt(offers) }, this.t(`film-${offers.which}${offers.listed ? "-listed" : ""}`)) : null,
        red ? make("button", { type: "button", id: "right-here", onclick: () => this.putRight() }, this.t("right")) : null,
      ].filter(Boolean));
    } else {
      box.replaceChildren();
      if (job.what && key.startsWith("done")) this.say(this.t(`job-${job.kind}`, { what: job.what }));
    }
  }

  keys() {
    for (const [id, name] of [["undo", "undo"], ["redo", "redo"]]) find(`#${id}`).addEventListener("click", () => this.act(name));
    find("#variants").addEventListener("click", () => this.compared.toggle());
    addEventListener("keydown", (event) => {
      const mod = event.ctrlKey || event.metaKey, typing = /** @type {HTMLElement} */ (event.target).matches("textarea, input:not([type=radio]):not([type=range])");
      const key = event.key.toLowerCase();
      if (mod && key === "s") {
        event.preventDefault();
        /** @type {HTMLElement|null} */ (document.activeElement)?.blur();
        setTimeout(() => this.act("save"), 30);
      } else if (mod && !typing && key === "z") {
        event.preventDefault();
        this.act(event.shiftKey ? "redo" : "undo");
      } else if (mod && !typing && key === "y") {
        event.preventDefault();
        this.act("redo");
      } else if (!mod && !typing && key === "v") this.compared.toggle();
    });
    addEventListener("beforeunload", (event) => { if (this.status?.dirty) event.preventDefault(); });
  }
}

/** Begins the live page. @param {Record<string, any>} words */
export async function beginLive(words) {
  await Promise.all(["500 16px", "700 16px"].map((font) => document.fonts.load(`${font} "Barlow Semi Condensed"`)));
  return new Live(words);
}
