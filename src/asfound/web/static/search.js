// Search as it is typed: what is found stands above the lists, which come back when the field is emptied.
const form = document.querySelector("form[data-search]");
const place = document.getElementById("found-place");
const WAIT_MS = 90;

if (form) {
  const field = form.querySelector("input[type=search]");
  const told = document.getElementById("search-told");
  let timer = 0;
  let asked = new AbortController();

  const look = async () => {
    asked.abort();
    const text = field.value.trim();
    history.replaceState(null, "", text ? `/?${new URLSearchParams({ q: text })}` : "/");
    if (!text) {
      place.replaceChildren();
      told.textContent = "";
      return;
    }
    asked = new AbortController();
    try {
      const answer = await fetch(`${form.dataset.search}?${new URLSearchParams({ q: text })}`, { signal: asked.signal });
      if (!answer.ok || field.value.trim() !== text) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      place.replaceChildren(...page.querySelectorAll("#found"));
      told.textContent = page.querySelector("#found-head").textContent;
    } catch (error) {
      if (error.name !== "AbortError") told.textContent = "The bench book does not answer.";
    }
  };

  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(look, WAIT_MS);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "/" && !event.target.closest("input, textarea, select")) {
      event.preventDefault();
      field.select();
    }
  });
}
