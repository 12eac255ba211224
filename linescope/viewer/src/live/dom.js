/** Small helpers for what stands beside the picture: elements, and messages with their values put in. */

/**
 * An element with properties, attributes (those with a dash), listeners (`on...`) and children.
 * @param {string} tag
 * @param {Record<string, any>} [more]
 * @param {...(Node|string|null|undefined|false)} inside
 * @returns {any}
 */
export function make(tag, more = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(more)) {
    if (value === null || value === undefined) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key.includes("-") || key === "role" || key === "for" || key === "list") element.setAttribute(key, String(value));
    else Object.assign(element, { [key]: value });
  }
  element.append(...inside.filter((one) => one !== null && one !== undefined && one !== false).map((one) => /** @type {Node|string} */ (one)));
  return element;
}

/** @param {string} which @returns {HTMLElement} */
export const find = (which) => /** @type {HTMLElement} */ (document.querySelector(which));

/**
 * A message with its values put in.
 * @param {Record<string, string>} words
 * @param {string} name
 * @param {Record<string, string|number>} [values]
 */
export function said(words, name, values = {}) {
  const text = words[name];
  if (text === undefined) throw new Error(`there is no such message: ${name}`);
  return text.replace(/\{ \$([a-z]+) \}/g, (_, key) => {
    if (!(key in values)) throw new Error(`a value is missing: ${name}, ${key}`);
    return String(values[key]);
  });
}

/**
 * Only the newest of several fast changes is sent, one at a time.
 * @param {(...what: any[]) => Promise<any>} send
 * @returns {(...what: any[]) => Promise<void>}
 */
export function latest(send) {
  let running = false, waiting = /** @type {any[]|null} */ (null);
  return async (...what) => {
    waiting = what;
    if (running) return;
    running = true;
    try {
      while (waiting) {
        const now = waiting;
        waiting = null;
        await send(...now);
      }
    } finally { running = false; }
  };
}

/** Numbers stay on one line with their units. @param {string} text */
export const glued = (text) => text.replace(/(\d) (?=[A-Za-z%°])(?!\d to )/g, "$1\u00a0");

/**
 * A table with a caption; keys scroll it.
 * @param {string} caption
 * @param {string[]|null} head
 * @param {string[][]} rows
 */
export function table(caption, head, rows) {
  return make("div", { className: "scroll", role: "group", tabIndex: 0, "aria-label": caption }, make("table", {},
    head ? make("thead", {}, make("tr", {}, ...head.map((one) => make("th", { scope: "col" }, one)))) : null,
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...row.map((cell, k) => make(k ? "td" : "th", k ? {} : { scope: "row" }, glued(String(cell)))))))));
}

/** Puts fresh elements into a box unless they say what it already says, so that nothing loses the focus. @param {HTMLElement} box @param {any} key @param {() => Node[]} fresh */
export function fill(box, key, fresh) {
  const text = JSON.stringify(key);
  if (box.dataset.shown === text) return;
  box.dataset.shown = text;
  const open = new Set([...box.querySelectorAll("details[open]")].map((one) => /** @type {HTMLElement} */ (one).dataset.key));
  const held = /** @type {HTMLElement|null} */ (document.activeElement), focus = held && box.contains(held) ? held.dataset.focus : undefined;
  const scrolled = box.parentElement?.scrollTop ?? 0;
  box.replaceChildren(...fresh());
  for (const one of /** @type {NodeListOf<HTMLDetailsElement>} */ (box.querySelectorAll("details[data-key]"))) if (open.has(one.dataset.key)) one.open = true;
  if (focus) /** @type {HTMLElement|null} */ (box.querySelector(`[data-focus="${CSS.escape(focus)}"]`))?.focus();
  if (box.parentElement) box.parentElement.scrollTop = scrolled;
}
