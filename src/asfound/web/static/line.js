// The quick line: shows what would be understood while it is typed; one key undoes.
const WAIT_MS = 120;

function element(name, text, className = "") {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function marked(text, problems) {
  const shown = element("p", "", "typed");
  const wrong = Array.from(text, () => false);
  for (const { span } of problems) if (span) wrong.fill(true, span[0], Math.max(span[1], span[0] + 1));
  const characters = Array.from(text);
  for (let start = 0; start < characters.length; ) {
    let stop = start;
    while (stop < characters.length && wrong[stop] === wrong[start]) stop += 1;
    const piece = characters.slice(start, stop).join("");
    shown.append(wrong[start] ? element("mark", piece) : document.createTextNode(piece));
    start = stop;
  }
  return shown;
}

function asProblem({ what, remedy }) {
  const shown = element("span", "", "problem");
  shown.append(element("span", `${what}.`), ` ${capital(remedy)}.`);
  return shown;
}

function noteButton() {
  const row = element("p", "", "actions");
  const button = element("button", "Keep it as a note");
  button.name = "as_note";
  button.value = "1";
  row.append(button);
  return row;
}

// Hears one form of the line: on a page that changes in place there comes another.
export function hear(form) {
  const line = form.querySelector("input[name=text]");
  const preview = form.querySelector(".preview");
  let timer = 0;
  let asked = new AbortController();

  function show(text, understood) {
    line.setAttribute("aria-invalid", understood.problems.length ? "true" : "false");
    if (understood.problems.length) {
      preview.replaceChildren(marked(text, understood.problems), ...understood.problems.map(asProblem), noteButton());
      return;
    }
    const heard = element("span", understood.echo, "heard");
    const hints = understood.hints.map((hint) => element("span", hint, "heard soft"));
    preview.replaceChildren(heard, ...hints);
  }

  async function ask() {
    asked.abort();
    const text = line.value;
    if (!text.trim()) {
      preview.replaceChildren();
      line.removeAttribute("aria-invalid");
      return;
    }
    asked = new AbortController();
    try {
      const answer = await fetch(`${form.dataset.preview}?${new URLSearchParams({ text })}`, { signal: asked.signal });
      if (answer.ok && line.value === text) show(text, await answer.json());
    } catch (error) {
      if (error.name !== "AbortError") preview.replaceChildren(element("span", "The bench book does not answer; the line can still be typed.", "problem"));
    }
  }

  line.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT_MS);
  });

  line.addEventListener("keydown", (event) => {
    if (event.key === "Delete" && line.value === "" && !event.repeat) {
      event.preventDefault();
      document.getElementById("undo").requestSubmit();
    }
    const again = document.getElementById("again");
    if (event.key === "ArrowRight" && line.value === "" && !event.repeat && again) {
      event.preventDefault();
      again.requestSubmit();
    }
  });

  form.addEventListener("submit", (event) => {
    // A foot switch that sends Enter writes nothing by itself.
    if (!line.value.trim()) event.preventDefault();
  });

  // What was typed before this file had come is heard too.
  if (!preview.childElementCount) ask();
}

document.addEventListener("keydown", (event) => {
  if (event.target.closest("input, textarea, select") || event.ctrlKey || event.metaKey || event.altKey) return;
  const line = document.querySelector("form.lineform input[name=text]");
  if (event.key === "/") {
    event.preventDefault();
    line.focus();
  }
  // A calliper's button types its number wherever the keys go: it is meant for the line.
  else if (/^[\d.,+-]$/.test(event.key)) line.focus();
});
