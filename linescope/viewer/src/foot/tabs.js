/** The states as tabs: each with a small elevation of its own computed shape, its name and one figure. */
import { shapeAt } from "../model/shapes.js";

/** @typedef {import("../model/types.js").Model} Model */
/** @typedef {import("../model/types.js").State} State */
/** @typedef {import("../model/types.js").Point} Point */

const WIDE = 108, HIGH = 34, SVG = "http://www.w3.org/2000/svg";

/**
 * @param {Model} model
 * @param {HTMLElement} row
 * @param {(key: string) => void} choose
 */
export function makeTabs(model, row, choose) {
  row.setAttribute("role", "tablist");
  row.replaceChildren();
  for (const state of model.states) {
    const tab = document.createElement("button");
    tab.type = "button";
    tab.role = "tab";
    tab.dataset.state = state.key;
    tab.dataset.old = String(state.old ?? false);
    const name = document.createElement("b"), figure = document.createElement("span");
    name.textContent = state.tab;
    figure.textContent = [state.tabFigure, state.old ? model.words.old : ""].filter(Boolean).join(" · ");
    tab.append(sketch(model, state), name, figure);
    tab.addEventListener("click", () => choose(state.key));
    row.append(tab);
  }
}

/** Arrow keys go from tab to tab. @param {HTMLElement} row */
export function walkTabs(row) {
  row.addEventListener("keydown", (event) => {
    const step = /** @type {Record<string, number>} */ ({ ArrowRight: 1, ArrowLeft: -1 })[event.key];
    if (!step) return;
    event.preventDefault();
    event.stopPropagation();
    const tabs = /** @type {HTMLElement[]} */ ([...row.children]), now = tabs.indexOf(/** @type {HTMLElement} */ (document.activeElement));
    const next = tabs[(now + step + tabs.length) % tabs.length];
    next.focus();
    next.click();
  });
}

/** @param {HTMLElement} row @param {string} key */
export function showTab(row, key) {
  for (const tab of /** @type {HTMLElement[]} */ ([...row.children])) {
    const chosen = tab.dataset.state === key;
    tab.setAttribute("aria-selected", String(chosen));
    tab.tabIndex = chosen ? 0 : -1;
  }
}

/** The moment of a state that says most: a film's lowest, else its middle. @param {State} state */
function telling(state) {
  if (state.kind !== "film" || !state.shape.tie) return state.x[Math.floor(state.count / 2)];
  const { values, count } = state.shape.tie;
  let best = 0;
  for (let k = 1; k < count; k++) if (values[3 * k + 2] < values[3 * best + 2]) best = k;
  return state.x[best];
}

/** @param {Model} model @param {State} state */
function sketch(model, state) {
  const shape = shapeAt(state, telling(state)), svg = document.createElementNS(SVG, "svg");
  const heights = [0, -model.drop, ...model.profile.filter(([x]) => x > 0 && x < model.span).map(([, z]) => z), ...shape.backup.map((p) => p[2])];
  const [low, high] = [Math.min(...heights), Math.max(...heights, 1)];
  const across = (WIDE - 8) / model.span, up = Math.min(across, (HIGH - 5) / (high - low));
  const spot = (/** @type {number} */ x, /** @type {number} */ z) => `${(4 + x * across).toFixed(1)},${(3 + (high - z) * up).toFixed(1)}`;
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
  svg.setAttribute("aria-hidden", "true");
  const draw = (/** @type {string} */ name, /** @type {string[]} */ points) => {
    const line = document.createElementNS(SVG, "polyline");
    line.setAttribute("class", name);
    line.setAttribute("points", points.join(" "));
    svg.append(line);
  };
  draw("ground", model.profile.filter(([x]) => x > -3 && x < model.span + 3).map(([x, z]) => spot(x, z)));
  const thin = (/** @type {Point[]} */ run) => run.filter((_, k) => k % 3 === 0 || k === run.length - 1).map((p) => spot(p[0], p[2]));
  draw("backup", thin(shape.backup));
  for (const run of shape.main) draw("main", thin(run));
  const who = shape.tie ?? (shape.feet && /** @type {Point} */ ([shape.feet[0], 0, shape.feet[2] + 1]));
  if (who) {
    const dot = document.createElementNS(SVG, "circle"), [x, y] = spot(who[0], who[2]).split(",");
    dot.setAttribute("cx", x);
    dot.setAttribute("cy", y);
    dot.setAttribute("r", "2.6");
    dot.setAttribute("class", shape.fallen > 0.3 ? "falling" : "standing");
    svg.append(dot);
  }
  return svg;
}
