// The elevation's script against the server: numbers to better than 0.05 % of span, sentences word for word.
//
// Run with a workbench over the examples, from the repository's root:
//   cargo run -p halfglass-web --example without_packs -- examples 4611
//   HALFGLASS_URL=http://127.0.0.1:4611 node --test crates/web/tests/elevation.test.mjs

import assert from "node:assert/strict";
import { test } from "node:test";

import { locate, placeOf, print, readOff, say } from "../assets/elevation.js";

const URL_OF_BENCH = process.env.HALFGLASS_URL;
const EXAMPLES = ["brewery-feed-tank", "district-deaerator", "inherited-cold-range", "laundry-shell-boiler", "paper-mill-drum-boiler"];
const PLACES = 150;

test("a place on a list", () => {
  const list = [1, 2, 4];
  const at = (value) => locate(list.length, (index) => list[index], value);
  assert.deepEqual(at(1), [0, 0]);
  assert.deepEqual(at(3), [1, 0.5]);
  assert.deepEqual(at(4), [1, 1]);
  assert.deepEqual(at(9), [1, 1]);
  assert.deepEqual(at(-9), [0, 0]);
});

test("numbers as printed", () => {
  assert.equal(print(-3.46, 1), "\u22123.5");
  assert.equal(print(-0.04, 1), "0.0");
  assert.equal(print(12, 0), "12");
});

test("a level beyond the ruler stands at its end", () => {
  const numbers = { yAtZero: 400, yPerM: -200, yTop: 100, yBottom: 500 };
  assert.equal(placeOf(numbers, 1), 200);
  assert.equal(placeOf(numbers, 9), 100);
  assert.equal(placeOf(numbers, -9), 500);
});

/** The same places at every run. */
function* places(table) {
  let state = 7n;
  const next = () => {
    state = (state * 6364136223846793005n + 1442695040888963407n) & 0xffffffffffffffffn;
    return Number(state >> 33n) / 2 ** 31;
  };
  const between = (low, high) => low + next() * (high - low);
  for (let count = 0; count < PLACES; count += 1) {
    yield {
      water_k: between(table.steps[0].water_k, table.steps.at(-1).water_k),
      leg_k: between(table.legs_k[0], table.legs_k.at(-1)),
      level_m: between(...table.vessel_m),
    };
  }
}

for (const name of EXAMPLES) {
  test(`${name}: as the server computes it`, { skip: URL_OF_BENCH ? false : "HALFGLASS_URL is not set" }, async () => {
    const address = `${URL_OF_BENCH}/loops/${name}/elevation.json`;
    const table = await (await fetch(address)).json();
    let worst = 0;
    for (const at of places(table)) {
      const query = `?water=${at.water_k}&leg=${at.leg_k}&level=${at.level_m}`;
      const exact = await (await fetch(address + query)).json();
      const reading = readOff(table, at);
      worst = Math.max(worst, Math.abs(reading.wanted_percent - exact.wanted_percent));
      if (typeof exact.glass === "number" && typeof reading.glass === "number") {
        const span = table.span_m[1] - table.span_m[0];
        worst = Math.max(worst, (100 * Math.abs(reading.glass - exact.glass)) / span);
      }
      assert.equal(reading.blind, exact.blind);
      // The words of the exact reading: what is off in the table changes no word here.
      const { values, sentences } = say(table, at, exact);
      // At a signal's end the level may lie on the edge between two printed ones: either is right.
      const printed = Number(exact.values.panel.split(" ")[0].replace("\u2212", "-"));
      const level_m = table.span_m[0] + (exact.panel_percent / 100) * (table.span_m[1] - table.span_m[0]);
      const shown = table.level.offset + table.level.scale * level_m;
      assert.ok(Math.abs(printed - shown) <= 0.5 * 10 ** -table.level.decimals + 1e-6, `${printed} ${shown}`);
      assert.deepEqual({ ...values, panel: exact.values.panel }, exact.values);
      assert.deepEqual(sentences, exact.sentences);
    }
    console.log(`${name}: worst ${worst.toFixed(4)} % of span`);
    assert.ok(worst < 0.05, `${worst} % of span`);
  });
}
