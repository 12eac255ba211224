// A small viewer: lines, ribbons, ground and bodies painted far to near on a 2-D canvas.
// It needs no WebGL, no network and no library; labels are HTML placed from projected points.
"use strict";
(function () {
  const data = JSON.parse(document.getElementById("scene").textContent);
  const view = document.getElementById("view");
  const canvas = view.querySelector("canvas");
  const pen = canvas.getContext("2d");
  const bar = document.getElementById("bar");
  const NEAR = 0.05;
  const FIELD = Math.PI / 7; // Full vertical angle of view.

  function floats(text) {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
    return new Float32Array(bytes.buffer);
  }
  function numbers(text) {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
    return new Uint32Array(bytes.buffer);
  }
  const ground = data.ground ? { p: floats(data.ground.p), t: numbers(data.ground.t) } : null;
  const body = data.body ? { p: floats(data.body.p), t: numbers(data.body.t) } : null;
  for (const state of data.states) {
    state.main = state.main ? floats(state.main) : null;
    state.backup = floats(state.backup);
    state.tapes = state.tapes ? floats(state.tapes) : null;
    for (const wire of state.wires) wire.p = floats(wire.p);
  }
  const at = (array, i) => [array[3 * i], array[3 * i + 1], array[3 * i + 2]];

  // Shade of each triangle: a fixed sun, so that turning does not flicker.
  function shades(mesh, rgb) {
    const sun = [-0.35, -0.55, 0.76], made = [];
    for (let k = 0; k < mesh.t.length; k += 3) {
      const a = at(mesh.p, mesh.t[k]), b = at(mesh.p, mesh.t[k + 1]), c = at(mesh.p, mesh.t[k + 2]);
      const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]], v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
      const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      const long = Math.hypot(n[0], n[1], n[2]) || 1;
      const light = 0.62 + 0.38 * Math.abs(n[0] * sun[0] + n[1] * sun[1] + n[2] * sun[2]) / long;
      made.push("rgb(" + rgb.map(x => Math.round(Math.min(255, x * light * 1.08))).join(",") + ")");
    }
    return made;
  }
  const groundShade = ground ? shades(ground, data.rgb.ground) : [];
  const bodyShade = body ? shades(body, data.rgb.walker) : [];

  // Camera: a target, two angles and a distance.
  const camera = { target: [0, 0, 0], yaw: 0, pitch: 0.15, far: 10 };
  let axes, eye, focal, width = 0, height = 0, ratio = 1;
  function aim() {
    const cy = Math.cos(camera.yaw), sy = Math.sin(camera.yaw), cp = Math.cos(camera.pitch), sp = Math.sin(camera.pitch);
    const back = [-sy * cp, -cy * cp, sp]; // from the target to the eye; yaw 0 looks along +y
    const right = [cy, -sy, 0];
    const up = [back[1] * right[2] - back[2] * right[1], back[2] * right[0] - back[0] * right[2], back[0] * right[1] - back[1] * right[0]];
    axes = [right, up, back];
    eye = camera.target.map((t, k) => t + back[k] * camera.far);
    focal = height / 2 / Math.tan(FIELD / 2);
  }
  function seen(x, y, z) {
    const dx = x - eye[0], dy = y - eye[1], dz = z - eye[2];
    const depth = -(dx * axes[2][0] + dy * axes[2][1] + dz * axes[2][2]);
    const scale = focal / depth;
    return [width / 2 + (dx * axes[0][0] + dy * axes[0][1] + dz * axes[0][2]) * scale,
            height / 2 - (dx * axes[1][0] + dy * axes[1][1] + dz * axes[1][2]) * scale, depth];
  }

  // What is to be painted, each with its depth.
  let kinds, depths, what, count;
  function room(n) {
    if (!kinds || kinds.length < n) { kinds = new Array(n); depths = new Float64Array(n); what = new Array(n); }
    count = 0;
  }
  function add(kind, depth, item) { kinds[count] = kind; depths[count] = depth; what[count] = item; count++; }

  function mesh(shape, colours, shift) {
    const [sx, sy, sz] = shift, n = shape.p.length / 3, page = new Array(n);
    for (let i = 0; i < n; i++) page[i] = seen(shape.p[3 * i] + sx, shape.p[3 * i + 1] + sy, shape.p[3 * i + 2] + sz);
    for (let k = 0; k < shape.t.length; k += 3) {
      const a = page[shape.t[k]], b = page[shape.t[k + 1]], c = page[shape.t[k + 2]];
      if (a[2] < NEAR || b[2] < NEAR || c[2] < NEAR) continue;
      if (Math.max(a[0], b[0], c[0]) < 0 || Math.min(a[0], b[0], c[0]) > width) continue;
      if (Math.max(a[1], b[1], c[1]) < 0 || Math.min(a[1], b[1], c[1]) > height) continue;
      add(0, (a[2] + b[2] + c[2]) / 3, [a, b, c, colours[k / 3]]);
    }
  }

  function line(points, colour, wide, dash, ribbon, before) {
    let last = null;
    const n = points.length / 3;
    for (let i = 0; i < n; i++) {
      const p = seen(points[3 * i], points[3 * i + 1], points[3 * i + 2]);
      if (last && last[2] > NEAR && p[2] > NEAR) {
        const away = (last[2] + p[2]) / 2;
        const depth = Math.max(NEAR, away * 0.998 - before); // painted a little before what it touches
        if (ribbon && ribbon.width * focal / away > wide * 1.2) strip(points, i, depth, away, ribbon);
        else add(1, depth, [last, p, colour, wide, dash, i]);
      }
      last = p;
    }
  }
  // A piece of webbing at its true width, its width level; darker from below.
  function strip(points, i, depth, away, ribbon) {
    const a = at(points, i - 1), b = at(points, i);
    let ux = b[1] - a[1], uy = -(b[0] - a[0]);
    const long = Math.hypot(ux, uy);
    if (long < 1e-9) return;
    ux *= ribbon.width / 2 / long; uy *= ribbon.width / 2 / long;
    const corners = [seen(a[0] + ux, a[1] + uy, a[2]), seen(b[0] + ux, b[1] + uy, b[2]),
                     seen(b[0] - ux, b[1] - uy, b[2]), seen(a[0] - ux, a[1] - uy, a[2])];
    if (corners.some(c => c[2] < NEAR)) return;
    const turn = (corners[1][0] - corners[0][0]) * (corners[3][1] - corners[0][1])
               - (corners[1][1] - corners[0][1]) * (corners[3][0] - corners[0][0]);
    const thick = Math.max(1.6, ribbon.thick * focal / away);
    add(2, depth, [corners, eye[2] >= a[2] && turn !== 0 ? ribbon.top : ribbon.under, thick]);
  }

  const SHAPES = {
    block: [[[-0.62, -0.95], [0.62, -0.95], [0.62, 0.95], [-0.62, 0.95]]],
    up: [[[0, -1.05], [1, 0.8], [-1, 0.8]]], down: [[[0, 1.05], [1, -0.8], [-1, -0.8]]],
    diamond: [[[0, -1.15], [0.95, 0], [0, 1.15], [-0.95, 0]]],
    bow: [[[-1.1, -0.9], [0, 0], [-1.1, 0.9]], [[1.1, -0.9], [0, 0], [1.1, 0.9]]],
    star: [Array.from({ length: 10 }, (_, k) => [(k % 2 ? 0.5 : 1.2) * Math.sin(k * Math.PI / 5), -(k % 2 ? 0.5 : 1.2) * Math.cos(k * Math.PI / 5)])],
  };
  function symbol(g, kind, x, y, half, fill) {
    g.lineWidth = Math.max(1, half * 0.28); g.strokeStyle = data.colours.outline; g.fillStyle = fill; g.lineJoin = "round";
    if (kind === "disc" || kind === "ring") {
      g.beginPath(); g.arc(x, y, half, 0, 2 * Math.PI); g.fill(); g.stroke();
      if (kind === "ring") { g.beginPath(); g.fillStyle = "#fff"; g.arc(x, y, half / 2, 0, 2 * Math.PI); g.fill(); }
      return;
    }
    for (const shape of SHAPES[kind] || SHAPES.block) {
      g.beginPath();
      shape.forEach(([px, py], k) => g[k ? "lineTo" : "moveTo"](x + px * half, y + py * half));
      g.closePath(); g.fill(); g.stroke();
    }
  }

  let state = data.states[0], chosen = -1, moving = false, labels = [];
  const PAINT = [
    ([a, b, c, colour]) => {
      pen.fillStyle = pen.strokeStyle = colour; pen.lineWidth = 1; pen.beginPath();
      pen.moveTo(a[0], a[1]); pen.lineTo(b[0], b[1]); pen.lineTo(c[0], c[1]); pen.closePath(); pen.fill(); pen.stroke();
    },
    ([a, b, colour, wide, dash, i]) => {
      if (dash && i % 2) return;
      pen.strokeStyle = colour; pen.lineWidth = wide; pen.lineCap = dash ? "butt" : "round"; pen.beginPath();
      pen.moveTo(a[0], a[1]); pen.lineTo(b[0], b[1]); pen.stroke();
    },
    ([corners, colour, thick]) => {
      pen.fillStyle = pen.strokeStyle = colour; pen.lineWidth = thick; pen.lineJoin = "round"; pen.beginPath();
      corners.forEach((c, k) => pen[k ? "lineTo" : "moveTo"](c[0], c[1])); pen.closePath(); pen.fill(); pen.stroke();
    },
    ([p, kind, half, colour]) => symbol(pen, kind, p[0], p[1], half, colour),
    ([a, b, wide]) => {
      pen.strokeStyle = data.colours.walker; pen.lineWidth = wide; pen.lineCap = "round"; pen.beginPath();
      pen.moveTo(a[0], a[1]); pen.lineTo(b[0], b[1]); pen.stroke();
    },
  ];

  function draw() {
    width = view.clientWidth; height = view.clientHeight; ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio); canvas.height = Math.round(height * ratio);
    }
    aim();
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    const sky = pen.createLinearGradient(0, 0, 0, height);
    sky.addColorStop(0, data.colours.sky_top); sky.addColorStop(1, data.colours.sky_low);
    pen.fillStyle = sky; pen.fillRect(0, 0, width, height);
    const lengths = state.wires.reduce((sum, wire) => sum + wire.p.length, state.backup.length + (state.main ? state.main.length : 0));
    room((ground ? ground.t.length / 3 : 0) + (body ? body.t.length / 3 : 0) + lengths + 4 * data.tapes.length + 100);
    if (ground) mesh(ground, groundShade, [0, 0, 0]);
    if (body && state.feet) mesh(body, bodyShade, state.feet);
    line(state.backup, data.colours.backup, 2.6, false, data.ribbons.backup, state.front ? 1e9 : 0.1);
    if (state.main) line(state.main, data.colours.main, 3.8, false, data.ribbons.main, 0.5); // where both lie together the main is seen
    for (const wire of state.wires) line(wire.p, data.colours[wire.c], wire.w, wire.d, null, wire.f || state.front ? 1e9 : 0);
    for (const [top, foot] of state.hanging) {
      const a = seen(...top), b = seen(...foot);
      if (a[2] > NEAR && b[2] > NEAR) add(4, state.front ? NEAR : a[2], [a, b, Math.max(4, 0.34 * focal / a[2])]);
    }
    const page = [];
    if (state.tapes) {
      for (let i = 0; i < data.tapes.length; i++) page.push(seen(...at(state.tapes, i)));
      let before = null;
      page.forEach((p, i) => {
        if (p[2] < NEAR) return;
        if (before && Math.hypot(p[0] - before[0], p[1] - before[1]) < 9 && data.tapes[i].s !== "bow") return;
        before = p;
        add(3, Math.max(NEAR, p[2] * 0.99 - 0.6), [p, data.tapes[i].s, Math.max(3, Math.min(11, 0.05 * focal / p[2])), data.colours[data.tapes[i].c]]);
      });
    }
    for (const anchor of data.anchors) {
      const p = seen(...anchor.p);
      if (p[2] > NEAR) add(3, NEAR, [p, "disc", 8, data.colours.state]);
    }
    const order = Uint32Array.from({ length: count }, (_, k) => k).sort((a, b) => depths[b] - depths[a]);
    for (const k of order) PAINT[kinds[k]](what[k]);
    caption(page);
    scale();
    canvas.dataset.yaw = camera.yaw.toFixed(4);
    canvas.dataset.pitch = camera.pitch.toFixed(4);
    canvas.dataset.far = camera.far.toFixed(3);
    canvas.dataset.state = state.key;
  }

  // Labels, important first; one that would cover another or leave the frame is not shown.
  const pool = [];
  function caption(page) {
    const wanted = [];
    for (const anchor of data.anchors) wanted.push({ t: anchor.n + ": " + (state.pull[anchor.n] || ""), p: anchor.p, r: 0, k: "strong" });
    for (const label of state.labels) wanted.push({ t: label.t, p: label.p, r: label.r, k: label.k || "", above: label.a });
    if (state.tapes) {
      const per = data.perBay, n = page.length;
      for (let bay = 0; bay <= n; bay++) {
        const a = bay ? page[bay - 1] : seen(...at(state.backup, 0)), b = bay < n ? page[bay] : seen(...at(state.backup, n * per + per));
        const long = Math.hypot(a[0] - b[0], a[1] - b[1]);
        if (!(long > 70) || a[2] < NEAR || b[2] < NEAR) continue;
        const info = state.bays[bay], middle = at(state.backup, bay * per + Math.round(per / 2));
        wanted.push({ t: info[0], p: middle, r: bay === chosen ? 1 : 3, k: info[4] ? "alarm-label" : "" });
        if (bay < n && long > 110) wanted.push({ t: "tape " + data.tapes[bay].n, p: at(state.tapes, bay), r: 4, k: "", above: true });
      }
    }
    wanted.sort((a, b) => a.r - b.r);
    const boxes = [];
    let used = 0;
    for (const one of wanted) {
      const p = seen(...one.p);
      if (p[2] < NEAR || p[0] < -20 || p[0] > width + 20 || p[1] < 0 || p[1] > height || used > 60) continue;
      let tag = pool[used];
      if (!tag) { tag = document.createElement("div"); tag.className = "label"; view.appendChild(tag); pool.push(tag); }
      if (tag.textContent !== one.t) tag.textContent = one.t;
      tag.className = "label " + one.k;
      tag.hidden = false;
      const w = tag.offsetWidth, h = tag.offsetHeight;
      const places = one.above ? [[p[0] - w / 2, p[1] - h - 8], [p[0] + 10, p[1] - h - 4], [p[0] + 16, p[1] - h / 2], [p[0] - w - 16, p[1] - h / 2]]
        : [[p[0] - w / 2, p[1] + 12], [p[0] - w / 2, p[1] - h - 14], [p[0] + 14, p[1] - h / 2], [p[0] - w - 14, p[1] - h / 2]];
      let found = null;
      for (let [x, y] of places) {
        if (one.r < 2) { x = Math.min(Math.max(x, 2), width - w - 2); y = Math.min(Math.max(y, 2), height - h - 2); }
        if (x < 0 || y < 0 || x + w > width || y + h > height - (x < 170 ? 30 : 0)) continue;
        if (boxes.some(b => x < b[2] + 3 && b[0] < x + w + 3 && y < b[3] + 2 && b[1] < y + h + 2)) continue;
        found = [x, y]; break;
      }
      if (!found) continue;
      boxes.push([found[0], found[1], found[0] + w, found[1] + h]);
      tag.style.transform = "translate(" + found[0].toFixed(1) + "px," + found[1].toFixed(1) + "px)";
      used++;
    }
    for (let k = used; k < pool.length; k++) pool[k].hidden = true;
  }

  function scale() { // a round length at the depth of what is looked at
    const unit = data.unit.size, per = camera.far / focal / unit;
    let power = Math.pow(10, Math.floor(Math.log10(110 * per))), step = power;
    for (const k of [2, 5, 10]) if (k * power <= 110 * per) step = k * power;
    bar.firstChild.style.width = (step / per).toFixed(1) + "px";
    const text = step >= 1 ? step + " " + data.unit.name : data.unit.small(step);
    bar.lastChild.textContent = text + " at the middle of the picture";
  }
  data.unit.small = step => +(step * data.unit.factor).toPrecision(2) + " " + data.unit.part;

  let asked = false;
  function refresh() { if (!asked) { asked = true; requestAnimationFrame(() => { asked = false; draw(); }); } }

  // Views.
  const low = data.box.low, high = data.box.high;
  const A = data.anchors[0].p, B = data.anchors[1].p, span = Math.hypot(B[0] - A[0], B[1] - A[1], B[2] - A[2]);
  const line_yaw = Math.atan2(B[0] - A[0], B[1] - A[1]); // yaw that looks from A to B
  function fit(points, turn, tilt) {
    camera.yaw = turn; camera.pitch = tilt;
    camera.target = [0, 1, 2].map(k => (Math.min(...points.map(p => p[k])) + Math.max(...points.map(p => p[k]))) / 2);
    camera.far = 0.01 * span; width = view.clientWidth; height = view.clientHeight;
    let small = 0.05, big = 30 * span;
    for (let round = 0; round < 40; round++) {
      camera.far = (small + big) / 2; aim();
      const inside = points.every(p => { const s = seen(...p); return s[2] > NEAR && s[0] > 26 && s[0] < width - 26 && s[1] > 34 && s[1] < height - 44; });
      if (inside) big = camera.far; else small = camera.far;
    }
    camera.far = big;
  }
  function stand(here, there) { // eyes of somebody beside an anchor, looking along the line
    const way = [there[0] - here[0], there[1] - here[1]], flat = Math.hypot(...way), step = way.map(x => x / flat);
    const spot = [here[0] - 2.5 * step[0] + 0.9 * step[1], here[1] - 2.5 * step[1] - 0.9 * step[0], here[2] + 1.5];
    camera.target = here.map((x, k) => x + 0.3 * (there[k] - x));
    camera.target[2] -= 0.02 * span;
    const d = camera.target.map((x, k) => x - spot[k]);
    camera.far = Math.hypot(...d);
    camera.yaw = Math.atan2(d[0], d[1]);
    camera.pitch = Math.asin(-d[2] / camera.far);
  }
  function outline() {
    const points = [A, B];
    for (const array of [state.main, state.backup, ...state.wires.map(w => w.p)]) {
      if (array) for (let i = 0; i < array.length / 3; i += 5) points.push(at(array, i));
    }
    for (const pair of state.hanging) points.push(...pair);
    return points;
  }
  function bayAt(bay) {
    const per = data.perBay, points = [];
    for (let i = bay * per; i <= (bay + 1) * per; i += 2) points.push(at(state.backup, i));
    return points;
  }
  const VIEWS = {
    whole: () => fit(outline(), line_yaw - Math.PI / 2 + 0.42, 0.2),
    side: () => fit(outline(), line_yaw - Math.PI / 2, 0.02),
    a: () => stand(A, B),
    b: () => stand(B, A),
    above: () => fit(outline(), line_yaw - Math.PI / 2, 1.55),
    loops: () => near(chosen < 0 ? state.deep : chosen),
  };
  function near(bay) {
    const last = state.bays.length - 1;
    chosen = Math.max(0, Math.min(last, bay));
    const points = [];
    for (let b = Math.max(0, chosen - 1); b <= Math.min(last, chosen + 1); b++) points.push(...bayAt(b));
    fit(points, line_yaw - Math.PI / 2 + 0.25, 0.12);
    tell();
  }
  function press(group, name) {
    for (const button of document.querySelectorAll("[data-" + group + "]")) {
      button.setAttribute("aria-pressed", String(button.dataset[group] === name));
    }
  }
  let showing = "whole";
  function look(name) { if (name === "loops" && !state.tapes) return; showing = name; VIEWS[name](); press("look", name); refresh(); }

  // States.
  const slider = document.getElementById("walker");
  const walks = data.states.map((s, k) => [s, k]).filter(([s]) => s.key === "taped").map(([, k]) => k);
  const figures = document.getElementById("figures"), told = document.getElementById("what"), bayText = document.getElementById("bay");
  function tell() {
    told.textContent = state.title;
    figures.replaceChildren(...state.figures.map(([name, value]) => {
      const box = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name; dd.textContent = value; box.append(dt, dd); return box;
    }));
    const info = chosen >= 0 && state.bays[chosen];
    bayText.textContent = info ? "Bay " + (chosen + 1) + " of " + state.bays.length + ": loop " + info[0] + ", excess " + info[1] + ", main " + info[2] + ", backup " + info[3]
      : "Tap a loop for its figures; drag to turn, pinch to come nearer, two fingers to move.";
  }
  function show(key, keep) {
    const index = key === "taped" && walks.length ? walks[slider ? +slider.value : 0] : data.states.findIndex(s => s.key === key);
    if (index < 0) return;
    state = data.states[index];
    press("state", key);
    if (slider) slider.setAttribute("aria-valuetext", state.where);
    if (slider) slider.disabled = key !== "taped";
    tell();
    if (!keep) look(state.tapes || showing !== "loops" ? showing : "whole"); else refresh();
  }
  for (const button of document.querySelectorAll("[data-state]")) button.addEventListener("click", () => show(button.dataset.state, false));
  for (const button of document.querySelectorAll("[data-look]")) button.addEventListener("click", () => look(button.dataset.look));
  for (const button of document.querySelectorAll("[data-step]")) {
    button.addEventListener("click", () => { if (!state.tapes) return; near((chosen < 0 ? state.deep : chosen) + +button.dataset.step); showing = "loops"; press("look", "loops"); refresh(); });
  }
  if (slider) slider.addEventListener("input", () => show("taped", true));

  // Fingers and mouse.
  const fingers = new Map();
  let moved = 0, spread = 0, middle = null;
  function turn(dx, dy) {
    camera.yaw += dx * 0.0075;
    camera.pitch = Math.max(-1.5, Math.min(1.55, camera.pitch + dy * 0.0075));
  }
  function shift(dx, dy) {
    const step = camera.far / focal;
    for (let k = 0; k < 3; k++) camera.target[k] += (-dx * axes[0][k] + dy * axes[1][k]) * step;
  }
  function zoom(by) { camera.far = Math.max(0.3, Math.min(20 * span, camera.far * by)); }
  function pair() { // distance and middle of two fingers
    if (fingers.size < 2) return [0, null];
    const [p, q] = [...fingers.values()];
    return [Math.hypot(p[0] - q[0], p[1] - q[1]), [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]];
  }
  function own() { press("look", ""); refresh(); }
  canvas.addEventListener("pointerdown", event => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    moved = fingers.size > 1 ? 99 : 0;
    [spread, middle] = pair();
  });
  canvas.addEventListener("pointermove", event => {
    const old = fingers.get(event.pointerId);
    if (!old) return;
    const now = [event.clientX, event.clientY];
    fingers.set(event.pointerId, now);
    if (fingers.size === 1) {
      moved += Math.abs(now[0] - old[0]) + Math.abs(now[1] - old[1]);
      if (moved < 4) return;
      if (event.shiftKey || event.buttons & 6) shift(now[0] - old[0], now[1] - old[1]); else turn(now[0] - old[0], now[1] - old[1]);
    } else {
      const [wide, centre] = pair();
      if (spread > 0) zoom(spread / Math.max(wide, 1));
      if (middle) shift(centre[0] - middle[0], centre[1] - middle[1]);
      spread = wide; middle = centre;
    }
    own();
  });
  function lift(event) {
    const had = fingers.delete(event.pointerId);
    spread = 0; middle = null;
    if (had && event.type === "pointerup" && fingers.size === 0 && moved < 4) tap(event);
  }
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
  canvas.addEventListener("contextmenu", event => event.preventDefault());
  canvas.addEventListener("wheel", event => { event.preventDefault(); zoom(Math.exp(event.deltaY * 0.0012)); own(); }, { passive: false });
  function tap(event) {
    if (!state.tapes) return;
    const box = canvas.getBoundingClientRect(), x = event.clientX - box.left, y = event.clientY - box.top;
    let best = 40, bay = -1;
    for (let i = 0; i < state.backup.length / 3; i++) {
      const p = seen(...at(state.backup, i));
      const gap = p[2] > NEAR ? Math.hypot(p[0] - x, p[1] - y) : 1e9;
      if (gap < best) { best = gap; bay = Math.min(Math.floor(i / data.perBay), state.bays.length - 1); }
    }
    chosen = bay; tell(); refresh();
  }
  canvas.addEventListener("keydown", event => {
    const keys = { ArrowLeft: () => turn(-20, 0), ArrowRight: () => turn(20, 0), ArrowUp: () => turn(0, 20), ArrowDown: () => turn(0, -20),
                   "+": () => zoom(0.85), "=": () => zoom(0.85), "-": () => zoom(1.18) };
    if (keys[event.key]) { event.preventDefault(); keys[event.key](); own(); }
  });

  // Legend.
  for (const item of document.querySelectorAll("#legend canvas")) {
    const g = item.getContext("2d");
    if (item.dataset.symbol) symbol(g, item.dataset.symbol, 14, 10, 7, data.colours[item.dataset.colour]);
    else { g.strokeStyle = data.colours[item.dataset.colour]; g.lineWidth = +item.dataset.wide; if (item.dataset.dash) g.setLineDash([5, 4]);
           g.beginPath(); g.moveTo(0, 10); g.lineTo(28, 10); g.stroke(); }
  }
  new ResizeObserver(() => refresh()).observe(view);
  show(data.first, false);
})();
