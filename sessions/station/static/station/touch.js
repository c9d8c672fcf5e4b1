// A tablet is held with one hand: the palm rests on the edge at the queue's side. What touches down there, or with the
// breadth of a palm, is no tap.

const EDGE_PX = 14;
const PALM_PX = 60;

let palm = false;

export function isPalm(event, width = window.innerWidth, left = false) {
  if (event.pointerType !== "touch") return false;
  const edge = left ? event.clientX < EDGE_PX : event.clientX > width - EDGE_PX;
  return edge || Math.max(event.width || 0, event.height || 0) > PALM_PX;
}

export function ignorePalms(isLeft) {
  document.addEventListener("pointerdown", (event) => { palm = isPalm(event, window.innerWidth, isLeft()); }, true);
  document.addEventListener("click", (event) => {
    // A click of the keyboard or of a screen reader has no place.
    if (!palm || event.detail === 0) return;
    palm = false;
    event.preventDefault();
    event.stopPropagation();
  }, true);
}
