// The last rep, put right: given to whoever it was, or with other faults.

import { at, node } from "./view.js";
import { close, open } from "./dialogs.js";
import { MOST_FAULTS } from "./log.js";

export class Mending {
  constructor(log, words, view) {
    Object.assign(this, { log, words, view, faults: [] });
  }

  draw() {
    const entry = this.log.mendable;
    at("mend").hidden = !entry;
    if (entry) at("not-her").textContent = this.words.say("not_her", { name: entry.before[0].turn.name });
  }

  askWhose() {
    const entry = this.log.mendable;
    this.askWhom(entry.before[0].turn.athlete, entry.what);
  }

  // Everybody at this station, then everybody else of the practice.
  askWhom(athlete, what) {
    const { turns, roster } = this.log.data;
    const others = new Map([...turns, ...(roster || [])].map((one) => [one.athlete, one]).reverse());
    const first = [...others.values()].reverse().filter((one) => one.athlete !== athlete);
    at("whose-title").textContent = this.words.say("whose", { what });
    at("whose-list").replaceChildren(...first.map((one) => this.other(one)));
    open("whose-dialog");
  }

  other(turn) {
    const made = node("button", "tbtn tall", turn.name);
    made.type = "button";
    made.dataset.whose = turn.athlete;
    return made;
  }

  giveTo(athlete) {
    close("whose-dialog");
    this.log.giveTo(athlete);
    const { what, before } = this.log.last;
    return this.words.say("given_to", { name: before[0].turn.name, what });
  }

  askWhat() {
    const { before, seen } = this.log.mendable;
    this.faults = [...seen.faults];
    at("change-title").textContent = this.words.say("change_title", { name: before[0].turn.name });
    this.list();
    open("change-dialog");
  }

  list() {
    const { turn } = this.log.mendable.before[0];
    const faults = Object.entries(this.log.drillOf(turn).faults);
    const groups = this.log.offered(turn).map((point) => {
      const group = node("section", "group");
      const own = faults.filter(([, fault]) => fault.checkpoint === point.key);
      group.append(node("h3", "", point.name), ...own.map(([key]) => this.chip(turn, key)));
      return group;
    });
    at("change-list").replaceChildren(...groups);
  }

  chip(turn, key) {
    const made = this.view.chip(turn, key);
    delete made.dataset.fault;
    made.dataset.mend = key;
    made.classList.toggle("on", this.faults.includes(key));
    made.setAttribute("aria-pressed", String(this.faults.includes(key)));
    return made;
  }

  choose(key) {
    const { faults } = this.log.drillOf(this.log.mendable.before[0].turn);
    if (this.faults.includes(key)) this.faults = this.faults.filter((one) => one !== key);
    else this.faults = [...this.faults.slice(0, MOST_FAULTS - 1), key];
    this.faults.sort((one, other) => faults[one].place - faults[other].place);
    this.list();
    at("change-list").querySelector(`[data-mend="${CSS.escape(key)}"]`).focus();
  }

  change() {
    close("change-dialog");
    this.log.change(this.faults);
    const entry = this.log.last;
    const { turn } = entry.before[0];
    const labels = this.faults.map((key) => this.log.drillOf(turn).faults[key].label);
    entry.what = labels.length ? this.words.list(labels) : this.words.say("good");
    return this.words.say("changed", { name: turn.name, what: entry.what });
  }
}
