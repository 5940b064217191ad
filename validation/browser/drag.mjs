// @ts-check
// What a person waits for, measured in Chromium: the first paint, the answer while typing, and the frames of a drag on a
// machine a fourth as fast. Needs Chromium and nothing else.
//
//   node validation/browser/drag.mjs BINARY   starts `BINARY serve` over the examples
//   node validation/browser/drag.mjs URL      takes a workbench over the examples that is running
//
// Ends with an error where a limit is not kept. Limits hold on a machine that does nothing else: the load is printed.

import { spawn } from "node:child_process";
import { cp, mkdtemp, rm } from "node:fs/promises";
import http from "node:http";
import { loadavg, tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

import { started } from "./chromium.mjs";
import { frames, quantile, traced } from "./frames.mjs";

const EXAMPLE = "laundry-shell-boiler";
const PAINTS = 15;
const ANSWERS = 200;
const RUNS = 3;
const DRAG_MS = 3000;
const SLOWER = 4;
const LIMITS = { paint_ms: 300, answer_ms: 50, frame_ms: 16 };
/** Half a thumb, px: the ends of a control's travel. */
const THUMB = 14;

let isOver = false;

/** @param {string} what @param {number[]} values @param {number} limit @param {string} [more] */
function tell(what, values, limit, more = "") {
  const [median, late] = [quantile(values, 0.5), quantile(values, 0.95)];
  const kept = late <= limit ? "kept" : "NOT KEPT";
  isOver ||= !(late <= limit);
  console.log(`${what}: median ${median.toFixed(1)} ms, p95 ${late.toFixed(1)} ms of ${values.length}; limit ${limit} ms ${kept}${more}`);
}

/** @param {import("./chromium.mjs").Chromium} browser @param {string} base */
async function firstPaint(browser, base) {
  const times = [];
  for (let count = 0; count < PAINTS; count += 1) {
    // A new context each time: nothing is cached.
    const page = await browser.page(1440, 1000);
    await page.open(`${base}/loops/${EXAMPLE}`);
    times.push(
      await page.value(`new Promise((done) => new PerformanceObserver((list) => {
        const paint = list.getEntriesByName("first-contentful-paint")[0];
        if (paint) done(paint.startTime);
      }).observe({ type: "paint", buffered: true }))`),
    );
    await page.close();
  }
  tell("first paint of the elevation on loopback, nothing cached", times, LIMITS.paint_ms);
}

/** The form's fields as the page would send them. @param {import("./chromium.mjs").Page} page @param {string} more */
const fieldsOf = (page, more) =>
  page.value(`new URLSearchParams([...new FormData(document.getElementById("edit")), ${more}]).toString()`);

/** @param {import("./chromium.mjs").Chromium} browser @param {string} base */
async function whileTyping(browser, base) {
  const page = await browser.page(1440, 1000);
  await page.open(`${base}/loops/${EXAMPLE}/edit/elevations`);
  const bodies = [
    ["problems", await fieldsOf(page, "")],
    ["problems and findings", await fieldsOf(page, '["findings", "1"]')],
  ];
  await page.close();
  const agent = new http.Agent({ keepAlive: true, maxSockets: 1 });
  const ask = (/** @type {string} */ body) =>
    new Promise((done, failed) => {
      const headers = { accept: "application/json", "content-type": "application/x-www-form-urlencoded", "content-length": Buffer.byteLength(body) };
      const began = performance.now();
      const request = http.request(`${base}/loops/${EXAMPLE}/check`, { method: "POST", agent, headers }, (answer) => {
        answer.resume();
        answer.once("end", () =>
          answer.statusCode === 200 ? done(performance.now() - began) : failed(new Error(`the check answered ${answer.statusCode}`)),
        );
      });
      request.once("error", failed);
      request.end(body);
    });
  for (const [what, body] of bodies) {
    const times = [];
    for (let count = 0; count < ANSWERS; count += 1) times.push(await ask(body));
    tell(`answer while typing (${what})`, times, LIMITS.answer_ms);
  }
  agent.destroy();
}

/** Waits for the elevation's script. */
const LIVE = `new Promise((done, failed) => {
  let looks = 0;
  const look = () => {
    if (document.querySelector("form.controls[data-live]")) setTimeout(done, 300);
    else if ((looks += 1) > 500) failed(new Error("the elevation's script did not start"));
    else setTimeout(look, 20);
  };
  look();
})`;

/** Drags to and fro. @param {import("./chromium.mjs").Page} page @param {string} what */
async function dragged(page, what) {
  const box = await page.value(`(() => {
    const of = document.querySelector(${JSON.stringify(what)});
    of.scrollIntoView({ block: "center" });
    const box = of.getBoundingClientRect();
    const share = of.min === undefined ? 0.5 : (of.value - of.min) / (of.max - of.min);
    return { x: box.x, y: box.y, width: box.width, height: box.height, share, room: innerHeight };
  })()`);
  const upright = box.height > box.width || what.includes(".drag");
  const at = (/** @type {number} */ share) => {
    if (!upright) return { x: box.x + THUMB + share * (box.width - 2 * THUMB), y: box.y + box.height / 2 };
    const y = box.y + THUMB + (1 - share) * (box.height - 2 * THUMB);
    return { x: box.x + box.width / 2, y: Math.min(box.room - 4, Math.max(4, y)) };
  };
  const mouse = (/** @type {string} */ type, /** @type {number} */ share, buttons = 1) =>
    page.send("Input.dispatchMouseEvent", { type, ...at(share), button: buttons ? "left" : "none", buttons, clickCount: 1 });
  await mouse("mouseMoved", box.share, 0);
  await mouse("mousePressed", box.share);
  const began = performance.now();
  const sent = [];
  for (let since = 0; since < DRAG_MS; since = performance.now() - began) {
    sent.push(mouse("mouseMoved", 0.5 + 0.45 * Math.sin(since / 450)));
    // As often as a mouse of 125 Hz.
    await new Promise((done) => setTimeout(done, 8));
  }
  await Promise.all(sent);
  await page.send("Input.dispatchMouseEvent", { type: "mouseReleased", ...at(0.5), button: "left", buttons: 0, clickCount: 1 });
}

/** A page with one control and a script that does nothing in each frame: what the browser itself takes. */
const BARE = `data:text/html,<!doctype html><input type=range id=bare style="width:300px;height:44px"><script>
  document.getElementById("bare").addEventListener("input", () => requestAnimationFrame(() => {}));
</script>`;

/**
 * Frames of one drag on a page of its own.
 * @param {import("./chromium.mjs").Chromium} browser @param {{url: string, what: string, width: number, slower: number}} of
 */
async function framesOf(browser, { url, what, width, slower }) {
  const page = await browser.page(width, 1000);
  await page.open(url);
  if (url !== BARE) await page.value(LIVE);
  await page.send("Emulation.setCPUThrottlingRate", { rate: slower });
  const found = frames(await traced(page, () => dragged(page, what)));
  await page.close();
  if (found.wall.length < 10) throw new Error(`only ${found.wall.length} frames in ${DRAG_MS} ms of drag`);
  return found;
}

const both = (/** @type {number[]} */ values) => `median ${quantile(values, 0.5).toFixed(1)} ms, p95 ${quantile(values, 0.95).toFixed(1)} ms`;
const load = () => `load of the machine ${loadavg()[0].toFixed(1)}`;

/** @param {import("./chromium.mjs").Chromium} browser @param {string} base */
async function dragging(browser, base) {
  const bare = await framesOf(browser, { url: BARE, what: "#bare", width: 1440, slower: SLOWER });
  console.log(`frame of a drag, a bare control on an empty page, ${SLOWER} times slower: ${both(bare.wall)}; ${load()}`);
  const url = `${base}/loops/${EXAMPLE}`;
  for (const [words, what, width] of /** @type {[string, string, number][]} */ ([
    ["pressure", "#water", 1440],
    ["level", "#level", 1440],
    ["level in the drawing", ".wide .drag", 1440],
    ["pressure on a phone", "#water", 360],
  ])) {
    const { cpu } = await framesOf(browser, { url, what, width, slower: 1 });
    console.log(`frame of a drag, ${words}, ${width} px, at full speed, processor time: ${both(cpu)}`);
    for (let run = 1; run <= RUNS; run += 1) {
      const { wall, dropped } = await framesOf(browser, { url, what, width, slower: SLOWER });
      tell(`frame of a drag, ${words}, ${width} px, ${SLOWER} times slower, run ${run}`, wall, LIMITS.frame_ms, `; ${dropped} dropped; ${load()}`);
    }
  }
}

/** @param {string} binary @returns {Promise<{url: string, stop: () => Promise<void>}>} */
async function served(binary) {
  const folder = await mkdtemp(join(tmpdir(), "halfglass-drag-"));
  await cp(join(dirname(fileURLToPath(import.meta.url)), "../../examples"), folder, { recursive: true });
  const server = spawn(binary, ["serve", folder, "--listen", "127.0.0.1:0"], { stdio: ["ignore", "ignore", "pipe"] });
  const stop = async () => {
    server.kill();
    await rm(folder, { recursive: true, force: true });
  };
  let said = "";
  const url = await new Promise((done, failed) => {
    server.stderr.on("data", (bytes) => {
      said += bytes;
      const found = /http:\/\/[^\s/]+/.exec(said);
      if (found) done(found[0]);
    });
    server.once("error", failed);
    server.once("exit", () => failed(new Error(`the workbench did not start: ${said}`)));
  });
  return { url, stop };
}

const given = process.argv[2];
if (!given) throw new Error("name the binary, or the address of a workbench over the examples");
const bench = given.startsWith("http") ? { url: given.replace(/\/$/, ""), stop: async () => {} } : await served(given);
const browser = await started();
try {
  await firstPaint(browser, bench.url);
  await whileTyping(browser, bench.url);
  await dragging(browser, bench.url);
} finally {
  await browser.close();
  await bench.stop();
}
process.exitCode = isOver ? 1 : 0;
