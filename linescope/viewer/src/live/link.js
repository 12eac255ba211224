/** The socket to the program: what is asked has a number and is answered under it; everything else comes by topic. */

const STORED = "linescope-key";

/** The key of this launch: from the address, which then no longer shows it, or from before a reload of this tab. @returns {string} */
export function keyOf() {
  const here = new URL(location.href), given = here.searchParams.get("secret");
  try { // a frame in a notebook may have no storage of its own
    if (given) sessionStorage.setItem(STORED, given);
    here.searchParams.delete("secret");
    history.replaceState(null, "", here);
    return given ?? sessionStorage.getItem(STORED) ?? "";
  } catch { return given ?? ""; }
}

export class Link {
  /**
   * @param {string} key
   * @param {(topic: string, value: any) => void} told
   * @param {(message: ArrayBuffer) => void} shown
   * @param {() => void} lost
   */
  constructor(key, told, shown, lost) {
    /** @type {Map<number, (result: any) => void>} */
    this.waiting = new Map();
    this.count = 0;
    this.socket = new WebSocket(`ws://${location.host}/live`);
    this.socket.binaryType = "arraybuffer";
    this.socket.addEventListener("open", () => this.socket.send(key));
    this.socket.addEventListener("close", lost);
    this.socket.addEventListener("message", ({ data }) => {
      if (typeof data !== "string") return shown(data);
      const { topic, value } = JSON.parse(data);
      if (topic !== "answer") return told(topic, value);
      this.waiting.get(value.id)?.(value.result);
      this.waiting.delete(value.id);
      this.changed();
    });
  }

  /** How many answers are waited for: tests and screen readers can tell when the page rests. */
  changed() { document.documentElement.dataset.busy = String(this.waiting.size); }

  /** @param {string} what @param {any[]} args @param {Record<string, any>} [named] @returns {Promise<any>} */
  ask(what, args, named = {}) {
    const id = ++this.count;
    return new Promise((known) => {
      this.waiting.set(id, known);
      this.changed();
      this.socket.send(JSON.stringify({ id, do: what, args, named }));
    });
  }
}
