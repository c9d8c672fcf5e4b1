// What every page needs and a page cannot do without script: ask-once dialogs, and a word when the server stays silent.
// Without script the dialogs open by their address (see .ask:target), and the browser itself says that a page is missing.

function say(wordsId) {
  const place = document.getElementById("answer-missing");
  const words = document.getElementById(wordsId);
  place.replaceChildren(words.content.cloneNode(true));
  place.scrollIntoView({ block: "nearest" });
}

function silence() {
  document.getElementById("answer-missing").replaceChildren();
}

document.addEventListener("click", (event) => {
  const opener = event.target.closest("[data-dialog]");
  const closer = event.target.closest("[data-dialog-close]");
  if (opener) {
    event.preventDefault();
    document.getElementById(opener.dataset.dialog).showModal();
  } else if (closer && closer.closest("dialog").open) {
    event.preventDefault();
    closer.closest("dialog").close();
  }
});

document.addEventListener("htmx:beforeRequest", silence);
document.addEventListener("htmx:sendError", () => say("answer-missing-words"));
document.addEventListener("htmx:timeout", () => say("answer-missing-words"));
document.addEventListener("htmx:responseError", () => say("answer-refused-words"));

// A tablet keeps plans with names for its stations (station/plans.js). They go with whoever signs out, on any page, and
// where nobody is signed in.
const PLANS = "sixmark-plans";
function wipePlans() {
  window.indexedDB?.deleteDatabase(PLANS);
}
// A page may ask first and let one stay: only a form that is really sent counts.
document.addEventListener("submit", (event) => {
  if (!event.defaultPrevented && event.target.matches("form[action$='/sign-out/']")) wipePlans();
});
if (document.querySelector("form[action$='/sign-in/']")) wipePlans();
