// What is recorded beside reps: a note about an athlete, and what was adjusted for them.

import { at, node } from "./view.js";
import { close, open } from "./dialogs.js";

export class Beside {
  constructor(log, words) {
    Object.assign(this, { log, words, about: "" });
  }

  draw() {
    const { turn } = this.log;
    const button = at("adjust");
    button.hidden = !turn || !Object.keys(this.log.data.adjustments).length;
    if (button.hidden) return;
    const names = turn.adjusted.map((one) => this.name(one.key));
    button.replaceChildren(node("span", "quiet", this.words.say("adjust")), ...(names.length ? [node("b", "", this.words.list(names))] : []));
  }

  // What was retired since keeps the name it was picked by.
  name(key) {
    return this.log.data.adjustments[key]?.name || key;
  }

  askAdjustment() {
    const { turn } = this.log;
    if (!turn) return;
    at("adjust-title").textContent = this.words.say("adjust_title", { name: turn.name });
    const helps = this.log.data.mends[turn.lastFault] || [];
    const keys = Object.keys(this.log.data.adjustments);
    const first = [...keys.filter((key) => helps.includes(key)), ...keys.filter((key) => !helps.includes(key))];
    at("adjust-list").replaceChildren(...first.map((key) => this.choice(turn, key, helps.includes(key))));
    open("adjust-dialog");
  }

  choice(turn, key, helps) {
    const { name, how } = this.log.data.adjustments[key];
    const used = turn.adjusted.some((one) => one.key === key);
    const made = node("button", `tbtn adjustment${used ? " on" : ""}`);
    made.type = "button";
    made.dataset.adjustment = key;
    made.setAttribute("aria-pressed", String(used));
    const said = [used ? this.words.say("in_use") : "", helps ? this.words.say("helps_last") : ""].filter(Boolean);
    made.append(node("b", "", name), node("span", "m", how), ...(said.length ? [node("span", "m said-of", this.words.list(said))] : []));
    return made;
  }

  adjust(key) {
    const { turn } = this.log;
    close("adjust-dialog");
    const on = this.log.adjust(turn, key);
    return this.words.say(on ? "adjusted" : "not_adjusted", { name: turn.name, what: this.name(key) });
  }

  askNote(athlete) {
    close("athlete-dialog");
    this.about = athlete;
    at("note-title").textContent = this.nameOf(athlete);
    at("note-wrong").textContent = "";
    open("note-dialog");
    at("note-text").focus();
  }

  nameOf(athlete) {
    return this.log.data.turns.find((turn) => turn.athlete === athlete).name;
  }

  isNote() {
    const there = Boolean(at("note-text").value.trim());
    if (!there) at("note-wrong").textContent = this.words.say("note_empty");
    return there;
  }

  keepNote() {
    const text = at("note-text").value.trim();
    const reader = document.querySelector("[name=note-reader]:checked").value;
    this.log.note(this.about, text, reader);
    at("note-text").value = "";
    document.querySelector("[name=note-reader][value=coaches]").checked = true;
    close("note-dialog");
    return this.words.say("noted", { name: this.nameOf(this.about) });
  }
}
