// Live firing: opens the input, keeps the line to the bench, and shows where the session stands.
import { draw } from "./curve.js";
import { Input } from "./live-input.js";
import { Line } from "./live-line.js";

const place = document.querySelector("[data-live]");
const find = (name) => place.querySelector(`[data-${name}]`);
const settle = find("settle");
const firing = find("firing");
let input = null;
let line = null;
let session = null;
let shown = null;

function tell(element, words) {
  if (element.textContent !== words) element.textContent = words;
  element.hidden = !words;
}

function level(decibels, words) {
  for (const meter of place.querySelectorAll("[data-level]")) meter.value = Math.max(-60, decibels);
  find("peak").textContent = decibels > -100 ? `peak ${decibels.toFixed(0)} dB of full scale` : "";
  tell(find("warn"), words);
  tell(find("warning"), words);
}

async function list(chosen) {
  const choice = find("device");
  const options = (await input.devices()).map((one, n) => new Option(one.label || `Input ${n + 1}`, one.deviceId));
  choice.replaceChildren(...options);
  choice.value = chosen;
}

function refused(problems) {
  const rows = problems.map((one) => {
    const row = document.createElement("p");
    row.className = "problem";
    row.setAttribute("role", "alert");
    const where = document.createElement("b");
    where.textContent = `${one.where}: `;
    row.append(where, `${one.what}. ${one.remedy[0].toUpperCase()}${one.remedy.slice(1)}.`);
    return row;
  });
  find("refused").replaceChildren(...rows);
  if (problems.length) find("refused").scrollIntoView({ block: "center" });
}

async function openInput(device, rate) {
  try {
    input = input || new Input((block) => line && line.send(block), level);
    const chosen = await input.open(device, rate);
    find("input").hidden = false;
    find("open").hidden = true;
    await list(chosen);
    refused([]);
    return true;
  } catch (error) {
    const what = error.name === "NotAllowedError" ? "this page was not let at it" : "it cannot be opened";
    const remedy = error.name === "NotAllowedError" ? "allow the microphone for this page in the browser, then try again" : "plug it in, or choose another";
    refused([{ where: "sound input", what, remedy }]);
    return false;
  }
}

function connect(typed) {
  const address = new URL(place.dataset.live, window.location.href);
  address.protocol = address.protocol.replace("http", "ws");
  const token = document.querySelector('meta[name="asfound-token"]').content;
  const hello = () => ({ kind: "hello", token, session, rate: input.rate, epoch: input.epoch, typed });
  line = new Line(address, hello, heard, (words) => tell(find("line"), words));
}

function heard(message) {
  if (message.kind === "welcome") begun(message.session);
  if (message.kind === "state") show(message);
  if (message.kind === "ended") over(message.href);
  if (message.kind === "refused") {
    line.over = true;
    line = null;
    refused(message.problems);
  }
}

function begun(name) {
  session = name;
  settle.hidden = true;
  firing.hidden = false;
  for (const left of place.querySelectorAll("[data-left]")) left.hidden = true;
  refused([]);
  awake();
}

async function awake() {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // The screen may go dark; nothing received is lost by it.
  }
}

function over(href) {
  line.end();
  line = null;
  input.close();
  window.location.assign(href);
}

function show(state) {
  shown = state;
  find("ask").textContent = state.stays ? "Watch" : "Set the dial to";
  find("at").textContent = state.at || "Done";
  find("left-shots").textContent = count(state);
  find("then").textContent = then(state);
  showShot(state.shot);
  tell(find("lost"), state.lost);
  refill(find("shots"), state.shots.map(shotButton));
  refill(find("speeds"), state.speeds.map((speed) => speedRow(speed, state.each)));
}

// Puts new rows in the place of the old, and leaves the keyboard's focus on the same one.
function refill(list, rows) {
  const at = [...list.querySelectorAll("button")].indexOf(document.activeElement);
  list.replaceChildren(...rows);
  if (at >= 0) list.querySelectorAll("button")[at]?.focus();
}

function then(state) {
  if (state.band && state.at === state.band.pilot) return `stop between ${state.band.low} and ${state.band.high}`;
  return state.then && `then ${state.then}`;
}

function count(state) {
  if (!state.at) return "every speed is fired";
  if (state.stays) return `move the ${state.band.move}`;
  if (!state.left) return "one more, as you wish";
  return `${state.left} shot${state.left === 1 ? "" : "s"} left of ${state.each}`;
}

function showShot(shot) {
  const told = find("told");
  told.classList.toggle("is-first", Boolean(shot && !shot.final));
  told.classList.toggle("is-struck", Boolean(shot && shot.struck));
  if (!shot) return;
  find("which").textContent = `Shot ${shot.number}${shot.mark ? ` at ${shot.mark}` : ", at no speed"}`;
  tell(find("state"), shot.struck ? "struck" : shot.final ? "" : "first reading");
  const [number, unit] = (shot.time || "no time").split(" ");
  const small = document.createElement("small");
  small.textContent = unit;
  find("time").replaceChildren(`${number} `, small);
  find("error").textContent = shot.error;
  const verdict = find("verdict");
  verdict.className = `verdict verdict-${shot.verdict.replace(" ", "-")}`;
  tell(verdict, shot.verdict);
  const nearest = shot.nearest && `nearest mark ${shot.nearest}`;
  find("more").textContent = [shot.fraction, shot.plus_minus, nearest].filter(Boolean).join("  ·  ");
  tell(find("pilot"), shot.pilot);
  find("flags").replaceChildren(...shot.flags.map((words) => paragraph(words, "problem")), ...shot.notes.map((words) => paragraph(words, "soft small")));
  if (shot.final) find("spoken").textContent = `${shot.mark}: ${shot.time}, ${shot.error}, ${shot.verdict}`;
  if (shot.trace) showTrace(shot.trace);
}

function paragraph(words, kind) {
  const row = document.createElement("p");
  row.className = kind;
  row.textContent = words;
  return row;
}

function shotButton(shot) {
  const row = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  button.className = shot.struck ? "is-struck" : "";
  button.setAttribute("aria-label", `Shot ${shot.number} at ${shot.mark || "no speed"}, ${shot.time}: ${shot.struck ? "count it again" : "strike it"}`);
  const time = document.createElement("b");
  time.textContent = shot.time;
  button.append(time, shot.mark || "–");
  button.addEventListener("click", () => line && line.ask({ kind: "strike", number: shot.number }));
  row.append(button);
  return row;
}

function speedRow(speed, each) {
  const row = document.createElement("tr");
  row.className = speed.now ? "is-now" : "";
  const head = document.createElement("th");
  head.scope = "row";
  const pick = document.createElement("button");
  pick.type = "button";
  pick.textContent = speed.mark;
  pick.addEventListener("click", () => line && line.ask({ kind: "pick", mark: speed.mark }));
  head.append(pick);
  const verdict = document.createElement("span");
  verdict.className = speed.verdict ? `verdict verdict-${speed.verdict.replace(" ", "-")}` : "";
  verdict.textContent = speed.verdict;
  row.append(head, ...[`${speed.good} of ${each}`, speed.time, speed.error, verdict].map((cell, n) => {
    const data = document.createElement("td");
    data.className = ["", "number extra", "", ""][n];
    data.append(cell);
    return data;
  }));
  return row;
}

function showTrace(trace) {
  draw(find("trace"), trace);
  const length = trace.stop_s - trace.start_s;
  find("span").textContent = `${length < 1 ? `${(length * 1000).toFixed(1)} ms` : `${length.toFixed(2)} s`} from edge to edge`;
}

const keys = {
  Delete: () => line.ask({ kind: "strike" }),
  Backspace: () => line.ask({ kind: "strike" }),
  ArrowRight: () => line.ask({ kind: "step", step: 1 }),
  ArrowLeft: () => line.ask({ kind: "step", step: -1 }),
};

function pressed(event) {
  const typing = event.target.closest("input, select, textarea");
  if (!line || firing.hidden || typing || !(event.key in keys) || event.repeat) return;
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  keys[event.key]();
}

function start() {
  if (!window.isSecureContext || !navigator.mediaDevices) {
    find("no-input").hidden = false;
    return;
  }
  settle.hidden = false;
  find("open").addEventListener("click", () => openInput(""));
  find("device").addEventListener("change", (event) => openInput(event.target.value));
  settle.addEventListener("submit", (event) => {
    event.preventDefault();
    if (input && !line) connect(Object.fromEntries(new FormData(settle)));
  });
  for (const again of place.querySelectorAll("[data-again]")) {
    again.hidden = false;
    again.addEventListener("click", async () => {
      if (line || !(await openInput("", Number(again.dataset.rate)))) return;
      session = again.dataset.again;
      connect({});
    });
  }
  find("strike").addEventListener("click", () => line && line.ask({ kind: "strike" }));
  for (const step of place.querySelectorAll("[data-step]")) {
    step.addEventListener("click", () => line && line.ask({ kind: "step", step: Number(step.dataset.step) }));
  }
  find("end").addEventListener("click", () => line && line.ask({ kind: "end" }));
  document.addEventListener("keydown", pressed);
  window.addEventListener("beforeunload", (event) => line && event.preventDefault());
  window.addEventListener("resize", () => shown?.shot?.trace && showTrace(shown.shot.trace));
}

if (place) start();
