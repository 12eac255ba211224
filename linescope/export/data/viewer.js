// The viewer: what is looked at and from where: views, states, fingers and mouse.  The painter is in painter.js.
"use strict";
(function () {
  const data = JSON.parse(document.getElementById("scene").textContent);
  const view = document.getElementById("view");
  const canvas = view.querySelector("canvas");
  const painter = makePainter(data, view, canvas, document.getElementById("bar"));
  const { NEAR, camera, at, seen, symbol } = painter;
  let state = data.states[0], chosen = -1;

  let asked = false;
  function refresh() { if (!asked) { asked = true; requestAnimationFrame(() => { asked = false; painter.draw(state, chosen); }); } }

  // Views.
  const A = data.anchors[0].p, B = data.anchors[1].p, span = Math.hypot(B[0] - A[0], B[1] - A[1], B[2] - A[2]);
  const line_yaw = Math.atan2(B[0] - A[0], B[1] - A[1]); // yaw that looks from A to B
  function fit(points, turn, tilt) {
    camera.yaw = turn; camera.pitch = tilt;
    camera.target = [0, 1, 2].map(k => (Math.min(...points.map(p => p[k])) + Math.max(...points.map(p => p[k]))) / 2);
    camera.far = 0.01 * span; painter.measure();
    const [width, height] = painter.size(), side = Math.min(26, 0.05 * width), low = 34, high = height - 44;
    for (let pass = 0; pass < 5; pass++) { // as near as shows all, then what is seen into the middle, and nearer again
      let small = 0.05, big = 30 * span;
      for (let round = 0; round < 40; round++) {
        camera.far = (small + big) / 2; painter.aim();
        const inside = points.every(p => { const s = seen(...p); return s[2] > NEAR && s[0] > side && s[0] < width - side && s[1] > low && s[1] < high; });
        if (inside) big = camera.far; else small = camera.far;
      }
      camera.far = big; painter.aim();
      if (pass === 4) break;
      const page = points.map(p => seen(...p)), middle = k => (Math.min(...page.map(p => p[k])) + Math.max(...page.map(p => p[k]))) / 2;
      shift(width / 2 - middle(0), (low + high) / 2 - middle(1));
    }
  }
  // How the whole line is looked at: from beside it where the picture is wide; where it is high (a telephone), more
  // along the line and from above, so that it runs up the picture and is as long as that lets it be.
  function upright() {
    painter.measure();
    const [width, height] = painter.size();
    return Math.max(0, Math.min(1, (height / width - 0.7) / 0.6));
  }
  function oblique() {
    const tall = upright();
    return [line_yaw - Math.PI / 2 + 0.42 + 0.72 * tall, 0.2 + 0.4 * tall];
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
    whole: () => fit(outline(), ...oblique()),
    side: () => fit(outline(), line_yaw - Math.PI / 2, 0.02),
    a: () => stand(A, B),
    b: () => stand(B, A),
    above: () => fit(outline(), line_yaw - (upright() > 0.5 ? 0 : Math.PI / 2), 1.55),
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
    bayText.textContent = info ? info[1] : data.hint;
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
    const step = painter.perPixel(), axes = painter.axes();
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
