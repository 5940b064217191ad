// @ts-check
// Editing: problems while typing, typed input kept in the page, saves sent once the connection is back. It judges
// nothing itself: what is wrong is the server's to say. The pages work without it.

/** @typedef {{code: string, message: string, help: string, line: number, column: number, path: string, block: string, also: string[], part: string}} Problem */
/** @typedef {{severity: string, code: string, words: string, path: string}} Finding */
/** @typedef {{problems: Problem[], findings: Finding[], summary: string, is_computed: boolean}} Judged */

const PAUSE_MS = 150;
/** The findings need the sheets; they are asked for when the person has stopped typing. */
const FINDINGS_PAUSE_MS = 250;
const RETRY_MS = 4000;
const LOST = "No connection to the workbench. What you typed is kept in this page.";

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("edit"));
if (form) edit(form);

/** @param {HTMLFormElement} form */
function edit(form) {
  const key = `halfglass-typed:${form.dataset.kept}`;
  const base = form.dataset.base ?? "";
  const here = String(new FormData(form).get("part"));
  const byId = (/** @type {string} */ id) => document.getElementById(id);
  const area = /** @type {HTMLTextAreaElement | null} */ (byId("text"));
  /** @type {AbortController | null} */
  let asked = null;
  let timer = 0;
  let retry = 0;
  let isSending = false;
  /** A save that is to be sent once the connection is back. */
  let isWaiting = false;

  /** The form as pairs; what the page held when it came is `opened`. */
  const pairs = () => [...new FormData(form)].map(([name, value]) => [name, String(value)]);
  const opened = JSON.stringify(pairs());

  // What was typed and not saved, kept by the browser until the tab is closed.
  const keep = () => {
    const now = pairs();
    const isTyped = JSON.stringify(now) !== opened || form.dataset.typed !== undefined;
    byId("unsaved")?.toggleAttribute("hidden", !isTyped);
    try {
      if (isTyped) sessionStorage.setItem(key, JSON.stringify(now));
      else sessionStorage.removeItem(key);
    } catch {
      // A full or forbidden store: what was typed is in the page all the same.
    }
  };
  const kept = () => {
    try {
      const stored = JSON.parse(sessionStorage.getItem(key) ?? "null");
      return Array.isArray(stored) ? /** @type {string[][]} */ (stored) : null;
    } catch {
      return null;
    }
  };
  const forget = () => {
    try {
      sessionStorage.removeItem(key);
    } catch {
      // As above.
    }
  };

  /** Puts kept input back: fields that the page has, and as hidden ones those of blocks that it has not. */
  const restore = (/** @type {string[][]} */ stored) => {
    const ticked = new Set(stored.filter(([name]) => name === "confirm").map(([, value]) => value));
    for (const box of form.querySelectorAll("input[type=checkbox]")) {
      if (box instanceof HTMLInputElement) box.checked = ticked.has(box.value);
    }
    for (const [name, value] of stored) {
      if (name === "confirm" || name === "act") continue;
      const field = form.elements.namedItem(name);
      if (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) {
        field.value = value;
      } else if (!field) {
        const hidden = document.createElement("input");
        hidden.type = "hidden";
        hidden.name = name;
        hidden.value = value;
        form.append(hidden);
      }
    }
  };

  if (form.dataset.saved !== undefined) {
    forget();
    // Loaded again, the page shall not say once more that it was saved.
    history.replaceState(null, "", location.pathname + location.hash);
  } else if (form.dataset.typed === undefined) {
    const stored = kept();
    if (stored && JSON.stringify(stored) !== opened) {
      restore(stored);
      const words = byId("kept-words");
      if (words) words.textContent = "Input that was typed here and not saved was put back.";
      byId("kept")?.removeAttribute("hidden");
    }
  }
  for (const id of ["drop-kept", "leave"]) {
    byId(id)?.addEventListener("click", (event) => {
      event.preventDefault();
      forget();
      location.assign(form.dataset.kept ?? location.pathname);
    });
  }

  // Connection.
  const lost = () => {
    const words = byId("lost-words");
    const more = isWaiting ? " It is saved as soon as the connection is back." : "";
    if (words && words.textContent !== LOST + more) words.textContent = LOST + more;
    byId("lost")?.removeAttribute("hidden");
    byId("send-now")?.toggleAttribute("hidden", !isWaiting);
    window.clearTimeout(retry);
    retry = window.setTimeout(again, RETRY_MS);
  };
  const back = () => {
    window.clearTimeout(retry);
    byId("lost")?.setAttribute("hidden", "");
  };
  const again = () => (isWaiting ? void save() : void check());
  window.addEventListener("online", again);
  window.addEventListener("offline", lost);
  byId("send-now")?.addEventListener("click", again);

  // Problems while typing.
  const send = (
    /** @type {string} */ address,
    /** @type {AbortSignal | undefined} */ signal,
    /** @type {string[][]} */ more = [],
  ) => {
    const body = new URLSearchParams();
    for (const [name, value] of [...pairs(), ...more]) body.append(name, value);
    return fetch(address, { method: "POST", body, signal, headers: { Accept: "application/json" } });
  };
  const check = async (/** @type {string[][]} */ more = []) => {
    window.clearTimeout(timer);
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    try {
      const answer = await send(form.dataset.check ?? "", signal, more);
      back();
      if (answer.ok) {
        const judged = /** @type {Judged} */ (await answer.json());
        show(judged);
        if (!judged.is_computed) timer = window.setTimeout(() => check([["findings", "1"]]), FINDINGS_PAUSE_MS);
      } else if (answer.status === 401) say("The session has ended: press Save, and sign in again. What you typed is kept.");
      else say("This cannot be checked as it is; press Check to see why.");
    } catch {
      if (!signal.aborted) lost();
    }
  };
  const say = (/** @type {string} */ words) => {
    const summary = byId("summary");
    if (summary && summary.textContent !== words) summary.textContent = words;
  };
  const paragraph = (/** @type {string} */ kind, /** @type {string} */ first, /** @type {string} */ rest) => {
    const made = document.createElement("p");
    made.className = kind;
    const strong = document.createElement("strong");
    strong.textContent = first;
    made.append(strong, ` ${rest}`);
    return made;
  };
  const sentence = (/** @type {Problem} */ problem) =>
    `${problem.message}.${problem.help ? ` To do: ${problem.help}.` : ""}`;

  /** @param {Judged} judged */
  const show = (judged) => {
    say(judged.summary);
    for (const told of form.querySelectorAll(".told")) {
      const path = told.id.slice(2);
      const own = judged.problems.filter((problem) => problem.path === path || problem.also.includes(path));
      told.replaceChildren(...own.map((problem) => paragraph("problem", "Problem:", sentence(problem))));
      const field = byId(`f-${path}`);
      if (own.length > 0) field?.setAttribute("aria-invalid", "true");
      else field?.removeAttribute("aria-invalid");
    }
    // Until the findings of this text are there, those of the text before stay.
    for (const noticed of judged.is_computed ? form.querySelectorAll("[data-noticed]") : []) {
      const path = noticed.getAttribute("data-noticed");
      const own = judged.findings.filter((finding) => finding.path === path);
      noticed.replaceChildren(
        ...own.map((finding) => paragraph(`finding ${finding.severity}`, finding.severity, finding.words)),
      );
    }
    byId("problems")?.replaceChildren(...judged.problems.map(listed));
    byId("around")?.remove();
    gutter(new Set(judged.problems.map((problem) => problem.line)));
  };
  /** @param {Problem} problem */
  const listed = (problem) => {
    const item = document.createElement("li");
    const link = document.createElement("a");
    if (area) {
      link.href = "#text";
      link.dataset.line = String(problem.line);
      link.dataset.column = String(problem.column);
      link.textContent = `Line ${problem.line}, column ${problem.column}`;
      item.append(link, `: ${sentence(problem)}`);
    } else {
      const place = problem.path ? `#f-${problem.path}` : `#b-${problem.block}`;
      if (problem.part === "") link.href = `${base}/text`;
      else if (problem.part === here) link.href = place;
      else link.href = `${base}/edit/${problem.part}${place}`;
      link.textContent = problem.message;
      item.append(link);
    }
    return item;
  };

  // A link to a field that is folded away opens it.
  form.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    if (!link) return;
    if (link.dataset.line && area) {
      event.preventDefault();
      jump(area, Number(link.dataset.line), Number(link.dataset.column));
    } else if (link.hash && link.pathname === location.pathname) {
      const field = byId(decodeURIComponent(link.hash.slice(1)));
      field?.closest("details")?.setAttribute("open", "");
      if (field?.matches("input, select, textarea")) {
        event.preventDefault();
        field.focus();
      }
    }
  });

  // The text view's line numbers.
  /** @type {Set<number>} */
  let wrong = new Set([...form.querySelectorAll("a[data-line]")].map((link) => Number(link.getAttribute("data-line"))));
  let numbered = "";
  const gutter = (/** @type {Set<number>} */ lines = wrong) => {
    const strip = byId("gutter");
    if (!area || !strip) return;
    wrong = lines;
    const count = area.value.split("\n").length;
    const state = `${count}:${[...wrong].join()}`;
    if (state !== numbered) {
      numbered = state;
      const parts = [];
      let plain = "";
      for (let line = 1; line <= count; line += 1) {
        if (wrong.has(line)) {
          const mark = document.createElement("span");
          mark.className = "wrong";
          mark.textContent = `\u25a0 ${line}\n`;
          parts.push(plain, mark);
          plain = "";
        } else {
          plain += `${line}\n`;
        }
      }
      // Room for the bar along the textarea's lower edge.
      strip.replaceChildren(...parts, `${plain}\n\n`);
    }
    strip.scrollTop = area.scrollTop;
  };
  area?.addEventListener("scroll", () => gutter());
  gutter();

  form.addEventListener("input", () => {
    gutter();
    keep();
    window.clearTimeout(timer);
    timer = window.setTimeout(() => check(), PAUSE_MS);
  });

  // Saves. The same text sent twice is saved once: the server compares what it has with what it is sent.
  const save = async () => {
    if (isSending) return;
    isSending = true;
    try {
      const answer = await send(form.action, undefined);
      isWaiting = false;
      back();
      const said = await answer.json().catch(() => null);
      if (answer.ok && said?.saved) {
        forget();
        location.assign(said.address);
        return;
      }
      // Nothing was written: the page that says why is asked for, with all that was typed.
      form.submit();
    } catch {
      isWaiting = true;
      keep();
      lost();
    } finally {
      isSending = false;
    }
  };
  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    const asks = button instanceof HTMLButtonElement ? button.value : "save";
    if (button?.hasAttribute("formaction") || (asks !== "save" && asks !== "")) {
      if (!navigator.onLine) {
        event.preventDefault();
        lost();
      }
      return;
    }
    event.preventDefault();
    void save();
  });

  if (form.dataset.typed !== undefined || kept()) {
    keep();
    void check();
  }
  if (!navigator.onLine) lost();
  if (location.hash) {
    const field = byId(decodeURIComponent(location.hash.slice(1)));
    field?.closest("details")?.setAttribute("open", "");
    if (field?.matches("input, select, textarea")) field.focus();
  }
}

/**
 * Selects a line of the text from a column on and brings it into view.
 * @param {HTMLTextAreaElement} area
 * @param {number} line
 * @param {number} column
 */
function jump(area, line, column) {
  const lines = area.value.split("\n");
  const start = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0);
  const text = lines[line - 1] ?? "";
  // Columns count characters; the text of a page counts the halves of rare ones too.
  const before = [...text].slice(0, column - 1).join("").length;
  area.focus();
  area.setSelectionRange(start + before, start + text.length);
  const height = area.scrollHeight / Math.max(1, lines.length);
  area.scrollTop = Math.max(0, (line - 1) * height - area.clientHeight / 3);
}
