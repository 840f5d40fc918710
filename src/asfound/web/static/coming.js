// What came off next on other cameras of the model: asked for once the page stands, since it may take a moment.
function element(name, text, className = "") {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

async function ask() {
  const place = document.querySelector(".coming");
  const answer = await fetch(place.dataset.from);
  if (!answer.ok) return;
  const { cameras, parts } = await answer.json();
  if (!parts.length) return;
  const link = element("a", "");
  link.href = place.dataset.notes;
  link.append(element("b", parts.join(", ")));
  const seen = cameras === 1 ? "on one other camera came next" : `on ${cameras} other cameras came next`;
  place.replaceChildren(element("span", seen, "soft"), " ", link);
  place.hidden = false;
}

const look = () => ask().catch(() => {});
document.addEventListener("changed", look);
look();
