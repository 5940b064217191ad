// @ts-check
// The elevation, moved: reads the core's table off and puts water, glass and markers where they stand. No physics: straight
// lines between the table's entries, and linear maps that the table brings along. Without this script the form is drawn by
// the server.
//
// A frame moves layers and writes texts, each only when it changes, and measures nothing. What moves moves in every frame;
// texts take turns (drawing, readout, sentences), so that no frame lays all of them out. Events only leave word of what
// they want: the frame reads it.

import { layersOf, uprightControl } from "./elevation-layers.js";

/** How long the address and the spoken words wait for a hand to rest, ms. */
const REST_MS = 250;
const ALOUD_MS = 700;
/** Slack at taps and glass ends, m: as the core's. */
const SLACK_M = 1e-9;

/* ---------- Pure: tested by crates/web/tests/elevation.test.mjs. ---------- */

/**
 * Entry before a value on a rising list, and the share of the way to the next one.
 * @param {number} count @param {(index: number) => number} at @param {number} value
 * @returns {[number, number]}
 */
export function locate(count, at, value) {
  if (count < 2) return [0, 0];
  let low = 0;
  let high = count - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (at(middle) <= value) low = middle;
    else high = middle;
  }
  const share = (value - at(low)) / (at(high) - at(low));
  return [low, Math.min(1, Math.max(0, share))];
}

const along = (low, high, share) => low + share * (high - low);

/** Between two numbers of which either may be missing. */
const alongMaybe = (low, high, share) =>
  low === null || high === null ? low : along(low, high, share);

/**
 * What vessel, panel and glass say, read off the table.
 * @param {any} table @param {{water_k: number, leg_k: number, level_m: number}} at
 */
export function readOff(table, at) {
  const [index, share] = locate(table.steps.length, (i) => table.steps[i].water_k, at.water_k);
  const low = table.steps[index];
  const high = table.steps[Math.min(index + 1, table.steps.length - 1)];
  const [leg, legShare] = locate(table.legs_k.length, (i) => table.legs_k[i], at.leg_k);
  const nextLeg = Math.min(leg + 1, table.legs_k.length - 1);
  const [from, to] = table.weighed_m;
  const seen = Math.min(to, Math.max(from, at.level_m));
  const ofSeen = (seen - from) / (to - from);
  const panelAt = (step, index) => along(step.panel_percent[index][0], step.panel_percent[index][1], ofSeen);
  const panelOf = (step) => along(panelAt(step, leg), panelAt(step, nextLeg), legShare);
  const wanted = along(panelOf(low), panelOf(high), share);
  const [least, most] = table.panel_ends_percent;
  const panel = Math.min(most, Math.max(least, wanted));
  const flashes = alongMaybe(low.flashes_above_k, high.flashes_above_k, share);
  const freezes = alongMaybe(low.freezes_below_k, high.freezes_below_k, share);
  const condenses = alongMaybe(low.condenses_below_k, high.condenses_below_k, share);
  return {
    wanted_percent: wanted,
    panel_percent: panel,
    current_ma: table.current_ma.offset + table.current_ma.scale * panel,
    saturated: wanted < least || wanted > most,
    blind: at.level_m < from - SLACK_M ? "below" : at.level_m > to + SLACK_M ? "above" : null,
    glass: glassOf(table, at.level_m, low, high, share),
    saturation_k: along(low.saturation_k, high.saturation_k, share),
    flashes: flashes !== null && at.leg_k > flashes,
    freezes: freezes !== null && at.leg_k < freezes,
    condenses: condenses !== null && at.leg_k < condenses,
  };
}

/** Where the glass stands, m; or "empty", "full", or null without a glass. */
function glassOf(table, level, low, high, share) {
  if (!table.visible_m || !low.glass_m || !high.glass_m) return null;
  const [from, to] = table.weighed_m;
  // The glass's line holds beyond the taps too.
  const ofLevel = (level - from) / (to - from);
  const stands = along(
    along(low.glass_m[0], low.glass_m[1], ofLevel),
    along(high.glass_m[0], high.glass_m[1], ofLevel),
    share,
  );
  const [bottom, top] = table.visible_m;
  if (stands < bottom - SLACK_M) return "empty";
  if (stands > top + SLACK_M) return "full";
  return Math.min(top, Math.max(bottom, stands));
}

/** Numbers keep their units beside them when lines break, as in what the server writes. @param {string} words */
export const unbroken = (words) => words.replace(/(\d) (?=[%A-Za-z])/g, "$1\u00a0");

/** A number as it is printed: the minus is U+2212, a rounded zero has no sign. */
export function print(value, decimals) {
  const digits = Math.abs(value).toFixed(decimals);
  return value < 0 && /[1-9]/.test(digits) ? `\u2212${digits}` : digits;
}

const shown = (map, value) => map.offset + map.scale * value;
const withUnit = (map, value) => `${print(shown(map, value), map.decimals)} ${map.unit}`;

/** Difference of two values as printed, so that a reader who subtracts them gets it. */
function printedDifference(left, right, decimals) {
  const whole = 10 ** decimals;
  const round = (value) => Math.sign(value) * Math.round(Math.abs(value) * whole);
  return (round(left) - round(right)) / whole;
}

/** Gauge pressure in words. */
function pressureWords(table, water) {
  const way = table.pressure;
  if (way.words) return way.words;
  const last = way.values.length - 1;
  const place = ((water - way.from_k) / (way.to_k - way.from_k)) * last;
  if (place < 0) return `${print(way.below, way.decimals)} ${way.unit}`;
  const index = Math.min(last - 1, Math.floor(place));
  const value = along(way.values[index], way.values[index + 1], Math.min(1, place - index));
  return `${print(value, way.decimals)} ${way.unit}`;
}

const percentOf = (table, level) =>
  (100 * (level - table.span_m[0])) / (table.span_m[1] - table.span_m[0]);
const levelOf = (table, percent) =>
  table.span_m[0] + (percent / 100) * (table.span_m[1] - table.span_m[0]);

/**
 * Values and sentences of a reading, with the server's own templates.
 * @param {any} table @param {{water_k: number, leg_k: number, level_m: number}} at
 * @param {ReturnType<typeof readOff>} reading
 */
export function say(table, at, reading) {
  const decimals = table.percent_decimals;
  const truePercent = percentOf(table, at.level_m);
  const error = printedDifference(reading.panel_percent, truePercent, decimals);
  const { level, temperature, words } = table;
  const stands = typeof reading.glass === "number" ? reading.glass : null;
  const glassOff =
    stands === null ? null : printedDifference(shown(level, stands), shown(level, at.level_m), level.decimals);
  const past = (high) =>
    table.passable
      .filter((mark) => mark.high === high && (high ? at.level_m > mark.m : at.level_m < mark.m))
      .map((mark) => mark.name)
      .join(", ");
  const marks = { "past-low": past(false), "past-high": past(true) };
  const percent = (value) => `${print(value, decimals)} %`;
  const { notes } = table;
  const values = {
    true: withUnit(level, at.level_m),
    "true-percent": percent(truePercent),
    panel: withUnit(level, levelOf(table, reading.panel_percent)),
    "panel-percent": percent(reading.panel_percent),
    error: percent(Math.abs(error)),
    glass: stands === null ? (reading.glass ?? "none") : withUnit(level, stands),
    "glass-difference": glassOff === null ? "" : `${print(Math.abs(glassOff), level.decimals)} ${level.unit}`,
    current: `${print(reading.current_ma, table.current_ma.decimals)} ${table.current_ma.unit}`,
    "panel-note": reading.blind ? notes.blind : reading.saturated ? notes.saturated : "",
    water: withUnit(temperature, at.water_k),
    pressure: pressureWords(table, at.water_k),
    leg: withUnit(temperature, at.leg_k),
    saturation: withUnit(temperature, reading.saturation_k),
    freezing: withUnit(temperature, table.freezing_k),
  };
  const isLow = reading.wanted_percent < 50;
  const holds = {
    uncovered: table.heated_m !== null && at.level_m < table.heated_m,
    "glass-empty": reading.glass === "empty",
    "glass-full": reading.glass === "full",
    "blind-below": reading.blind === "below",
    "blind-above": reading.blind === "above",
    flashes: reading.flashes,
    freezes: reading.freezes,
    condenses: reading.condenses,
    "saturated-low": reading.saturated && isLow,
    "saturated-high": reading.saturated && !isLow,
    "past-low": marks["past-low"] !== "",
    "past-high": marks["past-high"] !== "",
    "reads-high": !reading.blind && error > 0,
    "reads-low": !reading.blind && error < 0,
    agrees: !reading.blind && error === 0,
    "glass-low": glassOff !== null && glassOff < 0,
    "glass-high": glassOff !== null && glassOff > 0,
    "glass-true": glassOff === 0,
  };
  const sentences = table.order
    .filter((key) => holds[key])
    .map((key) => ({
      key,
      gravity: words[key].gravity,
      text: words[key].text.replace(/\{([a-z-]+)\}/g, (whole, name) =>
        name === "marks" ? marks[key] : (values[name] ?? whole),
      ),
    }));
  return { values, sentences };
}

/** Where a level stands on a drawing: at the ruler's end for one beyond it. */
export function placeOf(numbers, level) {
  const place = numbers.yAtZero + numbers.yPerM * level;
  return Math.min(numbers.yBottom, Math.max(numbers.yTop, place));
}

/* ---------- The page. ---------- */

/** Writes a text where it differs. */
function write(node, text) {
  if (node && node.data !== text) node.data = text;
}

/** The text node of an element, made where there is none. */
function textOf(element) {
  if (!element) return null;
  return element.firstChild ?? element.appendChild(document.createTextNode(""));
}

function start(page, table) {
  const form = page.querySelector("form.controls");
  const inputs = {};
  const outputs = {};
  for (const name of ["water", "leg", "level"]) {
    inputs[name] = form.querySelector(`input[name="${name}"]`);
    outputs[name] = textOf(form.querySelector(`output[data-of="${name}"]`));
  }
  const state = {
    water_k: Number(inputs.water.value),
    leg_k: Number(inputs.leg.value),
    level_m: Number(inputs.level.value),
  };
  const ends = Object.fromEntries(Object.entries(inputs).map(([name, input]) => [name, [Number(input.min), Number(input.max)]]));
  const keys = { water: "water_k", leg: "leg_k", level: "level_m" };
  const wide = layersOf(page.querySelector(".wide"));
  const narrow = layersOf(page.querySelector(".narrow"));
  const isNarrow = window.matchMedia("(max-width: 36rem)");
  const said = [...page.querySelectorAll("[data-say]")].map((element) => ({
    name: element.dataset.say,
    text: textOf(element),
  }));
  const list = page.querySelector("#sentences");
  const rows = {};
  list.replaceChildren(
    ...table.order.map((key) => {
      const row = document.createElement("li");
      row.className = table.words[key].gravity;
      row.hidden = true;
      rows[key] = { row, text: textOf(row), on: false };
      return row;
    }),
  );
  const named = [...form.querySelectorAll(".named a")].map((link) => ({
    link,
    water_k: Number(link.dataset.water),
    leg_k: Number(link.dataset.leg),
    here: link.hasAttribute("aria-current"),
  }));
  const back = document.querySelector('form.view input[name="back"]');

  let frame = 0;
  /** Whose turn it is to be written, and how many turns are owed. */
  let turn = 0;
  let owed = 0;
  /** Time of the last change, whether the address and the ear have it, and the timer that looks. */
  let changedAt = 0;
  let isKept = true;
  let isSpoken = true;
  let timer = 0;
  let last = { values: {}, sentences: [] };
  /** Controls that were moved by hand; a control that is to follow; a finger on a drawing. */
  const moved = new Set();
  const follow = new Set();
  let reached = null;

  function place(drawing, reading) {
    const { numbers, markers } = drawing;
    const trueAt = placeOf(numbers, state.level_m);
    drawing.water?.(trueAt);
    markers.true.move(trueAt);
    markers.panel.move(placeOf(numbers, levelOf(table, reading.panel_percent)));
    const glassAt =
      reading.glass === "full"
        ? numbers.glassTop
        : typeof reading.glass === "number"
          ? placeOf(numbers, reading.glass)
          : numbers.glassBottom;
    drawing.glassWater?.(glassAt);
    markers.glass.move(glassAt);
  }

  function writeDrawing({ markers }, values) {
    write(markers.true.value, values.true);
    write(markers.true.percent, values["true-percent"]);
    write(markers.panel.value, values.panel);
    write(markers.panel.percent, values["panel-percent"]);
    write(markers.panel.note, values["panel-note"]);
    write(markers.glass.value, values.glass);
  }

  function writeReadout(values) {
    for (const { name, text } of said) write(text, values[name] ?? "");
    const words = {
      water: `${values.water}, ${values.pressure}`,
      leg: values.leg,
      level: `${values.true}, ${values["true-percent"]}`,
    };
    for (const name of Object.keys(words)) {
      if (outputs[name].data === words[name]) continue;
      outputs[name].data = words[name];
      inputs[name].setAttribute("aria-valuetext", words[name]);
    }
    const near = (left, right, [least, most]) => Math.abs(left - right) <= 1e-3 * (most - least);
    for (const name of named) {
      const here = near(name.water_k, state.water_k, ends.water) && near(name.leg_k, state.leg_k, ends.leg);
      if (here === name.here) continue;
      name.here = here;
      if (here) name.link.setAttribute("aria-current", "true");
      else name.link.removeAttribute("aria-current");
    }
  }

  function writeSentences(sentences) {
    const told = new Map(sentences.map((sentence) => [sentence.key, sentence.text]));
    for (const [key, row] of Object.entries(rows)) {
      const text = told.get(key);
      if (row.on !== (text !== undefined)) {
        row.on = text !== undefined;
        row.row.hidden = !row.on;
      }
      if (text !== undefined) write(row.text, unbroken(text));
    }
  }

  const turns = [
    (drawing) => writeDrawing(drawing, last.values),
    () => writeReadout(last.values),
    () => writeSentences(last.sentences),
  ];

  function read() {
    for (const name of moved) state[keys[name]] = Number(inputs[name].value);
    moved.clear();
    if (reached) {
      aim("level", reached());
      reached = null;
    }
    for (const name of follow) inputs[name].value = String(state[keys[name]]);
    follow.clear();
  }

  function render() {
    frame = 0;
    read();
    const drawing = isNarrow.matches ? narrow : wide;
    const reading = readOff(table, state);
    place(drawing, reading);
    // One round of turns tells one reading.
    if (turn === 0) last = say(table, state, reading);
    turns[turn](drawing);
    turn = (turn + 1) % turns.length;
    owed -= 1;
    if (owed > 0) frame = requestAnimationFrame(render);
  }

  function changed() {
    // To the end of this round, and a whole one.
    owed = turns.length + ((turns.length - turn) % turns.length);
    if (!frame) frame = requestAnimationFrame(render);
    changedAt = performance.now();
    isKept = false;
    isSpoken = false;
    if (!timer) timer = setTimeout(settle, REST_MS);
  }

  // What waits for a hand to rest.
  function settle() {
    timer = 0;
    const rested = performance.now() - changedAt;
    if (!isKept && rested >= REST_MS) {
      isKept = true;
      keepAddress();
    }
    if (!isSpoken && rested >= ALOUD_MS) {
      isSpoken = true;
      speak();
    }
    const next = isKept ? ALOUD_MS : REST_MS;
    if (!isSpoken) timer = setTimeout(settle, Math.max(1, next - rested));
  }

  // A link to this address shows this picture.
  function keepAddress() {
    const query = `?water=${state.water_k.toFixed(3)}&leg=${state.leg_k.toFixed(3)}&level=${state.level_m.toFixed(5)}`;
    const address = page.dataset.address + query;
    history.replaceState(null, "", address);
    if (back) back.value = address;
    for (const { link, water_k, leg_k } of named) {
      link.href = `${page.dataset.address}?water=${water_k.toFixed(3)}&leg=${leg_k.toFixed(3)}&level=${state.level_m.toFixed(5)}`;
    }
  }

  function speak() {
    const words = last.sentences.map((sentence) => sentence.text).join(" ");
    write(textOf(page.querySelector("#aloud")), words);
  }

  /** Where a control is to stand; it follows in the frame. */
  function aim(name, value) {
    const [least, most] = ends[name];
    const inside = Math.min(most, Math.max(least, value));
    if (inside === state[keys[name]]) return;
    state[keys[name]] = inside;
    moved.delete(name);
    follow.add(name);
  }

  function set(name, value) {
    aim(name, value);
    changed();
  }

  for (const name of ["water", "leg", "level"]) {
    const input = inputs[name];
    input.addEventListener("input", () => {
      moved.add(name);
      changed();
    });
    input.addEventListener("keydown", (event) => {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      const [step, leaf] = [Number(input.dataset.step), Number(input.dataset.page)];
      const by = { ArrowUp: step, ArrowRight: step, ArrowDown: -step, ArrowLeft: -step, PageUp: leaf, PageDown: -leaf }[event.key];
      const to = { Home: ends[name][0], End: ends[name][1] }[event.key];
      if (by === undefined && to === undefined) return;
      event.preventDefault();
      set(name, to ?? state[keys[name]] + by);
    });
  }

  for (const name of named) {
    name.link.addEventListener("click", (event) => {
      if (event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      set("water", name.water_k);
      set("leg", name.leg_k);
    });
  }

  // A finger on the lanes or in the vessel moves the water. The drawing's place is measured once, when it is touched.
  for (const drawing of [wide, narrow]) {
    const { svg, numbers } = drawing;
    let grip = null;
    const levelAt = (clientY) => ((clientY - grip.top) * grip.scale - numbers.yAtZero) / numbers.yPerM;
    for (const area of svg.querySelectorAll(".drag")) {
      area.addEventListener("pointerdown", (event) => {
        if (event.button) return;
        const box = svg.getBoundingClientRect();
        grip = { top: box.top, scale: svg.viewBox.baseVal.height / box.height };
        area.setPointerCapture(event.pointerId);
        set("level", levelAt(event.clientY));
      });
      area.addEventListener("pointermove", (event) => {
        if (!grip) return;
        const { clientY } = event;
        reached = () => (grip ? levelAt(clientY) : state.level_m);
        changed();
      });
      for (const end of ["pointerup", "pointercancel"]) {
        area.addEventListener(end, () => {
          if (reached) {
            aim("level", reached());
            reached = null;
          }
          grip = null;
        });
      }
    }
  }

  const stand = uprightControl(page.querySelector(".wide"), wide, inputs.level);
  stand(!isNarrow.matches);
  isNarrow.addEventListener("change", () => {
    stand(!isNarrow.matches);
    changed();
  });
  // A browser that comes back keeps its controls where they were left, not where the server drew them.
  changed();
  form.dataset.live = "";
}

if (typeof document !== "undefined") {
  const page = document.getElementById("elevation");
  if (page) {
    fetch(page.dataset.table, { headers: { accept: "application/json" } })
      .then((answer) => (answer.ok ? answer.json() : Promise.reject(new Error(String(answer.status)))))
      .then((table) => start(page, table))
      // The form still works: the server draws.
      .catch((error) => console.warn("the table did not come; the Draw button still draws", error));
  }
}
