/** Begins: reads the scene that stands in the page and shows it, or follows a program that serves one. */
import "./style.css";
import { readModel } from "./model/read.js";
import { App } from "./app.js";
import { takeGestures } from "./gestures.js";
import { beginLesson } from "./lesson/page.js";
import { beginWinding } from "./lesson/wind.js";
import { beginLive } from "./live/live.js";
import { beginMeasured } from "./measured/form.js";
import { beginScheme } from "./view/scheme.js";

/** The text of an element, as bytes. @param {string} id */
function bytesOf(id) {
  const letters = atob(document.getElementById(id)?.textContent?.trim() ?? ""), bytes = new Uint8Array(letters.length);
  for (let k = 0; k < letters.length; k++) bytes[k] = letters.charCodeAt(k);
  return bytes;
}

/** @param {string} id @returns {Promise<ArrayBuffer>} */
async function unzipped(id) {
  const stream = new Blob([bytesOf(id)]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

async function begin() {
  if (document.getElementById("lesson")) {
    const [told, states] = await Promise.all([unzipped("lesson"), unzipped("lesson-states")]);
    await beginLesson(told, states);
    return;
  }
  if (document.getElementById("winding")) {
    await beginWinding(await unzipped("winding"));
    return;
  }
  beginScheme(() => /** @type {any} */ (window).linescope?.recolour());
  if (document.documentElement.dataset.live) {
    await beginLive(JSON.parse(document.getElementById("words")?.textContent ?? "{}"));
    return;
  }
  const [scene, file] = await Promise.all([unzipped("scene"), unzipped("space")]);
  const words = JSON.parse(document.getElementById("words")?.textContent ?? "{}");
  document.documentElement.classList.add("live");
  await Promise.all(["500 16px", "700 16px"].map((font) => document.fonts.load(`${font} "Barlow Semi Condensed"`)));
  const app = new App(readModel(JSON.parse(new TextDecoder().decode(scene)), file, words));
  takeGestures(app);
  app.drawers();
  beginMeasured(words);
  app.fly("whole", true);
  app.recolour();
  Object.assign(window, { linescope: app });
  document.documentElement.dataset.ready = "true";
}

begin().catch((error) => {
  document.documentElement.classList.remove("live");
  document.documentElement.dataset.failed = String(error);
  throw error;
});
