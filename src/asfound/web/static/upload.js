// Uploads with their progress and a way to stop; without this module the forms are sent as they are.
const token = document.querySelector("meta[name=asfound-token]").content;

function element(name, text, className = "") {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

function told(form, ...shown) {
  form.querySelector(".upload-told").replaceChildren(...shown);
}

function refuse(form, text) {
  told(form, element("span", text, "problem"));
  for (const button of form.querySelectorAll(".primary, button")) button.disabled = false;
}

function sentence({ what, remedy }) {
  return `${what}. ${remedy.charAt(0).toUpperCase()}${remedy.slice(1)}.`;
}

function finish(form, request) {
  let answer = {};
  try {
    answer = JSON.parse(request.responseText);
  } catch {
    // not ours: told below
  }
  if (request.status === 200 && answer.page) window.location.assign(answer.page);
  else if (answer.problems) refuse(form, answer.problems.map(sentence).join(" "));
  else refuse(form, "The upload was not taken. Nothing was written; try again.");
}

function send(form) {
  const request = new XMLHttpRequest();
  const bar = element("progress", "");
  const stop = element("button", "Stop the upload");
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute("aria-label", "uploaded");
  stop.type = "button";
  stop.addEventListener("click", () => request.abort());
  request.upload.addEventListener("progress", (event) => {
    if (event.lengthComputable) bar.value = event.loaded / event.total;
  });
  request.addEventListener("load", () => finish(form, request));
  request.addEventListener("abort", () => refuse(form, "Stopped. Nothing was written."));
  request.addEventListener("error", () => refuse(form, "The bench book does not answer. Nothing was written; try again."));
  request.open("POST", form.dataset.upload);
  request.setRequestHeader("X-Asfound-Token", token);
  const data = new FormData(form);
  data.delete("token");
  if (data.get("step") === "") data.delete("step");
  request.send(data);
  told(form, bar, stop);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-upload]")) return;
  event.preventDefault();
  const files = [...form.querySelector("input[type=file]").files];
  if (!files.length) return refuse(form, "No file was chosen.");
  if (files.reduce((sum, file) => sum + file.size, 0) > Number(form.dataset.most)) {
    const what = files.length > 1 ? `These ${files.length} files together are` : `${files[0].name} is`;
    return refuse(form, `${what} larger than what is taken here. Nothing was sent; choose less.`);
  }
  for (const button of form.querySelectorAll(".primary, button")) button.disabled = true;
  send(form);
});

document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-upload]");
  if (form && "atOnce" in form.dataset) form.requestSubmit();
});
