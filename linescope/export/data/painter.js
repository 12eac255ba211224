// The painter: lines, ribbons, ground, bodies and labels of one state, painted far to near on a 2-D canvas.
// It needs no WebGL, no network and no library; labels are HTML placed from projected points.
"use strict";
function makePainter(data, view, canvas, bar) {
  const pen = canvas.getContext("2d");
  const NEAR = 0.05;
  const FIELD = Math.PI / 7; // Full vertical angle of view.

  function unpacked(text, Kind) {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
    return new Kind(bytes.buffer);
  }
  const floats = text => unpacked(text, Float32Array), numbers = text => unpacked(text, Uint32Array);
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
  const SEEN = 16, STALK = 20; // a body this high [px] needs no sign; how far over the feet the sign stands [px]
  let small = null;
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

  function measure() { width = view.clientWidth; height = view.clientHeight; }
  function draw(state, chosen) {
    measure(); ratio = Math.min(window.devicePixelRatio || 1, 2.5);
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
    const sign = state.feet && seen(...state.feet);
    small = sign && sign[2] > NEAR && 1.8 * focal / sign[2] < SEEN ? sign : null; // too small to be seen: a sign over his feet
    if (small) {
      const top = [small[0], small[1] - STALK, small[2]];
      add(1, NEAR, [small, top, data.colours.walker, 2, false, 0]);
      add(3, NEAR, [top, "disc", 6, data.colours.walker]);
    }
    for (const anchor of data.anchors) {
      const p = seen(...anchor.p);
      if (p[2] > NEAR) add(3, NEAR, [p, "disc", 8, data.colours.state]);
    }
    const order = Uint32Array.from({ length: count }, (_, k) => k).sort((a, b) => depths[b] - depths[a]);
    for (const k of order) PAINT[kinds[k]](what[k]);
    caption(state, chosen, page);
    scale();
    canvas.dataset.yaw = camera.yaw.toFixed(4);
    canvas.dataset.pitch = camera.pitch.toFixed(4);
    canvas.dataset.far = camera.far.toFixed(3);
    canvas.dataset.state = state.key;
  }

  // Labels, important first; one that would cover another or leave the frame is not shown.
  const pool = [];
  function caption(state, chosen, page) {
    const wanted = [];
    for (const anchor of data.anchors) wanted.push({ t: anchor.n + ": " + (state.pull[anchor.n] || ""), p: anchor.p, r: 0, k: "strong" });
    for (const label of state.labels) wanted.push({ t: label.t, p: label.p, r: label.r, k: label.k || "", above: label.a, walker: label.w });
    if (state.tapes) {
      const per = data.perBay, n = page.length;
      for (let bay = 0; bay <= n; bay++) {
        const a = bay ? page[bay - 1] : seen(...at(state.backup, 0)), b = bay < n ? page[bay] : seen(...at(state.backup, n * per + per));
        const long = Math.hypot(a[0] - b[0], a[1] - b[1]);
        if (!(long > 70) || a[2] < NEAR || b[2] < NEAR) continue;
        const info = state.bays[bay], middle = at(state.backup, bay * per + Math.round(per / 2));
        wanted.push({ t: info[0], p: middle, r: bay === chosen ? 1 : 3, k: info[2] ? "alarm-label" : "" });
        if (bay < n && long > 110) wanted.push({ t: data.tapes[bay].t, p: at(state.tapes, bay), r: 4, k: "", above: true });
      }
    }
    wanted.sort((a, b) => a.r - b.r);
    const boxes = small ? [[small[0] - 8, small[1] - STALK - 8, small[0] + 8, small[1]]] : [];
    let used = 0;
    for (const one of wanted) {
      const p = seen(...one.p);
      if (small && one.walker) p[1] = small[1] - STALK - 4;
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
    const per = camera.far / focal;
    let [long, text] = data.lengths[0];
    for (const one of data.lengths) if (one[0] <= 110 * per) [long, text] = one;
    bar.firstChild.style.width = (long / per).toFixed(1) + "px";
    bar.lastChild.textContent = text;
  }

  return { NEAR, camera, at, seen, symbol, aim, measure, draw, size: () => [width, height], axes: () => axes, perPixel: () => camera.far / focal };
}
