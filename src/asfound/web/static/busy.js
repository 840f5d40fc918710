// A button that starts something long says so, and cannot be pressed twice.
for (const button of document.querySelectorAll("button[data-busy]")) {
  const waiting = button.textContent;
  button.form.addEventListener("submit", () => {
    button.textContent = `${button.dataset.busy} …`;
    button.disabled = true;
  });
  window.addEventListener("pageshow", () => {
    button.textContent = waiting;
    button.disabled = false;
  });
}
