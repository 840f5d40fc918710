// A firing's trace, closer: fetched anew at every step, with its single samples where they lie far apart.
import { draw } from "./curve.js";

const zoom = document.querySelector("[data-trace]");

function time(seconds) {
  return Math.abs(seconds) < 1 ? `${(seconds * 1000).toFixed(3)} ms` : `${seconds.toFixed(4)} s`;
}

function showTrace(canvas, trace) {
  const { pen, x, y } = draw(canvas, trace);
  if (trace.time_s.length < canvas.clientWidth / 6) {
    for (let n = 0; n < trace.time_s.length; n += 1) pen.fillRect(x(trace.time_s[n]) - 2, y(trace.highest[n]) - 2, 4, 4);
  }
}

function start(place) {
  const canvas = place.querySelector("canvas");
  const output = place.querySelector("output");
  let shown = null;

  async function show(from, to) {
    const asked = new URLSearchParams({ columns: Math.round(Math.max(200, canvas.clientWidth * (window.devicePixelRatio || 1))) });
    if (from !== null) {
      asked.set("start_s", from);
      asked.set("stop_s", to);
    }
    const answer = await fetch(`${place.dataset.trace}?${asked}`);
    if (!answer.ok) return;
    shown = await answer.json();
    showTrace(canvas, shown);
    const from_light = shown.start_s - shown.first_light_s;
    const where = `${time(Math.abs(from_light))} ${from_light < 0 ? "before" : "after"} first light`;
    output.textContent = `${time(shown.stop_s - shown.start_s)} wide, from ${where}`;
  }

  function move(share, factor) {
    const width = shown.stop_s - shown.start_s;
    const whole = shown.whole_stop_s - shown.whole_start_s;
    const wanted = Math.min(whole, Math.max(0.0002, width * factor));
    const middle = (shown.start_s + shown.stop_s) / 2 + share * width;
    const from = Math.min(Math.max(middle - wanted / 2, shown.whole_start_s), shown.whole_stop_s - wanted);
    return show(from, from + wanted);
  }

  function around(moment) {
    const width = Math.min(0.01, Math.max(0.002, (shown.open_s || 0.01) / 3));
    return show(Math.max(0, moment - width / 2), moment + width / 2);
  }

  const acts = {
    in: () => move(0, 0.5),
    out: () => move(0, 2),
    left: () => move(-0.4, 1),
    right: () => move(0.4, 1),
    all: () => show(null, null),
    opening: () => around(shown.first_light_s + 0.0005),
    closing: () => around(shown.first_light_s + (shown.open_s || 0) - 0.0005),
  };
  const keys = { "+": "in", "=": "in", "-": "out", ArrowLeft: "left", ArrowRight: "right", 0: "all", Home: "opening", End: "closing" };

  place.addEventListener("click", (event) => {
    const act = event.target.closest("[data-zoom]");
    if (act && shown) acts[act.dataset.zoom]();
  });
  canvas.addEventListener("keydown", (event) => {
    if (!(event.key in keys) || !shown || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    acts[keys[event.key]]();
  });
  window.addEventListener("resize", () => shown && showTrace(canvas, shown));
  place.hidden = false;
  show(null, null);
}

if (zoom) start(zoom);
