// One job at arm's length: keys and pedals go on and back, pages change in place so that the full screen stays.
import { hear } from "./line.js";
import { sender } from "./sending.js";

const main = document.querySelector("main");
const here = window.location.pathname;
const find = (what) => main.querySelector(what);
const IS_NUMBER = /^[\d.,+-]$/;
let awake = null;

// A number typed before the answer came belongs to the page that comes: it begins as that page says.
const bench = sender({ changed, begin: (page) => page.querySelector("#line").dataset.begin || "" });

function changed({ refused, typing }) {
  dress();
  if (typing) return;
  if (refused) find("#line").focus();
  else find("#do").focus({ preventScroll: true });
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
  if (bench.busy()) {
    line.dataset.raw = "yes";
    line.focus();
    return;
  }
  if (!line.value) line.value = line.dataset.begin || "";
  line.focus();
  line.setSelectionRange(line.value.length, line.value.length);
}

function press(what) {
  const there = find(what);
  if (!there || bench.busy()) return;
  if (there.tagName === "FORM") there.requestSubmit();
  else bench.look(there.href);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !new URL(form.action).pathname.startsWith(`${here}/`)) return;
  event.preventDefault();
  if (form.matches(".lineform") || !bench.busy()) bench.send(form, event.submitter);
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-stay]");
  if (link && !event.ctrlKey && !event.metaKey) {
    event.preventDefault();
    if (!bench.busy()) bench.look(link.href);
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
    if (IS_NUMBER.test(event.key)) begin();
    else line.focus();
  } else if (empty && IS_NUMBER.test(event.key)) begin();
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
