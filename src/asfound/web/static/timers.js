// Counts baths and cures down; one that ends while the page is open is heard and seen.
const ends = new WeakMap();
let sound = null;

function said(ms) {
  const seconds = Math.ceil(Math.abs(ms) / 1000);
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor((seconds % 3600) / 60)];
  if (hours >= 24) return `${Math.floor(hours / 24)} d ${hours % 24} h`;
  const rest = hours ? `${hours}:${String(minutes).padStart(2, "0")}` : String(minutes);
  return `${rest}:${String(seconds % 60).padStart(2, "0")}`;
}

function show(timer, left) {
  let clock = timer.querySelector(".clock");
  if (!clock) {
    clock = document.createElement("span");
    clock.className = "clock";
    clock.setAttribute("role", "timer");
    timer.append(clock);
  }
  const words = left > 0 ? said(left) : `over by ${said(left)}`;
  if (clock.textContent !== words) clock.textContent = words;
  timer.classList.toggle("is-over", left <= 0);
  const bar = timer.querySelector("progress");
  if (bar) bar.value = Math.min(bar.max, bar.max - left);
}

function ring() {
  if (!sound || sound.state !== "running") return;
  for (const [beat, hertz] of [[0, 880], [0.25, 660], [0.5, 880]]) {
    const tone = new OscillatorNode(sound, { frequency: hertz });
    const loud = new GainNode(sound, { gain: 0.2 });
    tone.connect(loud).connect(sound.destination);
    tone.start(sound.currentTime + beat);
    tone.stop(sound.currentTime + beat + 0.18);
  }
}

function count() {
  let over = 0;
  for (const timer of document.querySelectorAll("[data-left]")) {
    if (!ends.has(timer)) ends.set(timer, Date.now() + Number(timer.dataset.left));
    const left = ends.get(timer) - Date.now();
    const was = timer.dataset.rung || Number(timer.dataset.left) <= 0;
    if (left <= 0 && !was) {
      timer.dataset.rung = "yes";
      ring();
    }
    if (left <= 0) over += 1;
    show(timer, left);
  }
  const title = document.title.replace(/^\(\d+ over\) /, "");
  const wanted = over ? `(${over} over) ${title}` : title;
  if (document.title !== wanted) document.title = wanted;
}

// A browser plays nothing before the page was touched once.
for (const touch of ["keydown", "pointerdown"]) {
  document.addEventListener(
    touch,
    () => {
      if (!sound && document.querySelector("[data-left]")) sound = new AudioContext();
    },
    { passive: true },
  );
}
count();
setInterval(count, 500);
