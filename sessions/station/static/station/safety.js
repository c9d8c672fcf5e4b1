// What must not be missed while the page stands open: how many adults are here, and whether the station was checked.
// It asks the server now and then; without an answer the page keeps saying what it said last.

const EVERY_MS = 15000;
const place = document.getElementById("station-safety");

async function refresh() {
  if (!place || document.hidden || !navigator.onLine) return;
  try {
    const answer = await fetch(place.dataset.url, { credentials: "same-origin", redirect: "error" });
    if (!answer.ok) return;
    const text = await answer.text();
    place.replaceChildren(...new DOMParser().parseFromString(text, "text/html").body.childNodes);
  } catch {
    // The line of the state says that there is no network; here the last word stands.
  }
}

setInterval(refresh, EVERY_MS);
document.addEventListener("visibilitychange", refresh);
