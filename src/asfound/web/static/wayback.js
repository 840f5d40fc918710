// One key puts the first check that is due off, another undoes the last tap.
const keys = { l: document.querySelector("form[data-later]"), Delete: document.querySelector("form[data-undo]") };
document.addEventListener("keydown", (event) => {
  const wanted = keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
  const typing = event.target.closest("input:not([type=hidden]), select, textarea");
  if (!wanted || typing || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  wanted.requestSubmit();
});

// Space, Enter or a pedal advances from anywhere on the page, and only once a press.
const advance = document.querySelector("form[data-advance]");

if (advance) {
  let sent = false;
  advance.addEventListener("submit", (event) => {
    if (sent) event.preventDefault();
    sent = true;
  });
  window.addEventListener("pageshow", () => {
    sent = false;
  });
  document.addEventListener("keydown", (event) => {
    const free = !event.target.closest("a, button, input, select, textarea, summary");
    if (free && !event.repeat && (event.key === " " || event.key === "Enter")) {
      event.preventDefault();
      advance.requestSubmit();
    }
  });
}
