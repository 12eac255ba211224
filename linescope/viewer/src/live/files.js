/** Files, units, what is looked at, and longer jobs. */
import { fill, find, make } from "./dom.js";

/** @typedef {import("./live.js").Live} Live */

export class Files {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    this.box = find("#inside-file");
    this.tapes = find("#inside-tapes");
    this.turn = 0;
    this.said = make("p", { className: "alarm", role: "alert" });
    this.box.append(make("div", { id: "files" }), this.said);
    new MutationObserver(() => this.cards()).observe(document.body, { attributeFilter: ["data-drawer"] });
  }

  draw() {
    const { live } = this, { status, job } = live, t = live.t.bind(live), box = /** @type {HTMLElement} */ (this.box.querySelector("#files"));
    fill(box, [status.folder, status.brief, status.system, status.state, status.air, status.side, status.has_wind, status.has_walker, job.running], () => {
      const ask = (/** @type {string} */ action, /** @type {string} */ label, /** @type {string} */ button, /** @type {string} */ hint, value = "") => {
        const input = make("input", { type: "text", placeholder: hint, value, "data-focus": action });
        return make("form", { onsubmit: (/** @type {Event} */ event) => { event.preventDefault(); this.file(action, input.value); } }, make("label", {}, t(label), input), make("button", { disabled: action === "brief" && Boolean(job.running) }, t(button)));
      };
      const choose = (/** @type {string} */ name, /** @type {string} */ label, /** @type {[string, string][]} */ options, off = false) => {
        const select = make("select", { disabled: off, "data-focus": name, onchange: () => live.act("ask", { [name]: select.value }) }, ...options.map(([key, text]) => make("option", { value: key }, t(text))));
        select.value = status[name];
        return make("label", {}, `${t(label)} `, select);
      };
      const level = make("select", { "data-focus": "level" }, ...["low", "value", "high"].map((one) => make("option", { value: one }, t(`hold-${one}`))));
      level.value = "value";
      return [
        make("h3", {}, t("looked-at")),
        choose("state", "sliders", [["as taped", "as-taped"], ["settled", "settled"]]),
        choose("air", "air", [["still", "still"], ["steady", "steady"], ["gust", "gust"]], !status.has_wind),
        choose("side", "wind-side", [["as given", "as-given"], ["opposite", "other-side"]], !status.has_wind || status.air === "still"),
        make("p", { className: "row" }, make("button", { type: "button", "data-focus": "units", onclick: () => live.act("use_units", status.system === "metric" ? "feet" : "metric") }, t(status.system === "metric" ? "in-feet" : "in-metres")),
          status.has_walker ? make("button", { type: "button", "data-focus": "here", onclick: () => live.app && live.act("move_walker", live.app.now.at / live.app.model.data.span) }, t("leave-here")) : null),
        make("h3", {}, t("crossing")),
        make("p", { className: "row" }, make("label", {}, `${t("hold")} `, level), make("button", { type: "button", id: "cross", "data-focus": "cross", disabled: !status.has_walker || Boolean(job.running), onclick: () => live.work("film", { which: "crossing", level: level.value }) }, t("cross"))),
        make("h3", {}, t("files")), make("p", { className: "small" }, t("in-folder", { folder: status.folder })),
        ask("save_as", "save-new", "save-as", "my_line.toml"), ask("open", "open-other", "open", "other_line.toml"),
        ask("take_mesh", "mesh", "use-mesh", "ground/gorge.obj"), ask("brief", "brief-into", "write-brief", "", status.brief),
      ].filter((one) => one !== null);
    });
  }

  /** @param {string} action @param {string} what */
  async file(action, what) {
    const { live } = this, turn = ++this.turn;
    this.said.textContent = "";
    const result = action === "brief" ? await live.work("brief", { out: what }) : await live.act(action, what);
    if (turn !== this.turn) return; // something newer was asked meanwhile
    this.said.textContent = result.error ?? (result.files ? live.t("written", { count: result.files.length }) : "");
    if (action === "open" && !result.error) live.app?.fly("whole", true);
  }

  /** How each kind of tape is made: drawn when the drawer is opened, and anew when the rig has changed since. */
  async cards() {
    const { live, tapes } = this;
    if (document.body.dataset.drawer !== "tapes") return;
    const key = JSON.stringify([live.status?.revision, live.status?.active]);
    if (tapes.dataset.of === key) return;
    tapes.dataset.of = key;
    const cards = await live.link.ask("cards", []);
    tapes.replaceChildren(...cards.map((/** @type {any} */ card) => make("details", { className: "card" }, make("summary", {}, card.title), make("img", { src: card.image, alt: card.told }))));
    const first = tapes.querySelector("details");
    if (first) first.open = true;
  }
}
