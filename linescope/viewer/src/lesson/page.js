/**
 * The page of a lesson: the question, the states as they were solved when they are asked for, the answer last.
 * What is shown is in `now`; nothing but `set` changes it.
 */
import "./lesson.css";
import { Pen } from "../ink/pen.js";
import { readLesson } from "./data.js";
import { drawLenses } from "./lens.js";
import { drawRow, placesOf } from "./rows.js";

/** @typedef {import("./data.js").Lesson} Lesson */

const STEPS = ["ask", "show", "answer"], SECONDS = 12; // that all states take
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

export class LessonPage {
  /** @param {Lesson} lesson */
  constructor(lesson) {
    this.lesson = lesson;
    this.now = { step: 0, take: lesson.data.knob.first, count: 0, playing: false, lens: false };
    const canvas = /** @type {HTMLCanvasElement} */ ($("#rows"));
    this.pen = new Pen(/** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d")), lesson.data.colours, "#fbf9f3");
    document.body.dataset.rows = String(this.rows.length);
    this.asked = false;
    this.time = /** @type {HTMLInputElement} */ ($("#time"));
    this.turning = /** @type {HTMLInputElement} */ ($("#turn"));
    this.makeKnob();
    $("#next").addEventListener("click", () => this.next(1));
    $("#back").addEventListener("click", () => this.next(-1));
    $("#run").addEventListener("click", () => this.set({ take: this.stop, playing: !this.now.playing, count: !this.whole || this.now.count >= this.last ? 0 : this.now.count }));
    $("#through").addEventListener("click", () => this.set({ lens: !this.now.lens }));
    this.time.addEventListener("input", () => this.set({ count: Number(this.time.value), playing: false }));
    addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.refresh()).observe(canvas);
    this.set({});
  }

  get rows() { return /** @type {number[]} */ (this.lesson.data.takes[this.now.take]).map((k) => this.lesson.rows[k]); }
  get last() { return Math.max(...this.rows.map((row) => row.shots.length)) - 1; }
  /** The state that says most. */
  get telling() { return Math.min(this.last, this.lesson.data.telling[this.now.take]); }

  makeKnob() {
    const { knob } = this.lesson.data;
    this.turning.max = String(knob.values.length - 1);
    this.turning.hidden = this.lesson.data.whole.every(Boolean);
    this.turning.addEventListener("input", () => this.turn(Number(this.turning.value), true));
    knob.values.forEach((/** @type {string} */ text, /** @type {number} */ k) => {
      if (!this.lesson.data.whole[k]) return;
      const label = document.createElement("label"), input = document.createElement("input"), shown = document.createElement("span");
      input.type = "radio";
      input.name = "knob";
      input.value = String(k);
      shown.textContent = text;
      input.addEventListener("change", () => this.turn(k));
      label.append(input, shown);
      $("#stops").append(label);
    });
  }

  /**
   * Another position of the knob; one between two stops has the state that says most alone.
   * @param {number} take
   * @param {boolean} [telling]  whether that state is shown of a stop as well
   */
  turn(take, telling = false) {
    const { takes, whole } = this.lesson.data, says = telling || !this.whole || this.now.count >= this.telling;
    this.set({ take: Math.min(takes.length - 1, Math.max(0, take)), playing: false });
    this.set({ count: says || !whole[this.now.take] ? this.telling : Math.min(this.now.count, this.last) });
  }

  /** To the next stop. @param {number} by */
  toStop(by) {
    const { whole } = this.lesson.data;
    let take = this.now.take + by;
    while (take >= 0 && take < whole.length && !whole[take]) take += by;
    if (take >= 0 && take < whole.length) this.turn(take);
  }

  /** Whether all states are known with the knob where it is. */
  get whole() { return this.lesson.data.whole[this.now.take]; }

  /** The stop nearest to where the knob is. */
  get stop() {
    const { whole } = this.lesson.data;
    for (let off = 0; off < whole.length; off++) for (const take of [this.now.take - off, this.now.take + off]) if (whole[take]) return take;
    return this.now.take;
  }

  /** @param {number} by */
  next(by) {
    const step = Math.min(2, Math.max(0, this.now.step + by)), still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (!this.whole && step < 2) this.set({ take: this.stop });
    if (step === 0) this.set({ step, count: 0, playing: false, lens: false });
    else if (step === 1) this.set({ step, count: by > 0 ? 0 : this.now.count, playing: by > 0 && !still && this.last > 2 });
    else this.set({ step, count: this.telling, playing: false });
    if (step === 1 && by > 0 && this.last <= 2) this.set({ count: this.last });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? 10 : 1, onKnob = event.target instanceof HTMLInputElement && (event.target.type === "radio" || event.target.id === "turn");
    const does = /** @type {Record<string, () => void>} */ ({
      " ": () => this.next(1), PageDown: () => this.next(1), Enter: () => this.next(1), PageUp: () => this.next(-1), Backspace: () => this.next(-1),
      ArrowRight: () => this.go(far), ArrowLeft: () => this.go(-far),
      ArrowUp: () => this.toStop(1), ArrowDown: () => this.toStop(-1), "+": () => this.turn(this.now.take + 1, true), "-": () => this.turn(this.now.take - 1, true), Home: () => this.set({ count: 0 }), End: () => this.set({ count: this.last }),
      l: () => this.set({ lens: !this.now.lens }), p: () => $("#run").click(), f: () => { if (document.fullscreenElement) document.exitFullscreen(); else document.documentElement.requestFullscreen?.(); },
      0: () => this.set({ step: 0, count: 0, playing: false, lens: false, take: this.lesson.data.knob.first }),
    })[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!does || (this.now.step === 0 && event.key.startsWith("Arrow")) || (onKnob && event.key.startsWith("Arrow"))) return;
    if (event.target instanceof HTMLButtonElement && (event.key === " " || event.key === "Enter")) return;
    event.preventDefault();
    does();
  }

  /** So many states on. @param {number} by */
  go(by) {
    const count = this.whole ? this.now.count + by : this.lesson.data.telling[this.stop] + by;
    this.set({ take: this.stop, count, playing: false });
  }

  /** @param {Partial<LessonPage["now"]>} change */
  set(change) {
    const was = this.now.playing;
    Object.assign(this.now, change);
    this.now.count = Math.min(this.last, Math.max(0, this.now.count));
    if (this.now.playing && !was) this.play();
    this.words();
    this.refresh();
  }

  play() {
    const began = performance.now(), from = this.now.count, each = SECONDS * 1000 / Math.max(1, this.last);
    const step = () => {
      if (!this.now.playing) return;
      const count = Math.min(this.last, from + Math.floor((performance.now() - began) / each));
      if (count !== this.now.count) this.set({ count, playing: count < this.last });
      if (this.now.playing) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  words() {
    const { now, lesson: { data } } = this;
    document.body.dataset.step = STEPS[now.step];
    $("#next").textContent = data.say[["show", "answer", "answer"][now.step]];
    $("#next").hidden = now.step === 2;
    $("#back").hidden = now.step === 0;
    $("#run").textContent = data.say[now.playing ? "stop" : "play"];
    $("#through").hidden = now.step === 0 || data.bay >= 0 || data.gone || data.rubMost > 0;
    $("#through").setAttribute("aria-pressed", String(now.lens));
    this.time.disabled = !this.whole;
    this.turning.value = String(now.take);
    $("#turned").textContent = data.knob.values[now.take];
    $("#turned").hidden = this.turning.hidden;
    this.turning.setAttribute("aria-valuetext", data.knob.values[now.take]);
    this.time.max = String(Math.max(1, this.last));
    this.time.value = String(now.count);
    const when = data.texts[data.moments[now.take][now.count]] ?? "";
    this.time.setAttribute("aria-valuetext", when);
    $("#moment").textContent = when;
    document.querySelectorAll("#stops input").forEach((input) => { /** @type {HTMLInputElement} */ (input).checked = Number(/** @type {HTMLInputElement} */ (input).value) === now.take; });
    $("#answer").setAttribute("aria-hidden", String(now.step < 2));
    const told = now.step ? this.rows.map((row) => [row.name, ...row.facts[Math.min(now.count, row.shots.length - 1)].map((k) => data.texts[k])].join(", ")).join(". ") : "";
    $("#told").textContent = now.playing ? "" : told;
  }

  refresh() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.paint(); });
  }

  paint() {
    const { pen, now, lesson } = this, canvas = pen.context.canvas, width = canvas.clientWidth, height = canvas.clientHeight;
    pen.clear(width, height, Math.min(2, devicePixelRatio || 1));
    if (now.lens) {
      drawLenses(pen, lesson.data, this.rows, now.count, width, height);
      return;
    }
    const rows = this.rows, focus = rows[0].shots[Math.min(now.count, rows[0].shots.length - 1)].feet?.[0] ?? lesson.data.focus;
    const names = Math.max(...rows.map((row) => pen.width(row.name, 22, 700)));
    placesOf(lesson, rows, width, height, focus, names).forEach((place, k) => {
      drawRow(pen, lesson, rows[k], Math.min(now.count, rows[k].shots.length - 1), place, now.step > 0, width < 760);
    });
  }
}

/** @param {ArrayBuffer} told @param {ArrayBuffer} states */
export async function beginLesson(told, states) {
  document.documentElement.classList.add("teaching");
  await Promise.all(["500 16px", "700 16px"].map((font) => document.fonts.load(`${font} "Barlow Semi Condensed"`)));
  const page = new LessonPage(readLesson(JSON.parse(new TextDecoder().decode(told)), states));
  Object.assign(window, { lesson: page });
  requestAnimationFrame(() => { document.documentElement.dataset.ready = "true"; });
}
