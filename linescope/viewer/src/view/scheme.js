/**
 * Light or dark: what the reader chose, else what the machine is set to. Colours of roles come with the scene; the few that
 * belong to the page alone stand here and in the style sheet.
 */

/** @typedef {"light"|"dark"} Scheme */

const OWN = /** @type {Record<Scheme, Record<string, string>>} */ ({
  light: {
    halo: "rgba(250,248,243,.94)", page: "#f6f4ee", round: "#fbfaf6", plumb: "#2c343a", left: "#8b9297", on_main: "#ffffff", rim: "#ffffff", face_rim: "#15191c",
    asked: "rgba(240,176,60,.16)", asked_hatch: "rgba(180,110,10,.34)", landed: "rgba(163,33,0,.26)", baked: "1",
  },
  dark: {
    halo: "rgba(14,19,23,.92)", page: "#10161b", round: "#151c22", plumb: "#c3cbd1", left: "#78858f", on_main: "#0b2f4e", rim: "#0e1317", face_rim: "#8b98a2",
    asked: "rgba(245,185,66,.13)", asked_hatch: "rgba(245,185,66,.4)", landed: "rgba(255,148,136,.3)", baked: "0.2",
  },
});
const KEPT = "linescope-theme", MACHINE = "(prefers-color-scheme: dark)";

/** @returns {Scheme} what the page shows */
export const scheme = () => (typeof document !== "undefined" && document.documentElement.dataset.theme === "dark" ? "dark" : "light");

/** Colours of a scene as they are shown. @param {{light: Record<string, string>, dark?: Record<string, string>}} colours @returns {Record<string, string>} */
export const coloursOf = (colours) => ({ ...(colours[scheme()] ?? colours.light), ...OWN[scheme()] });

/** The colour of an entry of a legend, which may have another one in the dark. @param {any} entry @returns {string|undefined} */
export const shadeOf = (entry) => (scheme() === "dark" ? entry?.dark ?? entry?.colour : entry?.colour);

/** As the reader chose it last, or as the machine is set; follows the machine until he chooses. @param {() => void} changed */
export function beginScheme(changed) {
  const machine = matchMedia(MACHINE), put = (/** @type {boolean} */ dark) => { document.documentElement.dataset.theme = dark ? "dark" : "light"; };
  const chosen = () => { try { return localStorage.getItem(KEPT); } catch { return null; } }; // a frame may have no storage
  put(chosen() ? chosen() === "dark" : machine.matches);
  machine.addEventListener("change", () => {
    if (chosen()) return;
    put(machine.matches);
    changed();
  });
}

/** The other one, from now on. */
export function turnScheme() {
  const next = scheme() === "dark" ? "light" : "dark";
  document.documentElement.dataset.theme = next;
  try { localStorage.setItem(KEPT, next); } catch { /* then it is asked again next time */ }
}
