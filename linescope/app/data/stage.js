// The stage: one picture with its labels, turned and walked on by hand.
(function () {
  "use strict";

  // Scripts arrive in any order: the others are looked up when the first picture is drawn.
  let made = null;
  const viewer = () => (made = made || window.LinescopeMakeViewer(window.LinescopeShaders, window.LinescopeSpace));

  // One picture with its labels; several share a camera.
  const Stage = {
    props: { name: String, picture: Object, colours: Object, camera: Object, bus: Object, picked: Object, tall: Number,
      ghost: Boolean, old: Boolean, reason: String, summary: String, feet: Boolean, active: Boolean, count: Number },
    emits: ["walker", "walker-end", "pick", "drawn"],
    data() { return { labels: [], scale: null, every: "", problem: "" }; },
    mounted() {
      try { this.viewer = new (viewer())(this.$refs.canvas, this.camera); } catch (problem) { this.problem = String(problem.message || problem); return; }
      this.viewer.after = (revision) => { this.place(); this.$emit("drawn", this.name, revision); };
      this.bus.add(this);
      this.paintTheme();
      this.resizer = new ResizeObserver(() => this.resized());
      this.resizer.observe(this.$refs.canvas);
      if (this.picture) this.take(this.picture);
    },
    beforeUnmount() { this.bus.delete(this); if (this.resizer) this.resizer.disconnect(); },
    watch: {
      colours() { this.paintTheme(); },
      picked() { if (this.viewer) { this.viewer.selected = this.picked; this.viewer.draw(); } },
      tall() { if (this.viewer) { this.viewer.tall = this.tall; this.viewer.draw(); } },
      ghost() { if (this.viewer) { this.viewer.show_ghost = this.ghost; this.viewer.draw(); } },
      count() { this.fitted = false; },
    },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      paintTheme() { if (this.viewer) { this.viewer.colours = this.colours; this.viewer.show_ghost = this.ghost; this.viewer.draw(); } },
      resized() { if (!this.fitted && this.viewer && this.viewer.meta) { this.fitted = true; this.viewer.look(this.bus.view || "overview"); } this.viewer.draw(); },
      take(message) {
        if (!this.viewer) return;
        this.viewer.selected = this.picked;
        this.viewer.tall = this.tall;
        this.viewer.take(message.meta, message.parts);
        if (!this.fitted && this.viewer.parts.main) { this.fitted = true; this.viewer.look(this.bus.view || "overview"); }
      },
      look(view) { this.viewer.look(view); },
      place() {
        const v = this.viewer, box = v.size().css, used = [], out = [];
        // Beside a line that runs up the picture, above and below one that runs across it.
        const [a, b] = v.meta.anchors.map((p) => v.project(p)), rise = a && b ? a[1] - b[1] : 0, run = a && b ? b[0] - a[0] : 1;
        const steep = Math.abs(rise) > 0.5 * Math.abs(run), lean = rise * run >= 0 ? 1 : -1;
        for (const label of v.meta.labels) {
          const p = v.project(label.at);
          if (!p || p[0] < 0 || p[1] < 0 || p[0] > box[0] || p[1] > box[1]) continue;
          const w = label.text.length * 7.4 + 12, h = 20, side = (label.below ? 1 : -1) * lean;
          const wish = !steep || label.kind === "anchor" ? p[0] - w / 2 : side > 0 ? p[0] + 10 : p[0] - w - 10;
          const x = Math.max(2, Math.min(box[0] - w - 2, wish));
          const y = label.below ? p[1] + 8 : p[1] - h - 8, mine = [x, y, x + w, y + h];
          if (used.some((o) => mine[0] < o[2] + 4 && o[0] < mine[2] + 4 && mine[1] < o[3] + 2 && o[1] < mine[3] + 2)) continue;
          used.push(mine);
          out.push({ text: label.text, kind: label.kind, style: { transform: `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`, width: `${w}px` } });
        }
        this.labels = out;
        this.scale = v.scale(window.LinescopeParts.lengths(this.feet ? "feet" : "metric"));
        this.every = v.every > 1 ? this.t("one-in", { every: v.every }) : "";
      },
      redraw() { for (const other of this.bus) other.viewer.draw(); },
      local(event) { const box = this.$refs.canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; },
      down(event) {
        const [x, y] = this.local(event);
        this.fingers = this.fingers || new Map();
        this.fingers.set(event.pointerId, [x, y]);
        this.$refs.canvas.setPointerCapture(event.pointerId);
        this.start = [x, y];
        this.moved = false;
        this.mode = this.active && this.fingers.size === 1 && event.button === 0 && this.viewer.onWalker(x, y) ? "walker"
          : event.button === 2 || event.button === 1 || event.shiftKey ? "pan" : "orbit";
      },
      move(event) {
        const [x, y] = this.local(event);
        if (!this.fingers || !this.fingers.has(event.pointerId)) {
          this.$refs.canvas.style.cursor = this.active && this.viewer.meta && this.viewer.onWalker(x, y) ? "ew-resize" : "grab";
          return;
        }
        const [px, py] = this.fingers.get(event.pointerId), dx = x - px, dy = y - py;
        this.fingers.set(event.pointerId, [x, y]);
        if (Math.hypot(x - this.start[0], y - this.start[1]) > 4) this.moved = true;
        if (this.fingers.size === 2) {
          const [one, two] = [...this.fingers.values()], wide = Math.hypot(one[0] - two[0], one[1] - two[1]);
          if (this.wide) this.viewer.zoom(this.wide / wide, (one[0] + two[0]) / 2, (one[1] + two[1]) / 2);
          this.wide = wide;
          this.viewer.pan(dx / 2, dy / 2);
        } else if (this.mode === "walker") { if (this.moved) this.$emit("walker", this.viewer.shareAt(x, y)); }
        else if (this.mode === "pan") this.viewer.pan(dx, dy);
        else if (this.moved) this.viewer.orbit(dx * 0.007, dy * 0.007);
        this.redraw();
      },
      up(event) {
        if (!this.fingers || !this.fingers.delete(event.pointerId)) return;
        this.wide = 0;
        if (this.mode === "walker" && this.moved) this.$emit("walker-end");
        else if (!this.moved && this.active) { const [x, y] = this.local(event); this.$emit("pick", this.viewer.pick(x, y)); }
      },
      wheel(event) { const [x, y] = this.local(event); this.viewer.zoom(Math.exp(Math.max(-1, Math.min(1, event.deltaY / 400))), x, y); this.redraw(); },
      key(event) {
        const v = this.viewer, far = event.shiftKey, step = 0.08;
        const turns = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
        if (turns && far) v.pan(-turns[0] * 30, turns[1] * 30);
        else if (turns) v.orbit(-turns[0] * step, turns[1] * step);
        else if (event.key === "+" || event.key === "=") v.zoom(0.85);
        else if (event.key === "-") v.zoom(1 / 0.85);
        else if (event.key === "0") v.look("overview");
        else if (event.key === "n" || event.key === "p") this.$emit("pick", "loop", event.key === "n" ? 1 : -1);
        else if (event.key === "t" || event.key === "T") this.$emit("pick", "tape", event.key === "t" ? 1 : -1);
        else return;
        event.preventDefault();
        this.redraw();
      },
    },
    template: `
      <div class="ls-canvas" :class="{ old, active }">
        <canvas ref="canvas" tabindex="0" role="img" :aria-label="t('canvas', { name, summary })"
          @pointerdown="down" @pointermove="move" @pointerup="up" @pointercancel="up" @wheel.prevent="wheel" @contextmenu.prevent @keydown="key"></canvas>
        <div class="ls-labels" aria-hidden="true"><span v-for="l in labels" :key="l.text + l.style.transform" :class="l.kind" :style="l.style">{{ l.text }}</span></div>
        <div v-if="scale" class="ls-scale" aria-hidden="true"><span :style="{ width: scale.width + 'px' }"></span>{{ scale.text }}<template v-if="every">; {{ every }}</template></div>
        <p v-if="tall !== 1" class="ls-tall">{{ t('tall', { times: tall }) }}</p>
        <p v-if="count > 1" class="ls-which">{{ t(active ? 'which-edited' : 'which', { name }) }}</p>
        <p v-if="old" class="ls-oldmark"><strong>{{ t('old-picture') }}</strong> {{ t('of-last', { why: reason }) }}</p>
        <p v-if="problem" class="ls-oldmark">{{ t('no-picture-why', { why: problem }) }}</p>
      </div>`,
  };

  window.LinescopeParts = Object.assign(window.LinescopeParts || {}, { Stage });
})();
