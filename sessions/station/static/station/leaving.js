// Signing out here says first what is not on the server, then wipes names, plan and readiness. Unsent events stay.

import { open } from "./dialogs.js";
import { at } from "./view.js";

export function leave(app) {
  const form = document.querySelector(".start .bar form");
  if (!form) return;
  let asked = false;
  form.addEventListener("submit", async (event) => {
    if (asked) return;
    event.preventDefault();
    const unsent = (await app.events.unsent(app.club)).length;
    at("leave-words").textContent = unsent ? app.words.count("unsent", unsent) : app.words.say("all_sent");
    open("leave-dialog");
  });
  at("leave-go").addEventListener("click", async () => {
    asked = true;
    await app.plans.heard(null);
    form.submit();
  });
}
