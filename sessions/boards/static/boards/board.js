// The board asks every few seconds whether anything changed. This closes the panel of a cell, gives the focus back to
// where it came from, and says so quietly when the server stays silent, in place of a notice at every beat.

const place = document.getElementById("board_cell");
const stale = document.getElementById("board_stale");

function close(cellId) {
  place.replaceChildren();
  document.getElementById(cellId)?.focus();
}

document.addEventListener("click", (event) => {
  const closer = event.target.closest("[data-close-cell]");
  if (closer && place) {
    event.preventDefault();
    close(closer.dataset.closeCell);
  }
});

document.addEventListener("keydown", (event) => {
  const closer = place?.querySelector("[data-close-cell]");
  if (event.key === "Escape" && closer) close(closer.dataset.closeCell);
});

function isPoll(event) {
  return event.target instanceof Element && event.target.matches("[data-poll]");
}

for (const kind of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.body.addEventListener(kind, (event) => {
    if (!isPoll(event)) return;
    event.stopPropagation();
    if (stale) stale.hidden = false;
  });
}

document.body.addEventListener("htmx:beforeRequest", (event) => {
  if (isPoll(event)) event.stopPropagation();
});

document.body.addEventListener("htmx:beforeOnLoad", (event) => {
  if (isPoll(event) && event.detail.xhr.status < 400 && stale) stale.hidden = true;
});
