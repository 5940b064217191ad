// @ts-check
// What moves in a drawing, lifted into layers of its own: the browser then moves pictures that are painted already, and the
// drawing under them is neither laid out nor painted again. Places are percents of a layer's own height, so that nothing
// is measured, whatever the drawing's size. Screen readers read the levels in the page's own list, not in the layers.

const SVG = "http://www.w3.org/2000/svg";
/** Rows of the drawing that a marker takes: above its line, and in all. */
const ABOVE = 24;
const ROWS = 96;
/** Smallest move that is seen, in units of the drawing. */
const SEEN = 0.02;

/** @param {Element} svg @param {string} box @param {string} name */
function layer(svg, box, name) {
  const made = document.createElementNS(SVG, "svg");
  made.setAttribute("viewBox", box);
  made.setAttribute("class", `layer ${name}`);
  made.setAttribute("aria-hidden", "true");
  made.setAttribute("font-family", svg.getAttribute("font-family") ?? "sans-serif");
  return made;
}

/** A group and what it is cut by, without what stands beside it. @param {Element} group @param {Element} svg */
function cutOut(group, svg) {
  let inner = /** @type {Element} */ (group);
  for (let above = group.parentElement; above && above !== svg; above = above.parentElement) {
    const clip = above.getAttribute("clip-path");
    if (!clip) continue;
    const around = document.createElementNS(SVG, "g");
    around.setAttribute("clip-path", clip);
    around.append(inner);
    inner = around;
  }
  return inner;
}

/** Water in a layer of its own, cut to its shape. @param {SVGSVGElement} svg @param {string} name */
function lifted(svg, name) {
  const group = svg.querySelector(`.${name}`);
  if (!group) return null;
  const made = layer(svg, svg.getAttribute("viewBox") ?? "", name);
  made.append(cutOut(group, svg));
  let at = NaN;
  const move = (/** @type {number} */ to) => {
    if (Math.abs(to - at) < SEEN) return;
    at = to;
    group.setAttribute("transform", `translate(0 ${to.toFixed(2)})`);
  };
  return { made, move };
}

/** A marker, or the line that it stands on. @param {SVGSVGElement} svg @param {string} part @param {string} name */
function strip(svg, part, name) {
  const group = svg.querySelector(`.${part}.${name}`);
  if (!group) return null;
  const { width, height } = svg.viewBox.baseVal;
  const made = layer(svg, `0 ${-ABOVE} ${width} ${ROWS}`, "strip");
  made.style.height = `${(100 * ROWS) / height}%`;
  group.removeAttribute("transform");
  made.append(group);
  let at = NaN;
  const move = (/** @type {number} */ to) => {
    if (Math.abs(to - at) < SEEN) return;
    at = to;
    made.style.transform = `translateY(${((100 * (to - ABOVE)) / ROWS).toFixed(3)}%)`;
  };
  const text = (/** @type {string} */ of) => {
    const element = group.querySelector(`.${of}`);
    return element && (element.firstChild ?? element.appendChild(document.createTextNode("")));
  };
  return { made, move, text };
}

/**
 * Stands the level's control upright on the lane of TRUE: its thumb is the marker's own place. Back again on a phone, and
 * where the vessel is taller than the drawing's ruler.
 * @param {HTMLElement} place @param {{svg: SVGSVGElement, numbers: Record<string, number>}} drawing @param {HTMLInputElement} input
 */
export function uprightControl(place, { svg, numbers }, input) {
  const control = /** @type {HTMLElement} */ (input.closest(".control"));
  const home = /** @type {HTMLElement} */ (control.parentElement);
  const { width, height } = svg.viewBox.baseVal;
  const top = numbers.yAtZero + numbers.yPerM * Number(input.max);
  const bottom = numbers.yAtZero + numbers.yPerM * Number(input.min);
  const fits = top >= numbers.yTop - 1 && bottom <= numbers.yBottom + 1;
  return (/** @type {boolean} */ wanted) => {
    const is = wanted && fits;
    if (is === control.classList.contains("upright")) return;
    const had = document.activeElement === input;
    control.classList.toggle("upright", is);
    home.classList.toggle("alone", is);
    if (is) {
      // The thumb's middle travels half a thumb short of each end.
      control.style.left = `${(100 * numbers.trueX) / width}%`;
      control.style.top = `calc(${(100 * top) / height}% - var(--half))`;
      control.style.height = `calc(${(100 * (bottom - top)) / height}% + 2 * var(--half))`;
      input.setAttribute("aria-orientation", "vertical");
      place.append(control);
    } else {
      control.removeAttribute("style");
      input.removeAttribute("aria-orientation");
      home.prepend(control);
    }
    if (had) input.focus({ preventScroll: true });
  };
}

/** Takes a drawing apart. @param {HTMLElement} place */
export function layersOf(place) {
  const svg = /** @type {SVGSVGElement} */ (place.querySelector("svg"));
  const live = /** @type {HTMLElement} */ (svg.querySelector(".live"));
  /** @type {Record<string, number>} */
  const numbers = {};
  for (const [name, value] of Object.entries(live.dataset)) numbers[name] = Number(value);
  const names = ["true", "panel", "glass"];
  const water = lifted(svg, "water");
  const glassWater = lifted(svg, "glass-water");
  const reaches = names.map((name) => strip(svg, "reach", name));
  const marks = names.map((name) => strip(svg, "marker", name));
  if (water) {
    // The drawing's paper goes under the water.
    const paper = svg.querySelector(":scope > rect");
    if (paper) water.made.prepend(paper);
    place.prepend(water.made);
  }
  // Lines under all markers: none runs through a number.
  for (const part of [glassWater, ...reaches, ...marks]) if (part) place.append(part.made);
  place.classList.add("lifted");
  const marker = (/** @type {number} */ index) => ({
    move: (/** @type {number} */ to) => {
      reaches[index]?.move(to);
      marks[index]?.move(to);
    },
    value: marks[index]?.text("value"),
    percent: marks[index]?.text("percent"),
    note: marks[index]?.text("note"),
  });
  return {
    svg,
    numbers,
    water: water?.move,
    glassWater: glassWater?.move,
    markers: { true: marker(0), panel: marker(1), glass: marker(2) },
  };
}
