/** Worst places: numbered discs that are buttons, three of them in words; the chosen one with its body and its measured gap. */
import { drawLabel } from "./marks.js";

/** @typedef {import("../model/types.js").Point} Point */
/** @typedef {(p: Point) => [number, number, number]} Projection */

const APART = 26; // pixels

/** What was said before the last change says so. @param {string} text @param {boolean|undefined} old @param {Record<string, string>} words */
export const aged = (text, old, words) => (old ? `${text} (${words.old})` : text);

/**
 * Discs, spread where they would cover one another.
 * @param {any[]} places
 * @param {Projection} P
 * @param {import("../view/camera.js").Rect} area
 * @param {DOMRect} buttons  of the page, which no disc may hide behind
 * @returns {{place: any, x: number, y: number, on: [number, number, number]}[]}
 */
export function spread(places, P, area, buttons) {
  const found = /** @type {{place: any, x: number, y: number, on: [number, number, number]}[]} */ ([]);
  for (const place of places) {
    const on = P(place.p);
    if (on[2] > 1 || on[0] < area.x + 8 || on[0] > area.x + area.w - 8 || on[1] < area.y || on[1] > area.y + area.h + 10) continue;
    let [x, y] = on;
    for (let round = 0; round < 8; round++) {
      const other = found.find((one) => Math.hypot(one.x - x, one.y - y) < APART - 0.5);
      if (!other) break;
      const angle = Math.hypot(x - other.x, y - other.y) > 1 ? Math.atan2(y - other.y, x - other.x) + 0.4 * round : 0.5 + 1.1 * found.length;
      x = other.x + APART * Math.cos(angle);
      y = other.y + APART * Math.sin(angle);
    }
    if (x > buttons.left - APART && x < buttons.right + APART && y > buttons.top - APART / 2 && y < buttons.bottom + APART / 2) y = buttons.top - APART * 0.7;
    found.push({ place, x, y, on });
  }
  return found;
}

/** The discs as buttons; they are kept from frame to frame, so that a focused one stays focused. */
export class Discs {
  /** @param {HTMLElement} box @param {(place: any) => void} choose @param {string} name  of one, before its number */
  constructor(box, choose, name) {
    this.box = box;
    this.choose = choose;
    this.name = name;
    /** @type {Map<number, HTMLButtonElement>} */
    this.buttons = new Map();
  }

  /**
   * @param {import("./pen.js").Pen} pen
   * @param {ReturnType<typeof spread>} discs
   * @param {any} chosen
   * @param {import("../view/camera.js").Rect} area
   * @param {number} worded  how many are said in words
   * @param {Record<string, string>} words
   */
  draw(pen, discs, chosen, area, worded, words) {
    const shown = new Set(discs.map(({ place }) => place.rank));
    for (const [rank, button] of this.buttons) button.hidden = !shown.has(rank);
    let said = 0;
    for (const { place, x, y } of discs) {
      if (said < worded && (chosen ? place === chosen : true)) {
        const colour = place.old ? pen.colours.quiet : place.met ? pen.colours.main : pen.colours.alarm;
        if (drawLabel(pen, [x, y], place.head, aged(place.text, place.old, words), colour, area)) said++;
      }
      const button = this.button(place, words);
      button.style.transform = `translate(${x - 13}px,${y - 13}px)`;
      button.setAttribute("aria-pressed", String(place === chosen));
    }
  }

  /** Other places: the buttons of the old ones go. */
  clear() {
    for (const button of this.buttons.values()) button.remove();
    this.buttons.clear();
  }

  /** @param {any} place @param {Record<string, string>} words */
  button(place, words) {
    let button = this.buttons.get(place.rank);
    if (!button) {
      button = document.createElement("button");
      button.type = "button";
      button.textContent = `${place.rank}`;
      button.dataset.met = String(place.met);
      button.dataset.old = String(place.old ?? false);
      button.setAttribute("aria-label", `${this.name} ${place.rank}. ${place.head}: ${aged(place.text, place.old, words)}`);
      button.addEventListener("click", () => this.choose(place));
      this.buttons.set(place.rank, button);
      this.box.append(button);
    }
    return button;
  }
}

/** Somebody upright between two points. @param {import("./pen.js").Pen} pen @param {ArrayLike<number>} top @param {ArrayLike<number>} foot @param {number} scale @param {number} opacity */
export function drawBody(pen, top, foot, scale, opacity) {
  const { colours } = pen, g = pen.context, wide = Math.max(4, 0.26 * scale);
  g.save();
  g.globalAlpha = opacity;
  for (const [rim, colour] of /** @type {[number, string][]} */ ([[3, colours.casing], [0, colours.walker]])) {
    pen.stroke([top, foot], colour, wide + rim);
    pen.disc(top, wide * 0.6 + rim / 2, colour, colour);
  }
  g.restore();
}

/**
 * The body at its lowest, how far it fell, and the gap to the ground, measured.
 * @param {import("./pen.js").Pen} pen
 * @param {any} place
 * @param {import("../model/types.js").Shape} shape
 * @param {Projection} P
 * @param {number} scale  pixels to a metre
 * @param {Record<string, string>} words
 */
export function drawChosen(pen, place, shape, P, scale, words) {
  const { colours } = pen;
  if (place.body) {
    const { top, foot } = place.body, a = P(top), b = P(foot);
    if (shape.feet) pen.stroke([P(shape.feet), b], colours.quiet, 1.4, [3, 4]);
    const { ring } = place.body;
    if (ring) pen.stroke([P(ring), P(place.body.tie ?? top)], colours.leash, 1.8, [6, 4]);
    drawBody(pen, a, b, scale, 0.82);
  }
  const from = P(place.point), to = P(place.nearest), colour = place.old ? colours.quiet : place.met ? colours.ink : colours.alarm, text = aged(place.gap, place.old, words);
  pen.bracket(from, to, colour, 2.6, 6);
  pen.disc(to, 5, colour);
  const wide = pen.width(text, 20, 700), most = pen.context.canvas.clientWidth - wide - 10;
  const x = Math.max(10, Math.min(Math.max(from[0], to[0]) + 18, most)), y = (from[1] + to[1]) / 2 + (Math.max(from[0], to[0]) + 18 > most ? 34 : 0);
  pen.block(x - 4, y - 14, wide + 10, 28);
  pen.say(text, x, y, 20, { weight: 700, colour });
}
