// @ts-check
// Frames of a drag, read from Chromium's performance trace: how long the page's main thread was at work for each.

const CATEGORIES = ["devtools.timeline", "devtools.timeline.frame", "disabled-by-default-devtools.timeline", "disabled-by-default-devtools.timeline.frame"];

/** Events of the trace while something is done. @param {import("./chromium.mjs").Page} page @param {() => Promise<void>} act */
export async function traced(page, act) {
  const { browser } = page;
  /** @type {any[]} */
  const events = [];
  const ear = (/** @type {any} */ told) => {
    if (told.method === "Tracing.dataCollected") events.push(...told.params.value);
  };
  browser.ears.add(ear);
  await page.send("Tracing.start", { transferMode: "ReportEvents", traceConfig: { includedCategories: CATEGORIES, excludedCategories: ["*"] } });
  await act();
  const whole = browser.event("Tracing.tracingComplete");
  await page.send("Tracing.end");
  await whole;
  browser.ears.delete(ear);
  return events;
}

/**
 * Main-thread time of each frame, ms, and the frames that were dropped. A frame's work is all tasks of the main thread
 * since the frame before it ended, its own included: input, script, style, layout, paint, handing over.
 * @param {any[]} events
 */
export function frames(events) {
  // The page's own renderer is the one whose frames run script of ours.
  const names = new Map();
  for (const event of events) {
    if (event.name === "thread_name") names.set(`${event.pid} ${event.tid}`, event.args.name);
  }
  const isMain = (/** @type {any} */ event) => names.get(`${event.pid} ${event.tid}`) === "CrRendererMain";
  const counts = new Map();
  for (const event of events) {
    if (event.name === "FireAnimationFrame" && isMain(event)) counts.set(event.pid, (counts.get(event.pid) ?? 0) + 1);
  }
  const pid = [...counts].sort((left, right) => right[1] - left[1])[0]?.[0];
  const own = events.filter((event) => event.pid === pid);
  const tasks = own
    .filter((event) => event.name === "RunTask" && event.ph === "X" && isMain(event))
    .map((event) => ({ from: event.ts, to: event.ts + event.dur, wall: event.dur / 1000, cpu: (event.tdur ?? event.dur) / 1000 }))
    .sort((left, right) => left.from - right.from);
  const fired = own.filter((event) => event.name === "FireAnimationFrame" && isMain(event)).map((event) => event.ts).sort((left, right) => left - right);
  const wall = [];
  const cpu = [];
  let next = 0;
  let sum = { wall: 0, cpu: 0 };
  for (const task of tasks) {
    sum.wall += task.wall;
    sum.cpu += task.cpu;
    while (next < fired.length && fired[next] < task.from) next += 1;
    if (next < fired.length && fired[next] <= task.to) {
      wall.push(sum.wall);
      cpu.push(sum.cpu);
      sum = { wall: 0, cpu: 0 };
      while (next < fired.length && fired[next] <= task.to) next += 1;
    }
  }
  // The first holds what came before the drag.
  wall.shift();
  cpu.shift();
  const dropped = own.filter((event) => event.name === "DroppedFrame").length;
  return { wall, cpu, dropped };
}

/** @param {number[]} values @param {number} share */
export function quantile(values, share) {
  const sorted = [...values].sort((left, right) => left - right);
  return sorted.length === 0 ? NaN : sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}
