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
