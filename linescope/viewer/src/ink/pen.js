/** Drawing on a 2-D canvas over the picture: strokes, discs, words with a rim, and which parts of the page are taken. */

export const FACE = "\"Barlow Semi Condensed\", \"DejaVu Sans Condensed\", sans-serif";

/** @typedef {[number, number, number]} Seen  pixels of the page; the third is the depth, above 1 behind the eye */

export class Pen {
  /** @param {CanvasRenderingContext2D} context @param {Record<string, string>} colours @param {string} paper */
  constructor(context, colours, paper) {
    this.context = context;
    this.colours = colours;
    this.paper = paper;
    /** @type {[number, number, number, number][]} */
    this.taken = [];
    /** @type {CanvasRenderingContext2D|null} what is kept */
    this.held = null;
    this.heldFrom = "";
  }

  /** A clean sheet. @param {number} width @param {number} height @param {number} ratio */
  clear(width, height, ratio) {
    const { canvas } = this.context;
    if (canvas.width !== Math.round(width * ratio)) canvas.width = Math.round(width * ratio);
    if (canvas.height !== Math.round(height * ratio)) canvas.height = Math.round(height * ratio);
    this.context.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.context.clearRect(0, 0, width, height);
    this.taken = [];
  }

  /**
   * What changes seldom: drawn once, and copied from then on for as long as what it was drawn from stays the same. Strokes and words
   * cost a processor more than a copy of them.
   * @param {string} from
   * @param {() => void} draw
   */
  kept(from, draw) {
    const { context, colours, paper } = this, { canvas } = context, all = [canvas.width, canvas.height, paper, colours.ink, document.fonts.status, from].join("\n");
    if (!this.held || this.heldFrom !== all) {
      if (!this.held) {
        const sheet = document.createElement("canvas");
        canvas.append(sheet); // never shown there, but its figures are as wide as the page's
        this.held = /** @type {CanvasRenderingContext2D} */ (sheet.getContext("2d"));
      }
      Object.assign(this.held.canvas, { width: canvas.width, height: canvas.height });
      this.held.setTransform(context.getTransform());
      this.context = this.held;
      draw();
      this.context = context;
      this.heldFrom = all;
    }
    context.save();
    context.resetTransform();
    context.drawImage(this.held.canvas, 0, 0);
    context.restore();
  }

  /** @param {number} size @param {number} [weight] */
  font(size, weight = 500) { this.context.font = `${weight} ${size}px ${FACE}`; }

  /** @param {string} text @param {number} size @param {number} [weight] */
  width(text, size, weight = 500) {
    this.font(size, weight);
    return this.context.measureText(text).width;
  }

  /**
   * @param {string} text
   * @param {number} x
   * @param {number} y  middle of the line of text
   * @param {number} size
   * @param {{weight?: number, align?: CanvasTextAlign, colour?: string, rim?: string, bare?: boolean}} [look]
   */
  say(text, x, y, size, look = {}) {
    const g = this.context;
    this.font(size, look.weight ?? 500);
    g.textAlign = look.align ?? "left";
    g.textBaseline = "middle";
    if (!look.bare) {
      g.lineJoin = "round";
      g.lineWidth = 4.5;
      g.strokeStyle = look.rim ?? this.paper;
      g.strokeText(text, x, y);
    }
    g.fillStyle = look.colour ?? this.colours.ink;
    g.fillText(text, x, y);
  }

  /** @param {ArrayLike<number>[]} points @param {string} colour @param {number} width @param {number[]} [dash] */
  stroke(points, colour, width, dash = []) {
    const g = this.context;
    g.beginPath();
    points.forEach((p, k) => (k ? g.lineTo(p[0], p[1]) : g.moveTo(p[0], p[1])));
    g.strokeStyle = colour;
    g.lineWidth = width;
    g.lineJoin = "round";
    g.lineCap = dash.length ? "butt" : "round";
    g.setLineDash(dash);
    g.stroke();
    g.setLineDash([]);
  }

  /** @param {ArrayLike<number>} p @param {number} radius @param {string} fill @param {string} [edge] */
  disc(p, radius, fill, edge = this.colours.casing) {
    const g = this.context;
    g.beginPath();
    g.arc(p[0], p[1], radius, 0, 2 * Math.PI);
    g.fillStyle = fill;
    g.fill();
    g.lineWidth = 2;
    g.strokeStyle = edge;
    g.stroke();
  }

  /** @param {ArrayLike<number>} p @param {number} radius @param {string} colour @param {number} width */
  ring(p, radius, colour, width) {
    const g = this.context;
    g.beginPath();
    g.arc(p[0], p[1], radius, 0, 2 * Math.PI);
    g.lineWidth = width;
    g.strokeStyle = colour;
    g.stroke();
  }

  /** A bracket along a measured length. @param {ArrayLike<number>} a @param {ArrayLike<number>} b @param {string} colour @param {number} [width] @param {number} [ends] */
  bracket(a, b, colour, width = 1.3, ends = 5) {
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const [nx, ny] = [-(b[1] - a[1]) / long * ends, (b[0] - a[0]) / long * ends];
    this.stroke([a, b], colour, width);
    for (const p of [a, b]) this.stroke([[p[0] - nx, p[1] - ny], [p[0] + nx, p[1] + ny]], colour, width);
  }

  /** A star where something meets the ground. @param {ArrayLike<number>} p @param {string} colour */
  burst(p, colour) {
    const g = this.context;
    g.beginPath();
    for (let k = 0; k < 16; k++) {
      const radius = k % 2 ? 9 : 22, angle = k / 16 * 2 * Math.PI;
      g.lineTo(p[0] + radius * Math.cos(angle), p[1] + radius * Math.sin(angle));
    }
    g.closePath();
    g.fillStyle = colour;
    g.fill();
    g.strokeStyle = this.colours.casing;
    g.lineWidth = 2;
    g.stroke();
  }

  /** Strokes across an area, from its lower left to its upper right. @param {() => void} path @param {string} colour @param {number} pitch @param {[number, number, number, number]} box */
  hatch(path, colour, pitch, box) {
    const g = this.context, [x0, y0, x1, y1] = box, high = y1 - y0;
    g.save();
    g.beginPath();
    path();
    g.clip();
    g.beginPath();
    for (let x = x0 - high; x < x1; x += pitch) {
      g.moveTo(x, y1);
      g.lineTo(x + high, y0);
    }
    g.strokeStyle = colour;
    g.lineWidth = 1.3;
    g.stroke();
    g.restore();
  }

  /** Keep words away from a box. @param {number} x @param {number} y @param {number} w @param {number} h */
  block(x, y, w, h) { this.taken.push([x, y, x + w, y + h]); }

  /** @param {number} x @param {number} y @param {number} w @param {number} h */
  free(x, y, w, h) { return !this.taken.some((b) => x < b[2] && x + w > b[0] && y < b[3] && y + h > b[1]); }
}

const SHAPES = /** @type {Record<string, number[][][]>} */ ({
  block: [[[-0.62, -0.95], [0.62, -0.95], [0.62, 0.95], [-0.62, 0.95]]],
  up: [[[0, -1.05], [1, 0.8], [-1, 0.8]]],
  down: [[[0, 1.05], [1, -0.8], [-1, -0.8]]],
  diamond: [[[0, -1.15], [0.95, 0], [0, 1.15], [-0.95, 0]]],
  bow: [[[-1.1, -0.9], [0, 0], [-1.1, 0.9]], [[1.1, -0.9], [0, 0], [1.1, 0.9]]],
  star: [Array.from({ length: 10 }, (_, k) => [(k % 2 ? 0.5 : 1.2) * Math.sin(k * Math.PI / 5), -(k % 2 ? 0.5 : 1.2) * Math.cos(k * Math.PI / 5)])],
});

/**
 * The sign of a tape's style.
 * @param {CanvasRenderingContext2D} g
 * @param {string} sign
 * @param {ArrayLike<number>} p
 * @param {number} half  of its height, pixels
 * @param {string} fill
 * @param {string} outline
 * @param {string} rim  round the outline
 * @param {number} [angle]  of the line it sits on
 */
export function tapeSign(g, sign, p, half, fill, outline, rim, angle = 0) {
  g.save();
  g.translate(p[0], p[1]);
  g.rotate(angle);
  g.lineJoin = "round";
  g.fillStyle = fill;
  for (const [width, colour] of /** @type {[number, string][]} */ ([[half * 0.3 + 3.4, rim], [Math.max(1, half * 0.28), outline]])) {
    g.lineWidth = width;
    g.strokeStyle = colour;
    if (sign === "disc" || sign === "ring") {
      g.beginPath();
      g.arc(0, 0, half, 0, 2 * Math.PI);
      g.stroke();
      g.fill();
      if (sign === "ring") {
        g.beginPath();
        g.arc(0, 0, half / 2, 0, 2 * Math.PI);
        g.fillStyle = rim;
        g.fill();
        g.fillStyle = fill;
      }
      continue;
    }
    for (const shape of SHAPES[sign] ?? SHAPES.block) {
      g.beginPath();
      shape.forEach(([x, y], k) => (k ? g.lineTo(x * half, y * half) : g.moveTo(x * half, y * half)));
      g.closePath();
      g.stroke();
      g.fill();
    }
  }
  g.restore();
}
