// Pins by tapping the photograph; by keyboard a cross is moved with the arrow keys and Enter taps for it.
const figure = document.querySelector("[data-pins]");
const told = document.querySelector("#told");
const fresh = document.querySelector("#new-pin");
const modes = document.querySelector(".modes");
const NAMESPACE = "http://www.w3.org/2000/svg";
let mode = "pin";
let moving = null;
let tail = null;
let cross = { x: 50, y: 50 };

function say(text) {
  told.textContent = text;
}

function asks() {
  if (moving) return tail ? "Tap where the arrow's tip goes." : `Tap where ${moving.label} goes. Escape leaves it.`;
  if (mode === "arrow") return tail ? "Tap where the arrow's tip goes." : "Tap where the arrow begins, then its tip.";
  return "Tap where the fastener sits. By keyboard: arrow keys move the cross, Enter sets the pin.";
}

function put(form, names, place) {
  form.elements[names[0]].value = place.x.toFixed(2);
  form.elements[names[1]].value = place.y.toFixed(2);
}

function tap(place) {
  const form = moving ? moving.form : fresh;
  const arrow = moving ? moving.arrow : mode === "arrow";
  if (!tail) {
    put(form, ["x", "y"], place);
    if (arrow) {
      tail = place;
      draw(place);
      return say(asks());
    }
    if (!moving) form.elements.tip_x.value = form.elements.tip_y.value = "";
  } else {
    put(form, ["tip_x", "tip_y"], place);
  }
  say("Setting it…");
  form.submit();
  return undefined;
}

function line(className, x1, y1, x2, y2) {
  const made = document.createElementNS(NAMESPACE, "line");
  for (const [name, value] of Object.entries({ class: className, x1, y1, x2, y2 })) made.setAttribute(name, value);
  return made;
}

function draw(place) {
  figure.querySelector("svg.aim")?.remove();
  const svg = document.createElementNS(NAMESPACE, "svg");
  svg.setAttribute("class", "pins aim");
  svg.setAttribute("width", "100%");
  svg.setAttribute("height", "100%");
  svg.setAttribute("aria-hidden", "true");
  const [x, y] = [`${place.x}%`, `${place.y}%`];
  for (const name of ["cross-edge", "cross"]) {
    svg.append(line(name, x, `${place.y - 4}%`, x, `${place.y + 4}%`), line(name, `${place.x - 4}%`, y, `${place.x + 4}%`, y));
  }
  figure.append(svg);
}

function clear() {
  moving = tail = null;
  figure.querySelector("svg.aim")?.remove();
  say(asks());
}

figure.addEventListener("click", (event) => {
  const box = figure.querySelector("img").getBoundingClientRect();
  const share = (at, from, size) => Math.min(100, Math.max(0, (100 * (at - from)) / size));
  event.preventDefault();
  tap({ x: share(event.clientX, box.left, box.width), y: share(event.clientY, box.top, box.height) });
});

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

figure.addEventListener("keydown", (event) => {
  const step = STEPS[event.key];
  if (step) {
    const far = event.shiftKey ? 5 : 1;
    const inside = (value) => Math.min(100, Math.max(0, value));
    cross = { x: inside(cross.x + far * step[0]), y: inside(cross.y + far * step[1]) };
    draw(cross);
    say(`Cross at ${cross.x} % from the left, ${cross.y} % from the top.`);
    event.preventDefault();
  } else if (event.key === "Enter") {
    event.preventDefault();
    tap(cross);
  } else if (event.key === "Escape") clear();
});

for (const button of modes.querySelectorAll("button")) {
  button.addEventListener("click", () => {
    mode = button.dataset.mode;
    for (const one of modes.querySelectorAll("button")) one.setAttribute("aria-pressed", String(one === button));
    clear();
  });
}

for (const button of document.querySelectorAll("[data-move]")) {
  const form = document.getElementById(button.dataset.move);
  button.hidden = false;
  button.addEventListener("click", () => {
    clear();
    moving = { form, arrow: form.elements.tip_x.value !== "", label: button.textContent.replace("Move", "pin") };
    say(asks());
    figure.focus();
    figure.scrollIntoView({ block: "nearest" });
  });
}

modes.hidden = false;
figure.classList.add("is-live");
figure.tabIndex = 0;
figure.setAttribute("role", "group");
figure.setAttribute("aria-label", "The photograph, to set pins on");
if (window.location.hash === "#photograph") figure.focus();
say(asks());
