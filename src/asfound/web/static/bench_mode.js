// One job at arm's length: keys and pedals go on and back, pages change in place so that the full screen stays.
import { hear } from "./line.js";

const main = document.querySelector("main");
const here = window.location.pathname;
let busy = false;
let awake = null;

const find = (what) => main.querySelector(what);

function tell(text) {
  const told = find("[data-told]");
  told.textContent = text;
  told.hidden = !text;
}

// Shows another page of this job in this one's place.
async function goTo(address, options = {}) {
  if (busy) return;
  busy = true;
  main.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(address, options);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const next = page.querySelector("main");
    if (!next || !page.querySelector(".hands")) {
      window.location.assign(answer.url);
      return;
    }
    const refused = answer.status >= 400;
    main.replaceChildren(...next.childNodes);
    if (!refused) history.replaceState(null, "", answer.url);
    document.title = page.title;
    dress();
    if (refused) find("#line").focus();
    else find("#do").focus({ preventScroll: true });
    window.scrollTo(0, 0);
  } catch {
    tell("The bench book does not answer: nothing was written. Press again.");
    find("form.lineform").dataset.sent = "";
  } finally {
    busy = false;
    main.removeAttribute("aria-busy");
  }
}

// What needs scripts is shown only now.
function dress() {
  hear(find("form.lineform"));
  const full = find("[data-full]");
  full.hidden = !document.fullscreenEnabled;
  full.textContent = document.fullscreenElement ? "Small screen" : "Full screen";
  const fill = find("[data-fill]");
  if (fill) fill.hidden = false;
}

function begin() {
  const line = find("#line");
  if (!line.value) line.value = line.dataset.begin || "";
  line.focus();
  line.setSelectionRange(line.value.length, line.value.length);
}

function press(what) {
  const there = find(what);
  if (!there || busy) return;
  if (there.tagName === "FORM") there.requestSubmit();
  else goTo(there.href);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !new URL(form.action).pathname.startsWith(`${here}/`)) return;
  event.preventDefault();
  goTo(form.action, { method: "POST", body: new URLSearchParams(new FormData(form, event.submitter)) });
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-stay]");
  if (link && !event.ctrlKey && !event.metaKey) {
    event.preventDefault();
    goTo(link.href);
  } else if (event.target.closest("[data-full]")) {
    if (document.fullscreenElement) document.exitFullscreen();
    else document.documentElement.requestFullscreen();
  } else if (event.target.closest("[data-fill]")) begin();
});

document.addEventListener("fullscreenchange", dress);

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
  const line = find("#line");
  const empty = event.target === line && line.value === "";
  const typing = event.target.closest("input, textarea, select") && !empty;
  const pressing = event.target.closest("a, button, summary");
  const advances = event.key === "PageDown" || (!pressing && (event.key === " " || event.key === "Enter"));
  if (typing) return;
  if (advances || event.key === "PageUp") {
    event.preventDefault();
    if (!event.repeat) press(advances ? "[data-advance]" : "[data-back]");
  } else if (event.key === "Delete" && !empty) {
    event.preventDefault();
    if (!event.repeat) find("#undo").requestSubmit();
  } else if (event.key.length === 1 && event.key !== " " && event.key !== "/" && !empty) {
    // A calliper types like a keyboard: its number goes to the line, with what the line begins with.
    if (/[\d.,+-]/.test(event.key)) begin();
    else line.focus();
  } else if (empty && /^[\d.,+-]$/.test(event.key)) begin();
});

// The screen stays on while the page is looked at, where the browser can do it.
async function stayAwake() {
  try {
    if (document.visibilityState === "visible" && !awake) awake = await navigator.wakeLock?.request("screen");
    awake?.addEventListener("release", () => {
      awake = null;
    });
  } catch {
    awake = null;
  }
}
document.addEventListener("visibilitychange", stayAwake);
stayAwake();
dress();
