// A firing's brightness over time on a canvas: the extremes of each column, and the levels that were found.
function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--plot-${name}`).trim();
}

function fitted(canvas) {
  const ratio = window.devicePixelRatio || 1;
  canvas.width = Math.round(canvas.clientWidth * ratio);
  canvas.height = Math.round(canvas.clientHeight * ratio);
  const pen = canvas.getContext("2d");
  pen.scale(ratio, ratio);
  return pen;
}

// Draws a trace; returns the pen and the scales, for whoever has more to draw.
export function draw(canvas, trace) {
  const pen = fitted(canvas);
  const wide = canvas.clientWidth;
  const high = canvas.clientHeight;
  const levels = trace.base === null || trace.plateau === null ? [] : [trace.base, trace.base + trace.plateau];
  const low = Math.min(...trace.lowest, ...levels);
  const top = Math.max(...trace.highest, ...levels);
  const room = 0.08 * (top - low || 1);
  const x = (seconds) => ((seconds - trace.start_s) / (trace.stop_s - trace.start_s)) * wide;
  const y = (value) => high - ((value - low + room) / (top - low + 2 * room)) * high;
  pen.strokeStyle = colour("soft");
  pen.setLineDash([5, 4]);
  for (const level of levels) {
    pen.beginPath();
    pen.moveTo(0, y(level));
    pen.lineTo(wide, y(level));
    pen.stroke();
  }
  pen.setLineDash([]);
  pen.strokeStyle = pen.fillStyle = colour("left");
  pen.lineWidth = 1.6;
  pen.lineJoin = "round";
  pen.beginPath();
  trace.time_s.forEach((seconds, n) => pen.lineTo(x(seconds), y(trace.highest[n])));
  for (let n = trace.time_s.length - 1; n >= 0; n -= 1) pen.lineTo(x(trace.time_s[n]), y(trace.lowest[n]));
  pen.closePath();
  pen.fill();
  pen.stroke();
  return { pen, x, y };
}
