// @ts-check
// Chromium, driven through its own debugging pipe: no driver and no package needed.

import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Programs that may be it, first come first. */
const NAMES = [process.env.CHROMIUM, "chromium", "chromium-browser"].filter((name) => name !== undefined);

/** @typedef {{method: string, params: any, sessionId?: string}} Told */

export class Chromium {
  /** @param {import("node:child_process").ChildProcess} process @param {string} profile */
  constructor(process, profile) {
    this.process = process;
    this.profile = profile;
    this.last = 0;
    /** @type {Map<number, {done: (result: any) => void, failed: (error: Error) => void, method: string}>} */
    this.asked = new Map();
    /** @type {Set<(told: Told) => void>} */
    this.ears = new Set();
    this.into = /** @type {import("node:stream").Writable} */ (process.stdio[3]);
    const out = /** @type {import("node:stream").Readable} */ (process.stdio[4]);
    /** @type {Buffer[]} */
    let kept = [];
    out.on("data", (/** @type {Buffer} */ bytes) => {
      let from = 0;
      for (let end = bytes.indexOf(0); end >= 0; end = bytes.indexOf(0, from)) {
        kept.push(bytes.subarray(from, end));
        this.#hear(JSON.parse(Buffer.concat(kept).toString("utf8")));
        kept = [];
        from = end + 1;
      }
      kept.push(bytes.subarray(from));
    });
  }

  /** @param {any} message */
  #hear(message) {
    const asked = this.asked.get(message.id);
    if (!asked) {
      for (const ear of this.ears) ear(message);
      return;
    }
    this.asked.delete(message.id);
    if (message.error) asked.failed(new Error(`${asked.method}: ${message.error.message}`));
    else asked.done(message.result);
  }

  /**
   * Sends a command and waits for its answer.
   * @param {string} method @param {object} [params] @param {string} [sessionId] @returns {Promise<any>}
   */
  send(method, params = {}, sessionId = undefined) {
    this.last += 1;
    const id = this.last;
    this.into.write(`${JSON.stringify({ id, method, params, sessionId })}\0`);
    return new Promise((done, failed) => this.asked.set(id, { done, failed, method }));
  }

  /** The next event of a name. @param {string} method @param {string} [sessionId] @returns {Promise<any>} */
  event(method, sessionId = undefined) {
    return new Promise((done) => {
      const ear = (/** @type {Told} */ told) => {
        if (told.method !== method || (sessionId && told.sessionId !== sessionId)) return;
        this.ears.delete(ear);
        done(told.params);
      };
      this.ears.add(ear);
    });
  }

  /** A page of its own, without what another page left. @param {number} width @param {number} height */
  async page(width, height) {
    const { browserContextId } = await this.send("Target.createBrowserContext");
    const { targetId } = await this.send("Target.createTarget", { url: "about:blank", browserContextId, width, height });
    const { sessionId } = await this.send("Target.attachToTarget", { targetId, flatten: true });
    const page = new Page(this, sessionId, browserContextId);
    await page.send("Page.enable");
    await page.send("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 1, mobile: false });
    return page;
  }

  async close() {
    const gone = new Promise((done) => this.process.once("exit", done));
    await this.send("Browser.close").catch(() => this.process.kill());
    await gone;
    await rm(this.profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}

export class Page {
  /** @param {Chromium} browser @param {string} session @param {string} context */
  constructor(browser, session, context) {
    this.browser = browser;
    this.session = session;
    this.context = context;
  }

  /** @param {string} method @param {object} [params] @returns {Promise<any>} */
  send(method, params = {}) {
    return this.browser.send(method, params, this.session);
  }

  /** Opens an address and waits until all of it came. @param {string} url */
  async open(url) {
    const came = this.browser.event("Page.loadEventFired", this.session);
    const { errorText } = await this.send("Page.navigate", { url });
    if (errorText) throw new Error(`${url}: ${errorText}`);
    await came;
  }

  /** What an expression of the page is, a promise awaited. @param {string} expression @returns {Promise<any>} */
  async value(expression) {
    const answer = await this.send("Runtime.evaluate", { expression, awaitPromise: true, returnByValue: true });
    if (answer.exceptionDetails) throw new Error(answer.exceptionDetails.exception?.description ?? expression);
    return answer.result.value;
  }

  close() {
    return this.browser.send("Target.disposeBrowserContext", { browserContextId: this.context });
  }
}

/** Starts the first program that is there. */
export async function started() {
  const profile = await mkdtemp(join(tmpdir(), "halfglass-chromium-"));
  const options = [
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--remote-debugging-pipe", `--user-data-dir=${profile}`, "about:blank",
  ];
  for (const name of NAMES) {
    const child = spawn(name, options, { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] });
    const began = await new Promise((done) => {
      child.once("spawn", () => done(true));
      child.once("error", () => done(false));
    });
    if (began) return new Chromium(child, profile);
  }
  throw new Error(`no Chromium: tried ${NAMES.join(", ")}; install one, or name it in CHROMIUM`);
}
