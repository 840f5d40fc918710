// The page of one job: what is written, undone or taken again changes it in place, and the line is never away.
import { hear } from "./line.js";
import { sender } from "./sending.js";

const main = document.querySelector("main");
const bench = sender({ changed });

function changed({ typing }) {
  hear(main.querySelector("form.lineform"));
  if (!typing) main.querySelector("#line").focus();
  document.dispatchEvent(new Event("changed"));
}

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || !event.target.matches("form.lineform, #undo, #again")) return;
  event.preventDefault();
  bench.send(event.target, event.submitter);
});

hear(main.querySelector("form.lineform"));
