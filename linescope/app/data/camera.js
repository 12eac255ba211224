// Space: points as lists of three, and the camera that the stages share.
(function () {
  "use strict";

  const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
  const add = (a, b, s = 1) => [a[0] + b[0] * s, a[1] + b[1] * s, a[2] + b[2] * s];
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const unit = (a) => { const n = Math.hypot(...a) || 1; return [a[0] / n, a[1] / n, a[2] / n]; };

  // A camera that turns about a target.
  class Camera {
    constructor() { Object.assign(this, { turn: -2.2, rise: 0.35, distance: 60, target: [0, 0, 0], parallel: false }); }

    get angle() { return 0.5; }

    axes() {
      const c = Math.cos(this.rise), back = [c * Math.cos(this.turn), c * Math.sin(this.turn), Math.sin(this.rise)];
      const right = [-Math.sin(this.turn), Math.cos(this.turn), 0];
      return { right, up: cross(back, right), back };
    }

    matrix(aspect, reach) {
      const { right, up, back } = this.axes(), eye = add(this.target, back, this.distance);
      const move = [-dot(right, eye), -dot(up, eye), -dot(back, eye)];
      const f = 1 / Math.tan(this.angle / 2), d = this.distance;
      const near = this.parallel ? -reach : Math.max(0.004 * d, 0.02), far = d + reach;
      const rows = [[...right, move[0]], [...up, move[1]], [...back, move[2]]];
      const out = new Float32Array(16);
      for (let k = 0; k < 4; k++) {
        const [x, y, z] = [rows[0][k], rows[1][k], rows[2][k]], one = k === 3 ? 1 : 0;
        out[4 * k] = (f / aspect) * x;
        out[4 * k + 1] = f * y;
        if (this.parallel) {
          out[4 * k + 2] = d * ((-2 * z - (far + near) * one) / (far - near));
          out[4 * k + 3] = d * one;
        } else {
          out[4 * k + 2] = (-(far + near) * z - 2 * far * near * one) / (far - near);
          out[4 * k + 3] = -z;
        }
      }
      return out;
    }

    // Stand where all points are inside the frame.
    fit(points, aspect, room = 0.84) {
      const { right, up, back } = this.axes(), ty = Math.tan(this.angle / 2) * room, tx = ty * aspect;
      const seen = points.map((p) => [dot(p, right), dot(p, up), dot(p, back)]);
      const most = (f) => Math.max(...seen.map(f));
      if (this.parallel) {
        const mid = [0, 1, 2].map((k) => (most((p) => p[k]) - most((p) => -p[k])) / 2);
        const half = Math.max((most((p) => p[1]) + most((p) => -p[1])) / 2 / ty, (most((p) => p[0]) + most((p) => -p[0])) / 2 / tx);
        this.target = [0, 1, 2].map((k) => right[k] * mid[0] + up[k] * mid[1] + back[k] * mid[2]);
        this.distance = Math.max(half, 0.5);
        return;
      }
      const r = most((p) => p[0] + tx * p[2]), l = most((p) => -p[0] + tx * p[2]);
      const t = most((p) => p[1] + ty * p[2]), b = most((p) => -p[1] + ty * p[2]);
      const depth = Math.max((r + l) / (2 * tx), (t + b) / (2 * ty), most((p) => p[2]) + 0.5);
      const x = (r - l) / 2, y = (t - b) / 2, mean = seen.reduce((s, p) => s + p[2], 0) / seen.length;
      this.target = [0, 1, 2].map((k) => right[k] * x + up[k] * y + back[k] * mean);
      this.distance = depth - mean;
    }

    // Metres of one pixel at the depth of the target, in a frame so many pixels high.
    metres(high) { return (2 * this.distance * Math.tan(this.angle / 2)) / high; }

    orbit(dx, dy) {
      this.turn -= dx;
      this.rise = Math.max(-1.5, Math.min(Math.PI / 2 - 1e-4, this.rise + dy));
    }

    pan(dx, dy, high) {
      const { right, up } = this.axes(), metres = this.metres(high);
      this.target = add(add(this.target, right, -dx * metres), up, dy * metres);
    }

    // Nearer or further; what lies so many pixels right of and above the middle stays where it is.
    zoom(factor, right_of, above, high) {
      const { right, up } = this.axes(), share = (1 - factor) * this.metres(high);
      this.target = add(add(this.target, right, right_of * share), up, above * share);
      this.distance = Math.max(0.15, Math.min(20000, this.distance * factor));
    }
  }

  window.LinescopeSpace = { sub, add, dot, unit, Camera };
})();
