// @ts-check
// What every page shares. Everything works without it: choices are a form, workings are details.

/**
 * Says a sentence in the bar under the head, and to who listens instead of looking. An empty one takes it away.
 * @param {string} message
 */
export function say(message) {
  const bar = document.getElementById("said");
  if (bar && bar.textContent !== message) bar.textContent = message;
}

/** Where a page keeps how it stood while a choice makes it anew. */
const KEPT = "halfglass-stood";

/** How the page stands: place, and which details of the content are open. */
function keepStanding() {
  const open = [...document.querySelectorAll("main details")].map((details) => details.hasAttribute("open"));
  try {
    sessionStorage.setItem(KEPT, JSON.stringify({ path: location.pathname, y: scrollY, open }));
  } catch {
    // Storage may be refused; the page then starts at its head.
  }
}

/** Puts the page back as it stood before a choice. */
function standAgain() {
  let stood = null;
  try {
    stood = JSON.parse(sessionStorage.getItem(KEPT) ?? "null");
    sessionStorage.removeItem(KEPT);
  } catch {
    return;
  }
  if (!stood || stood.path !== location.pathname) return;
  const all = [...document.querySelectorAll("main details")];
  // Another system of units changes no number of details; if something else did, none is guessed.
  if (Array.isArray(stood.open) && stood.open.length === all.length) {
    all.forEach((details, place) => details.toggleAttribute("open", stood.open[place] === true));
  }
  scrollTo(0, Number(stood.y) || 0);
}

/** Choices apply at once; light and text size without making the page anew. */
function applyChoicesAtOnce() {
  const form = document.querySelector("form.view");
  if (!(form instanceof HTMLFormElement)) return;
  form.addEventListener("submit", keepStanding);
  form.addEventListener("change", async (event) => {
    const field = event.target;
    if (!(field instanceof HTMLSelectElement)) return;
    if (field.name !== "theme" && field.name !== "text") {
      form.requestSubmit();
      return;
    }
    document.documentElement.dataset[field.name] = field.value;
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form)) body.append(name, String(value));
    try {
      // The answer sends back to a page; only its cookie is wanted.
      await fetch(form.action, { method: "POST", body, redirect: "manual" });
    } catch {
      say("The workbench does not answer: the choice holds for this page only.");
    }
  });
}

/** The choices close like any menu. */
function closeChoices() {
  const choice = document.querySelector("details.view-choice");
  if (!choice) return;
  document.addEventListener("click", (event) => {
    if (event.target instanceof Node && !choice.contains(event.target)) choice.removeAttribute("open");
  });
  choice.addEventListener("keydown", (event) => {
    if (event instanceof KeyboardEvent && event.key === "Escape") {
      choice.removeAttribute("open");
      choice.querySelector("summary")?.focus();
    }
  });
}

/** What is wider than the page says so, in words over it. */
function saySideways() {
  const told = new ResizeObserver((entries) => {
    for (const { target } of entries) {
      const before = target.previousElementSibling;
      const said = before?.classList.contains("sideways") ? before : null;
      const isWide = target.scrollWidth > target.clientWidth + 1;
      if (!isWide) said?.remove();
      else if (!said) {
        const words = document.createElement("p");
        words.className = "sideways";
        words.textContent = "Wider than this screen: slide it sideways.";
        target.before(words);
      }
    }
  });
  for (const region of document.querySelectorAll("main .scroll")) told.observe(region);
}

standAgain();
saySideways();
applyChoicesAtOnce();
closeChoices();
