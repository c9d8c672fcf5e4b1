// Dialogs of the station page: all faults, what is watched, one athlete, an unsafe rep, who holds the station, what needs a look.

import { at, node } from "./view.js";

export function open(id) {
  const dialog = at(id);
  if (!dialog.open) dialog.showModal();
}

export function close(id) {
  if (at(id).open) at(id).close();
}

function button(classes, text, data) {
  const made = node("button", classes, text);
  made.type = "button";
  Object.assign(made.dataset, data);
  return made;
}

export class Dialogs {
  constructor(log, words, view) {
    Object.assign(this, { log, words, view });
  }

  allFaults() {
    const { turn } = this.log;
    const groups = this.log.offered(turn).map((point) => {
      const group = node("section", "group");
      const faults = Object.entries(this.log.drillOf(turn).faults).filter(([, fault]) => fault.checkpoint === point.key);
      group.append(node("h3", "", point.name), ...faults.map(([key]) => this.view.chip(turn, key)));
      return group;
    });
    at("all-faults-list").replaceChildren(...groups);
    open("all-faults");
  }

  focus() {
    const { turn } = this.log;
    const watched = this.log.watched(turn).map((point) => point.key);
    const gate = this.log.offered(turn).filter((point) => point.gate);
    at("focus-gate").textContent = this.words.say("gate_again", { what: this.words.list(gate.map((point) => point.name)) });
    at("focus-list").replaceChildren(...this.log.offered(turn).map((point) => this.focusRow(point, watched.includes(point.key))));
    open("focus-dialog");
  }

  focusRow(point, on) {
    const row = node("li", "choice");
    const only = button(`tbtn${on ? " on" : ""}`, "", { watch: point.key });
    only.setAttribute("aria-pressed", String(on));
    only.append(node("span", "", point.name), node("span", "m", this.words.say(point.gate ? "decides" : point.phase)));
    const also = button("tbtn", this.words.say("also"), { also: point.key });
    also.setAttribute("aria-label", this.words.say("also_label", { what: point.name }));
    row.append(only, also);
    return row;
  }

  athlete(id) {
    const turn = this.log.data.turns.find((one) => one.athlete === id);
    at("athlete-dialog").dataset.athlete = id;
    at("athlete-name").textContent = turn.name;
    open("athlete-dialog");
  }

  unsafe(name) {
    at("unsafe-title").textContent = this.words.say("unsafe_title", { name });
    const { turn } = this.log;
    for (const part of document.querySelectorAll("#unsafe-dialog [data-safety]")) part.hidden = part.dataset.safety !== turn.drill;
    open("unsafe-dialog");
  }

  heldBy(holder) {
    const time = new Date(holder.since).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    at("held-by").textContent = this.words.say("held_by", { name: holder.name, time });
    open("hold-dialog");
  }

  looks(queue) {
    at("looks-list").replaceChildren(...queue.needsLook().map((item) => {
      const row = node("li");
      row.append(node("b", "", this.entry(item)), node("span", "m", this.words.say(item.state)), node("span", "", item.message || this.words.say("no_reason")));
      return row;
    }));
    open("looks-dialog");
  }

  entry({ event, about }) {
    if (event.kind === "hold" || event.kind === "release") return this.words.say(`entry_${event.kind}`);
    const done = about.key ? this.words.say(about.key) : about.what;
    const what = about.undo ? `${this.words.say("entry_undo")}, ${done}` : done;
    return this.words.say("entry", { name: about.name, what });
  }
}
