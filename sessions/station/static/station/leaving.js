// Signing out here says first what is not on the server, then wipes names, plan and readiness. Unsent events stay. Notes
// are words, not codes: it says how many are still here, and those that were saved to a file go too.

import { close, open } from "./dialogs.js";
import { save } from "./saving.js";
import { at } from "./view.js";

export function leave(app) {
  const form = document.querySelector(".start .bar form");
  if (!form) return;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    at("leave-saved").textContent = "";
    await say(app);
    open("leave-dialog");
  });
  at("leave-send").addEventListener("click", async () => {
    await app.flusher.flush();
    await say(app);
  });
  at("leave-save").addEventListener("click", async () => {
    at("leave-saved").textContent = app.words.say("saved", { file: await save(app) });
    await say(app);
  });
  at("leave-go").addEventListener("click", async () => {
    const { saved } = await left(app);
    if (saved.length) await app.events.remove(saved.map((item) => item.id));
    await app.plans.heard(null);
    close("leave-dialog");
    form.submit();
  });
}

// Of everybody who logged here: what the server has not got, and of it the notes, in a file (saved) or nowhere else (words).
async function left(app) {
  const unsent = await app.events.unsent(app.club);
  const notes = unsent.filter(({ event }) => event.kind === "note");
  return { unsent, saved: notes.filter((item) => item.saved), words: notes.filter((item) => !item.saved) };
}

async function say(app) {
  const { unsent, saved, words } = await left(app);
  at("leave-words").textContent = unsent.length ? app.words.count("unsent", unsent.length) : app.words.say("all_sent");
  at("leave-notes").textContent = [
    words.length && app.words.count("unsent_notes", words.length),
    saved.length && app.words.count("saved_notes", saved.length),
  ].filter(Boolean).join(" ");
  for (const id of ["leave-send", "leave-save"]) at(id).hidden = !unsent.length;
}
