// Forms of a page that stays: each is sent once the one before was answered, so that a number which a calliper types
// meanwhile is neither lost between two pages nor written before its turn.
const main = document.querySelector("main");
const SILENT = "The bench book does not answer. When it does, look whether this was written before you send it again.";
const STRANGE = "The bench book could not take this. Load the page again, and look whether it was written.";
const IS_NUMBER = /^[\d.,+-]/;

const lineOf = () => main.querySelector("#line");

function element(name, text, className = "") {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

async function answerTo({ address, options }) {
  try {
    const answer = await fetch(address, options);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    return { page, url: answer.url, refused: answer.status >= 400 };
  } catch {
    return null;
  }
}

// `changed` dresses a page that has come; `begin` is what a bare number begins with on the page that is shown.
export function sender({ changed, begin = () => "" }) {
  const waiting = [];
  let going = false;
  let stopped = false; // a line came back, and those after it wait for it
  let back = null; // it came back while another was being typed

  function put(text) {
    const line = lineOf();
    line.value = text;
    line.focus();
    line.setSelectionRange(text.length, text.length);
    line.dispatchEvent(new Event("input"));
  }

  // Puts another page in this one's place; what is being typed stays in the line.
  function swap({ page, url, refused }) {
    const old = lineOf();
    const typed = old.dataset.raw && IS_NUMBER.test(old.value) ? begin(page) + old.value : old.value;
    const end = typed.length - old.value.length + old.selectionEnd;
    const scripts = new Set([...document.scripts].map((script) => script.src));
    main.replaceChildren(...page.querySelector("main").childNodes);
    for (const { src } of page.scripts) {
      const script = document.createElement("script");
      Object.assign(script, { type: "module", src });
      if (src && !scripts.has(src)) document.head.append(script);
    }
    document.title = page.title;
    if (!refused) history.replaceState(null, "", url);
    changed({ refused, typing: Boolean(typed) });
    if (typed) {
      put(typed);
      lineOf().setSelectionRange(end, end);
    }
    window.scrollTo(0, 0);
  }

  function comeBack(text) {
    stopped = true;
    const line = lineOf();
    if (line.value && line.value !== text) back = text;
    else if (!line.value) put(text);
    line.focus();
    if (back === null) line.setSelectionRange(text.length, text.length);
  }

  function showHeld() {
    main.querySelector("[data-held]")?.remove();
    const held = waiting.map((one) => one.text).filter(Boolean);
    if (!held.length || !stopped) return;
    const shown = element("p", `Not written yet, waiting for the line above: ${held.join("; ")} `, "held");
    const drop = element("button", "Drop them", "quiet");
    shown.dataset.held = "";
    shown.setAttribute("aria-live", "polite");
    drop.type = "button";
    drop.addEventListener("click", () => {
      waiting.length = 0;
      showHeld();
    });
    shown.append(drop);
    main.querySelector("form.lineform").append(shown);
  }

  function fail(one, words) {
    if (one.text) comeBack(one.text);
    stopped = true;
    main.querySelector("[data-failed]")?.remove();
    const told = element("p", words, "held problem");
    told.dataset.failed = "";
    told.setAttribute("role", "alert");
    main.querySelector("form.lineform").append(told);
  }

  async function goOn(one) {
    const body = one.options.body;
    if (one.text && one.raw && IS_NUMBER.test(one.text)) one.text = begin(document) + one.text;
    if (one.text) body.set("text", one.text);
    const answer = await answerTo(one);
    if (!answer?.page.querySelector("main form.lineform")) return fail(one, answer ? STRANGE : SILENT);
    swap(answer);
    if (answer.refused && one.text) comeBack(one.text);
    else if (one.alone) stopped = true;
  }

  async function go() {
    if (going) return;
    going = true;
    main.setAttribute("aria-busy", "true");
    while (waiting.length && !stopped) await goOn(waiting.shift());
    going = false;
    main.removeAttribute("aria-busy");
    showHeld();
  }

  // What is no line goes before the lines that wait for one that came back, and leaves them waiting.
  function sendOther(one) {
    if (stopped) waiting.unshift({ ...one, alone: true });
    else waiting.push(one);
    stopped = false;
    go();
  }

  function sendLine(one) {
    const text = back;
    back = null;
    if (text !== null) {
      waiting.push(one);
      put(text);
      showHeld();
      return;
    }
    if (stopped) waiting.unshift(one);
    else waiting.push(one);
    stopped = false;
    put("");
    go();
  }

  // A page is left only on purpose while something is on its way.
  window.addEventListener("beforeunload", (event) => {
    if (waiting.some((one) => one.text)) event.preventDefault();
  });

  return {
    busy: () => going,
    look(address) {
      sendOther({ address, options: {}, text: "" });
    },
    send(form, submitter) {
      const body = new URLSearchParams(new FormData(form, submitter));
      const one = { address: form.action, options: { method: "POST", body }, text: "" };
      if (!form.matches(".lineform")) return sendOther(one);
      const line = lineOf();
      sendLine({ ...one, text: body.get("text"), raw: Boolean(line.dataset.raw) });
      delete line.dataset.raw;
    },
  };
}
