/** What is said round the picture: headline, buttons, figures, legend. */
import { showTab } from "./tabs.js";
import { showLegend } from "./layers.js";
import { picked } from "../ink/picked.js";

/** @typedef {import("../app.js").App} App */

const LONG_VERDICT = 75; // letters
const SPEED_NAMES = /** @type {Record<number, string>} */ ({ 0.25: "quarter", 0.5: "half", 1: "real", 4: "four", 8: "eight" });
const $ = (/** @type {string} */ which) => /** @type {HTMLElement} */ (document.querySelector(which));

/** The headline, the line under it, buttons, figures and legend. @param {App} app @param {number} nearest  frame */
export function say(app, nearest) {
  const { model, state, now } = app, said = state.verdict[Math.min(nearest, state.verdict.length - 1)] ?? { text: state.title, grade: "unknown" };
  const first = state.kind === "places" && now.hint ? model.data.verdict ?? said : said, both = app.other && app.both?.verdict ? { text: app.both.verdict, grade: "kept" } : null;
  const verdict = now.chosen ?? both ?? first, old = app.behind || (now.chosen ? now.chosen.old : !both && state.old);
  const text = old ? model.words["was-so"].replace("{ $text }", verdict.text) : verdict.text;
  put("#verdict", text);
  $("#verdict").className = `${old ? "unknown old" : verdict.grade}${text.length > LONG_VERDICT ? " long" : ""}`;
  const where = state.kind === "places" ? model.words.at.replace("{ $place }", state.xText[nearest]) : state.where;
  put("#sub", [model.data.name, state.title, where, state.sub, state.old ? model.words.old : ""].filter(Boolean).filter((text, k, all) => all.indexOf(text) === k).join(" · "));
  showTab($("#states"), now.state);
  for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#layers input"))) input.checked = input.value === now.layer;
  document.body.dataset.state = state.key;
  document.body.classList.toggle("film", state.kind === "film");
  document.body.classList.toggle("walk", state.kind === "places");
  document.body.classList.toggle("plain", now.plain);
  document.body.classList.toggle("covered", app.stage !== null && !now.plain);
  document.body.classList.toggle("faced", app.faced);
  put("#play", now.playing ? model.words.pause : state.kind === "film" && now.time >= app.end - 0.01 ? model.words.again : model.words.play);
  put("#speed", model.words[SPEED_NAMES[app.speed]]);
  $("#plain").setAttribute("aria-pressed", String(now.plain));
  const { head, rows } = picked(app, nearest);
  put("#picked", [head, ...rows].join(". "));
  figuresOf(app, nearest);
  showLegend(model, $("#legend"), legend(app));
}

/** The figures of what is shown, as text. @param {App} app @param {number} nearest */
function figuresOf(app, nearest) {
  const { figures } = app.state, values = figures?.values?.[Math.min(nearest, (figures?.values?.length ?? 1) - 1)] ?? [];
  const key = values.join("\n") + app.now.state, box = $("#figures");
  if (!box || box.dataset.shown === key) return;
  box.dataset.shown = key;
  box.replaceChildren(...(figures?.names ?? []).map((name, k) => {
    const row = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
    dt.textContent = name;
    dd.textContent = values[k];
    row.append(dt, dd);
    return row;
  }));
}

/** Entries of the legend: what is on screen. @param {App} app */
function legend(app) {
  const { model, state, now } = app, { words } = model, entries = [];
  if (state.kind === "film" && state.shape.topology === "own") {
    entries.push({ text: words.before, role: "quiet", pattern: "dots" });
    if (state.bound?.feet) entries.push({ text: words.feet, role: "alarm", pattern: "line" });
  } else {
    const layer = model.data.layers?.[now.layer];
    entries.push(...(layer?.legend ?? []));
    for (const text of [layer?.use, layer?.old && words.old]) if (text) entries.push({ text, pattern: "none" });
  }
  if (app.faced && !app.small) entries.push({ text: now.layer === "rub" ? words.faces : words.thicker, pattern: "none" });
  if (app.tall > 1) entries.push({ text: words.taller, pattern: "none" });
  if (!app.small && (app.scale ?? 0) * 1.8 < 36) entries.push({ text: words.larger, role: "walker", pattern: "person" });
  return entries;
}

/** Text is touched only when it changes, so that it is read aloud only then. @param {string} which @param {string} text */
function put(which, text) {
  const element = $(which);
  if (element && element.textContent !== text) element.textContent = text;
}
