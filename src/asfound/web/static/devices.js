// The page of devices, kept up to date: loaded anew once a device came in or the code ran out.
const shown = document.querySelector("#pairing").dataset;

async function look() {
  if (document.hidden) return;
  try {
    const answer = await fetch("/devices/now");
    if (!answer.ok) return;
    const now = await answer.json();
    if (now.code !== shown.code || now.devices !== Number(shown.devices)) window.location.reload();
  } catch {
    // the bench book is closed: the page stays as it is
  }
}

setInterval(look, 2000);
