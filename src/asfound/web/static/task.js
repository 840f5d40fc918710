// Follows a piece of work and shows its result once it has ended.
const place = document.querySelector("[data-task]");
const EVERY_MS = 400;

async function look() {
  try {
    const answer = await fetch(place.dataset.task);
    const task = answer.ok ? await answer.json() : { state: "failed" };
    if (task.state === "waiting" || task.state === "running") {
      place.querySelector("progress").value = task.share;
      setTimeout(look, EVERY_MS);
      return;
    }
  } catch {
    setTimeout(look, 4 * EVERY_MS);
    return;
  }
  window.location.reload();
}

if (place) setTimeout(look, EVERY_MS);
