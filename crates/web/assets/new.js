// @ts-check
// The drawing of a new loop follows what is typed, and each answer says at once how it was understood or what is wrong
// with it. The server draws and judges; without this script the button "Draw and check" does the same. What is typed is kept
// by the browser until the file is written or the tab is closed.

import { say } from "./page.js";

const PAUSE_MS = 150;
const RETRY_MS = 5000;
const LOST = "The workbench does not answer. What you typed is kept in this page; the drawing follows again when the connection is back.";

const LOST_WRITE = "The workbench does not answer: nothing was written yet. What you typed is kept in this page; press Write the file again when the connection is back.";

/** @typedef {{ path: string, meant: string, problems: string[] }} Asked */

const form = document.getElementById("survey");
const drawing = document.getElementById("drawing");
let timer = 0;
let last = 0;
const key = `halfglass-new:${location.pathname}`;

/** The answers as pairs. @param {HTMLFormElement} of */
const pairs = (of) => [...new FormData(of)].map(([name, value]) => [name, String(value)]);

/** Keeps what was typed, or forgets it. @param {string[][] | null} typed */
function keep(typed) {
  try {
    if (typed) sessionStorage.setItem(key, JSON.stringify(typed));
    else sessionStorage.removeItem(key);
  } catch {
    // A full or forbidden store: what was typed is in the page all the same.
  }
}

/** Puts back what was typed before the page was left or loaded again. @param {HTMLFormElement} into */
function restore(into) {
  let typed = null;
  try {
    typed = JSON.parse(sessionStorage.getItem(key) ?? "null");
  } catch {
    return;
  }
  if (!Array.isArray(typed) || JSON.stringify(typed) === JSON.stringify(pairs(into))) return;
  for (const [name, value] of typed) {
    const field = into.elements.namedItem(name);
    if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) field.value = value;
  }
  document.getElementById("kept")?.removeAttribute("hidden");
  void follow();
}

/** @param {string} words */
function problem(words) {
  const made = document.createElement("p");
  made.className = "problem";
  const strong = document.createElement("strong");
  strong.textContent = "Problem:";
  made.append(strong, ` ${words}`);
  return made;
}

/** @param {Asked[]} all @param {string | null} name */
function tell(all, name) {
  const ofName = document.getElementById("name-told");
  ofName?.replaceChildren(...(name ? [problem(name)] : []));
  const called = document.getElementById("name");
  if (name) called?.setAttribute("aria-invalid", "true");
  else called?.removeAttribute("aria-invalid");
  const places = new Map([...document.querySelectorAll("[data-path]")].map((place) => [place.getAttribute("data-path"), place]));
  for (const asked of all) {
    const place = places.get(asked.path);
    const meant = place?.querySelector(".meant");
    if (meant && meant.textContent !== asked.meant) meant.textContent = asked.meant;
    place?.querySelector(".told")?.replaceChildren(...asked.problems.map((words) => problem(`${words}.`)));
    const field = place?.querySelector("input, select");
    if (asked.problems.length > 0) field?.setAttribute("aria-invalid", "true");
    else field?.removeAttribute("aria-invalid");
  }
}

async function follow() {
  if (!(form instanceof HTMLFormElement)) return;
  clearTimeout(timer);
  const turn = ++last;
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) body.append(name, String(value));
  try {
    const answer = await fetch(form.action, { method: "POST", headers: { Accept: "application/json" }, body });
    // A later answer may have come first.
    if (turn !== last) return;
    if (!answer.ok) {
      say("The drawing cannot follow; press Draw and check to see why.");
      return;
    }
    const judged = /** @type {{ drawing: string, name: string | null, asked: Asked[] }} */ (await answer.json());
    if (drawing) drawing.innerHTML = judged.drawing;
    tell(judged.asked, judged.name);
    say("");
  } catch {
    if (turn !== last) return;
    say(LOST);
    timer = setTimeout(follow, RETRY_MS);
  }
}

/** Writes the file. What was typed is forgotten once it stands in one. @param {HTMLFormElement} from */
async function write(from) {
  const body = new URLSearchParams([...pairs(from), ["act", "write"]]);
  try {
    const answer = await fetch(from.action, { method: "POST", headers: { Accept: "text/html" }, body });
    if (answer.redirected && answer.ok && !new URL(answer.url).pathname.startsWith("/login")) {
      keep(null);
      location.assign(answer.url);
      return;
    }
  } catch {
    say(LOST_WRITE);
    return;
  }
  // Nothing was written: the page that says why is asked for, with all that was typed.
  const act = document.createElement("input");
  act.type = "hidden";
  act.name = "act";
  act.value = "write";
  from.append(act);
  from.submit();
}

if (form instanceof HTMLFormElement) {
  if (form.dataset.typed === undefined) restore(form);
  else keep(pairs(form));
  form.addEventListener("submit", (event) => {
    if (!(event.submitter instanceof HTMLButtonElement) || event.submitter.value !== "write") return;
    event.preventDefault();
    void write(form);
  });
  document.getElementById("drop-kept")?.addEventListener("click", () => {
    keep(null);
    location.assign(location.pathname);
  });
}
form?.addEventListener("input", () => {
  if (form instanceof HTMLFormElement) keep(pairs(form));
  clearTimeout(timer);
  timer = setTimeout(follow, PAUSE_MS);
});
// Examples in other units are another page; what was typed goes along.
document.getElementById("units")?.addEventListener("change", () => {
  const button = form?.querySelector("button[value=draw]");
  if (form instanceof HTMLFormElement && button instanceof HTMLButtonElement) form.requestSubmit(button);
});
