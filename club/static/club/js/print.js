// The button only works with script, so it is shown by script.
const button = document.querySelector("[data-print]");
button.hidden = false;
button.addEventListener("click", () => window.print());
