// The stage: lines as ribbons of true size and as strokes that stay visible from afar, tapes, walker, ground.
// Plain WebGL 2, no library.  Coordinates are metres from anchor A, z up.
window.LinescopeMakeViewer = function (shaders, space) {
  "use strict";

  const { ACROSS, LINE_VERTEX, FLAT_FRAGMENT, RIBBON_VERTEX, RIBBON_FRAGMENT, SOLID_VERTEX, SOLID_FRAGMENT, MARK_VERTEX, MARK_FRAGMENT } = shaders;
  const { sub, add, dot, unit } = space;

  function compile(gl, vertex, fragment) {
    const program = gl.createProgram();
    for (const [type, source] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(type);
      gl.shaderSource(shader, source.replace(/^\s+#version/, "#version"));
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS) && !gl.isContextLost()) {
      throw new Error(gl.getProgramInfoLog(program) || "the drawing program was refused");
    }
    const places = {};
    return { program, at: (name) => (name in places ? places[name] : (places[name] = gl.getUniformLocation(program, name))) };
  }

  const LINES = ["main", "backup", "leash", "free_loop", "section", "ghost_main", "ghost_backup"];

  class Viewer {
    constructor(canvas, camera) {
      this.canvas = canvas;
      canvas.viewer = this;
      this.camera = camera;
      this.parts = {};
      this.buffers = {};
      this.meta = null;
      this.ghost = null;
      this.show_ghost = true;
      this.selected = null;
      this.tall = 1;
      this.colours = {};
      this.after = () => {};
      this.start();
      canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
      canvas.addEventListener("webglcontextrestored", () => { this.start(); this.refill(); this.draw(); });
    }

    start() {
      const gl = this.canvas.getContext("webgl2", { antialias: true, preserveDrawingBuffer: true });
      if (!gl) throw new Error("this browser does not offer WebGL 2");
      this.gl = gl;
      this.buffers = {};
      this.line = compile(gl, LINE_VERTEX, FLAT_FRAGMENT);
      this.ribbon = compile(gl, RIBBON_VERTEX, RIBBON_FRAGMENT);
      this.solid = compile(gl, SOLID_VERTEX, SOLID_FRAGMENT);
      this.mark = compile(gl, MARK_VERTEX, MARK_FRAGMENT);
    }

    refill() { for (const name of Object.keys(this.parts)) this.fill(name); }

    fill(name) {
      const gl = this.gl, data = this.parts[name], faces = name.endsWith("_faces");
      if (LINES.includes(name)) { this.fillLine(name); return; }
      const target = faces ? gl.ELEMENT_ARRAY_BUFFER : gl.ARRAY_BUFFER;
      if (!this.buffers[name]) this.buffers[name] = gl.createBuffer();
      gl.bindBuffer(target, this.buffers[name]);
      gl.bufferData(target, data, gl.DYNAMIC_DRAW);
    }

    fillLine(name) {
      const gl = this.gl, data = this.parts[name], rows = Math.max(1, Math.ceil(data.length / 3 / ACROSS));
      if (!this.buffers[name]) {
        this.buffers[name] = gl.createTexture();
        gl.bindTexture(gl.TEXTURE_2D, this.buffers[name]);
        for (const [key, value] of [[gl.TEXTURE_MIN_FILTER, gl.NEAREST], [gl.TEXTURE_MAG_FILTER, gl.NEAREST]]) gl.texParameteri(gl.TEXTURE_2D, key, value);
      }
      const padded = new Float32Array(rows * ACROSS * 3);
      padded.set(data);
      gl.bindTexture(gl.TEXTURE_2D, this.buffers[name]);
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB32F, ACROSS, rows, 0, gl.RGB, gl.FLOAT, padded);
    }

    // Take what was sent; parts that are not in the message stay.
    take(meta, parts) {
      const now = performance.now();
      if (this.meta && (parts.main || parts.backup) && now - (this.taken || 0) > 900) {
        this.set("ghost_main", this.parts.main);
        this.set("ghost_backup", this.parts.backup);
      }
      if (parts.main || parts.backup) this.taken = now;
      for (const [name, bytes] of Object.entries(parts)) {
        const copy = bytes.slice ? bytes.slice() : new Uint8Array(bytes);
        this.set(name, name.endsWith("_faces") ? new Uint32Array(copy.buffer) : new Float32Array(copy.buffer));
      }
      this.meta = meta;
      this.draw();
    }

    set(name, array) { this.parts[name] = array; this.fill(name); }

    size() {
      const box = this.canvas.getBoundingClientRect(), ratio = Math.min(window.devicePixelRatio || 1, 2);
      const width = Math.max(1, Math.round(box.width * ratio)), height = Math.max(1, Math.round(box.height * ratio));
      if (this.canvas.width !== width || this.canvas.height !== height) {
        this.canvas.width = width;
        this.canvas.height = height;
      }
      return { width, height, ratio, css: [box.width, box.height] };
    }

    reach() {
      let far = 10;
      for (const name of ["main", "ground"]) {
        const a = this.parts[name];
        if (!a) continue;
        for (let i = 0; i < a.length; i += 3) {
          const d = Math.hypot(a[i] - this.camera.target[0], a[i + 1] - this.camera.target[1], a[i + 2] * this.tall - this.camera.target[2]);
          if (d > far) far = d;
        }
      }
      return far * 1.1 + this.camera.distance * 0.1;
    }

    draw() {
      if (this.waiting) return;
      this.waiting = true;
      requestAnimationFrame(() => { this.waiting = false; this.paint(); });
    }

    rgba(role, alpha = 1) {
      const text = this.colours[role] || "#888888";
      return [1, 3, 5].map((k) => parseInt(text.slice(k, k + 2), 16) / 255).concat(alpha);
    }

    paint() {
      if (!this.meta || !this.parts.main || this.gl.isContextLost()) return;
      const gl = this.gl, { width, height, ratio } = this.size();
      this.M = this.camera.matrix(width / height, this.reach());
      gl.viewport(0, 0, width, height);
      gl.clearColor(...this.rgba("sky_top"));
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.enable(gl.DEPTH_TEST);
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
      this.solidPart("ground", "ground", "ground_edge", this.contour());
      this.solidPart("body", "walker", "walker", 0);
      if (this.tall === 1) {
        this.ribbonPart("backup", this.meta.backup_width, this.meta.backup_thick, -1);
        this.ribbonPart("main", this.meta.main_width, this.meta.main_thick, 1);
      }
      const size = [width / 2, height / 2];
      this.linePart("section", "ground_edge", 1.6 * ratio, size, 0.0001);
      if (this.show_ghost && this.parts.ghost_main) {
        this.linePart("ghost_main", "quiet", 1.3 * ratio, size, 0.0002, 0.55);
        this.linePart("ghost_backup", "quiet", 1.3 * ratio, size, 0.0002, 0.55);
      }
      this.halo(size, ratio);
      this.linePart("leash", "leash", 1.6 * ratio, size, 0.0003);
      this.linePart("free_loop", "backup", 1.2 * ratio, size, 0.0003, 0.55);
      this.linePart("backup", "backup", 2 * ratio, size, 0.0004);
      this.linePart("main", "main", 2.8 * ratio, size, 0.0006);
      this.tapes(ratio);
      // For timings: wait until the picture is really there.
      if (window.linescopeExact) gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
      this.after(this.meta.revision);
    }

    contour() {
      const a = this.parts.ground;
      if (!a || !a.length) return 0;
      if (this.contour_of !== a) {
        let low = Infinity, high = -Infinity;
        for (let i = 2; i < a.length; i += 3) { low = Math.min(low, a[i]); high = Math.max(high, a[i]); }
        const span = Math.max(high - low, 1), step = 10 ** Math.floor(Math.log10(span / 8));
        this.contour_of = a;
        this.contour_step = span / step > 40 ? step * 5 : span / step > 16 ? step * 2 : step;
      }
      return this.contour_step;
    }

    bind(name) {
      const gl = this.gl;
      gl.bindBuffer(gl.ARRAY_BUFFER, this.buffers[name]);
      gl.enableVertexAttribArray(0);
      gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 12, 0);
    }

    read(program, name, first) {
      const gl = this.gl;
      gl.disableVertexAttribArray(0);
      gl.activeTexture(gl.TEXTURE0);
      gl.bindTexture(gl.TEXTURE_2D, this.buffers[name]);
      gl.uniform1i(program.at("points"), 0);
      gl.uniform1i(program.at("first"), first);
    }

    linePart(name, role, width, size, lift, alpha = 1, from = 0, to = -1) {
      const gl = this.gl, a = this.parts[name];
      const last = to < 0 ? (a ? a.length / 3 - 1 : 0) : to;
      if (!a || last - from < 1) return;
      gl.useProgram(this.line.program);
      gl.uniformMatrix4fv(this.line.at("M"), false, this.M);
      gl.uniform2f(this.line.at("half_size"), ...size);
      gl.uniform1f(this.line.at("width"), width);
      gl.uniform1f(this.line.at("lift"), lift);
      gl.uniform1f(this.line.at("tall"), this.tall);
      gl.uniform4f(this.line.at("colour"), ...this.rgba(role, alpha));
      this.read(this.line, name, from);
      gl.drawArrays(gl.TRIANGLES, 0, 6 * (last - from));
    }

    ribbonPart(name, width, thick, side) {
      const gl = this.gl, a = this.parts[name];
      // From afar a ribbon is thinner than its stroke: nothing of it would be seen.
      const pixel = this.camera.metres(this.canvas.height);
      if (!a || a.length < 6 || width / pixel < 0.4) return;
      gl.useProgram(this.ribbon.program);
      gl.uniformMatrix4fv(this.ribbon.at("M"), false, this.M);
      gl.uniform1f(this.ribbon.at("width"), width);
      gl.uniform1f(this.ribbon.at("thick"), thick);
      gl.uniform1f(this.ribbon.at("side"), side);
      gl.uniform4f(this.ribbon.at("colour"), ...this.rgba(name));
      gl.uniform4f(this.ribbon.at("under"), ...this.rgba(`${name}_under`));
      this.read(this.ribbon, name, 0);
      gl.drawArrays(gl.TRIANGLES, 0, 36 * (a.length / 3 - 1));
    }

    solidPart(name, role, edge, contour) {
      const gl = this.gl, faces = this.parts[`${name}_faces`], a = this.parts[name];
      if (!a || !a.length || !faces || !faces.length) return;
      gl.useProgram(this.solid.program);
      gl.uniformMatrix4fv(this.solid.at("M"), false, this.M);
      gl.uniform1f(this.solid.at("tall"), this.tall);
      gl.uniform1f(this.solid.at("contour"), contour);
      gl.uniform3f(this.solid.at("centre"), a[0], a[1], a[2] * this.tall);
      gl.uniform4f(this.solid.at("colour"), ...this.rgba(role));
      gl.uniform4f(this.solid.at("edge"), ...this.rgba(edge));
      this.bind(name);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.buffers[`${name}_faces`]);
      gl.drawElements(gl.TRIANGLES, faces.length, gl.UNSIGNED_INT, 0);
    }

    halo(size, ratio) {
      if (!this.selected || this.selected.kind !== "loop") return;
      const k = Math.min(this.selected.index, this.meta.bays - 1), per = this.meta.per_loop, starts = this.meta.main_start;
      this.linePart("backup", "alarm", 9 * ratio, size, 0.0001, 0.55, k * per, (k + 1) * per);
      this.linePart("main", "alarm", 9 * ratio, size, 0.0001, 0.35, starts[k], starts[k + 1]);
    }

    tapes(ratio) {
      const gl = this.gl, a = this.parts.tapes;
      if (!a || !a.length) return;
      const kinds = this.meta.families, count = a.length / 4;
      gl.useProgram(this.mark.program);
      gl.uniformMatrix4fv(this.mark.at("M"), false, this.M);
      gl.uniform1f(this.mark.at("tall"), this.tall);
      gl.uniform1iv(this.mark.at("shapes"), Array.from({ length: 32 }, (_, k) => (kinds[k] ? kinds[k].shape : 4)));
      gl.uniform4fv(this.mark.at("colours"), Array.from({ length: 32 }, (_, k) => this.rgba(kinds[k] ? kinds[k].colour : "ink")).flat());
      gl.uniform4f(this.mark.at("rim"), ...this.rgba("paper"));
      gl.bindBuffer(gl.ARRAY_BUFFER, this.buffers.tapes);
      gl.enableVertexAttribArray(0);
      const room = this.tapeRoom(count), every = Math.max(1, Math.ceil(8 / Math.max(room, 0.1)));
      this.every = every;
      gl.vertexAttribPointer(0, 4, gl.FLOAT, false, 16 * every, 0);
      gl.uniform1f(this.mark.at("size"), Math.max(5, Math.min(13, room * every * 0.55)) * ratio);
      gl.drawArrays(gl.POINTS, 0, Math.ceil(count / every));
      if (this.selected && this.selected.kind === "tape") {
        gl.uniform1f(this.mark.at("size"), 22 * ratio);
        gl.uniform4f(this.mark.at("rim"), ...this.rgba("alarm"));
        gl.vertexAttribPointer(0, 4, gl.FLOAT, false, 16, 0);
        gl.drawArrays(gl.POINTS, Math.min(this.selected.index, count - 1), 1);
      }
    }

    tapeRoom(count) {
      const [a, b] = this.meta.anchors.map((p) => this.project(p));
      return a && b ? Math.hypot(a[0] - b[0], a[1] - b[1]) / (count + 1) : 12;
    }

    // Where a point appears [css px], and its depth; null behind the eye.
    project(p) {
      const m = this.M, { css } = this.size(), z = p[2] * this.tall;
      if (!m) return null;
      const w = m[3] * p[0] + m[7] * p[1] + m[11] * z + m[15];
      if (w < 1e-6) return null;
      const x = (m[0] * p[0] + m[4] * p[1] + m[8] * z + m[12]) / w, y = (m[1] * p[0] + m[5] * p[1] + m[9] * z + m[13]) / w;
      return [((x + 1) / 2) * css[0], ((1 - y) / 2) * css[1], w];
    }

    point(name, i, stride = 3) { const a = this.parts[name]; return [a[stride * i], a[stride * i + 1], a[stride * i + 2]]; }

    // The loop or tape under a place of the canvas.
    pick(x, y, room = 16) {
      let best = null;
      const offer = (kind, index, p, handicap) => {
        const at = this.project(p);
        if (!at) return;
        const d = Math.hypot(at[0] - x, at[1] - y) + handicap;
        if (d < room && (!best || d < best.d)) best = { kind, index, d };
      };
      for (let i = 0; i < this.parts.tapes.length / 4; i++) offer("tape", i, this.point("tapes", i, 4), 0);
      const per = this.meta.per_loop;
      for (let i = 0; i < this.parts.backup.length / 3 - 1; i++) offer("loop", Math.floor(i / per), this.point("backup", i), 3);
      return best;
    }

    onWalker(x, y) {
      if (!this.meta.walker) return false;
      const [wx, wy, wz, tall] = this.meta.walker, feet = this.project([wx, wy, wz]), head = this.project([wx, wy, wz + tall]);
      if (!feet || !head) return false;
      const dx = head[0] - feet[0], dy = head[1] - feet[1], l2 = dx * dx + dy * dy || 1;
      const s = Math.max(0, Math.min(1, ((x - feet[0]) * dx + (y - feet[1]) * dy) / l2));
      return Math.hypot(x - feet[0] - s * dx, y - feet[1] - s * dy) < 18;
    }

    // Share of the straight line A to B whose place on the main is nearest to a place of the canvas.
    shareAt(x, y) {
      const [a, b] = this.meta.anchors, along = sub(b, a), l2 = dot(along, along);
      let best = Infinity, share = 0.5;
      const count = this.parts.main.length / 3;
      for (let i = 0; i + 1 < count; i++) {
        const p = this.point("main", i), q = this.point("main", i + 1), u = this.project(p), v = this.project(q);
        if (!u || !v) continue;
        const dx = v[0] - u[0], dy = v[1] - u[1], n = dx * dx + dy * dy || 1;
        const s = Math.max(0, Math.min(1, ((x - u[0]) * dx + (y - u[1]) * dy) / n));
        const d = Math.hypot(x - u[0] - s * dx, y - u[1] - s * dy);
        if (d < best) { best = d; share = dot(sub(add(p, sub(q, p), s), a), along) / l2; }
      }
      return Math.max(0.002, Math.min(0.998, share));
    }

    outline(name, count = 40) {
      const a = this.parts[name], points = [], step = Math.max(1, Math.floor(a.length / 3 / count));
      for (let i = 0; i < a.length / 3; i += step) { const p = this.point(name, i); points.push([p[0], p[1], p[2] * this.tall]); }
      return points;
    }

    // Stand at one of the named views.
    look(name) {
      if (!this.meta || !this.parts.main) return;
      const c = this.camera, [a, b] = this.meta.anchors, way = Math.atan2(b[1] - a[1], b[0] - a[0]);
      const { css } = this.size(), aspect = css[0] / css[1], s = this.tall;
      let points = [...this.outline("main"), ...this.outline("backup")], room = 0.84;
      // On a high picture (a telephone) the line is looked at more from behind A and from above, so that it runs up
      // the picture and is longer than that is wide.
      const upright = Math.max(0, Math.min(1, (1 / aspect - 0.95) / 0.3));
      c.parallel = name === "side" || name === "plan";
      const places = {
        overview: [way - 2.15 - 0.5 * upright, 0.42 + 0.18 * upright], side: [way - Math.PI / 2, 0], plan: [way - (upright > 0.5 ? Math.PI : Math.PI / 2), Math.PI / 2 - 1e-4],
        "from A": [way + Math.PI, 0.1], "from B": [way, 0.1], walker: [way - 1.9, 0.12], picked: [way - 1.8, 0.08],
        ground: [way - 2.15, 0.6],
      };
      [c.turn, c.rise] = places[name] || places.overview;
      const w = this.meta.walker;
      if (w && name !== "plan") points.push([w[0], w[1], (w[2] + w[3]) * s]);
      if (name === "walker" && w) points = [[w[0] - 2.5, w[1] - 2.5, (w[2] - 1) * s], [w[0] + 2.5, w[1] + 2.5, (w[2] + w[3]) * s], [w[0], w[1], (w[2] + w[3] + 0.4) * s]];
      if (name === "ground" && this.parts.ground && this.parts.ground.length) points = points.concat(this.outline("ground", 400));
      if (name === "picked" && this.selected) {
        const per = this.meta.per_loop, k = this.selected.index, loop = this.selected.kind === "loop";
        const from = loop ? k * per : Math.max(0, (k + 1) * per - 4), to = loop ? (k + 1) * per : (k + 1) * per + 4;
        points = [];
        for (let i = from; i <= Math.min(to, this.parts.backup.length / 3 - 1); i++) { const p = this.point("backup", i); points.push([p[0], p[1], p[2] * s]); }
        room = 0.7;
      }
      if (name === "from A" || name === "from B") {
        const end = name === "from A" ? a : b, along = unit(sub(b, a)), sign = name === "from A" ? 1 : -1;
        const length = Math.hypot(...sub(b, a));
        c.target = add([end[0], end[1], end[2] * s], along, sign * Math.min(0.3 * length, 15));
        c.distance = Math.min(0.3 * length, 15) + Math.min(6, 0.1 * length);
      } else c.fit(points, aspect, room);
      this.draw();
    }

    orbit(dx, dy) { this.camera.orbit(dx, dy); this.draw(); }

    pan(dx, dy) { this.camera.pan(dx, dy, this.size().css[1]); this.draw(); }

    zoom(factor, x, y) {
      const { css } = this.size();
      this.camera.zoom(factor, x === undefined ? 0 : x - css[0] / 2, x === undefined ? 0 : css[1] / 2 - y, css[1]);
      this.draw();
    }

    // A round length and how long it is on the canvas, at the depth of the target.
    scale(lengths) {
      const { css } = this.size(), metres = this.camera.metres(css[1]), most = css[0] * 0.22 * metres;
      if (!(most > 0)) return null;
      const [long, text] = lengths.reduce((best, one) => (one[0] <= most ? one : best));
      return { text, width: long / metres };
    }
  }

  return Viewer;
};
