// A set for everybody in line who does the drill: one number for all, then who was seen, then the exceptions. "All did 5" says
// nothing about what was watched: a rep is seen only where the logger says so.

import { at, node } from "./view.js";
import { open } from "./dialogs.js";

const PAD = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12];
const MOST = 99;
const NAMES = ["did", "watched", "faulty"];

export class Sets {
  constructor(log, words) {
    Object.assign(this, { log, words });
    this.rows = new Map();
    this.each = 0;
    this.asking = null;
  }

  turns() {
    return this.log.data.turns.filter((turn) => this.log.line.includes(turn) && turn.drill === this.log.turn.drill);
  }

  row(turn) {
    if (!this.rows.has(turn)) this.rows.set(turn, { turn, done: this.each, watched: 0, faulty: 0, fault: "" });
    return this.rows.get(turn);
  }

  all(count) {
    this.each = count;
    for (const turn of this.turns()) Object.assign(this.row(turn), { done: count, watched: 0, faulty: 0, fault: "" });
  }

  // done ≥ watched ≥ faulty, whichever of them is moved.
  change(athlete, name, by) {
    const row = this.of(athlete);
    const key = name === "did" ? "done" : name;
    row[key] = Math.min(MOST, Math.max(0, row[key] + by));
    if (key === "faulty") row.watched = Math.max(row.watched, row.faulty);
    if (key !== "done") row.done = Math.max(row.done, row.watched);
    row.watched = Math.min(row.watched, row.done);
    row.faulty = Math.min(row.faulty, row.watched);
    if (!row.faulty) row.fault = "";
  }

  sawAll(athlete) {
    const row = this.of(athlete);
    row.watched = row.done;
  }

  of(athlete) {
    return this.row(this.turns().find((turn) => turn.athlete === athlete));
  }

  doing() {
    return this.turns().map((turn) => this.row(turn)).filter((row) => row.done > 0);
  }

  clear() {
    this.rows.clear();
    this.each = 0;
  }

  draw() {
    if (at("set").hidden) return;
    at("set-pad").replaceChildren(...PAD.map((count) => this.padButton(count)));
    at("set-rows").replaceChildren(...this.turns().map((turn) => this.drawRow(this.row(turn))));
    const doing = this.doing().length;
    at("set-log").setAttribute("aria-disabled", String(!doing));
    at("set-log").textContent = doing ? this.words.count("athletes", doing) : this.words.say("nobody_did");
  }

  padButton(count) {
    const made = node("button", `tbtn${count === this.each ? " on" : ""}`, String(count));
    made.type = "button";
    made.dataset.each = count;
    made.setAttribute("aria-pressed", String(count === this.each));
    made.setAttribute("aria-label", this.words.count("all_did", count));
    return made;
  }

  drawRow(row) {
    const made = node("li", "set-row");
    made.append(this.who(row), ...NAMES.map((name) => this.stepper(row, name)));
    const which = node("button", "tbtn which", this.faultName(row));
    which.type = "button";
    which.dataset.which = row.turn.athlete;
    which.hidden = !row.faulty;
    which.setAttribute("aria-label", `${this.words.say("which_fault_of", { name: row.turn.name })} ${row.fault ? this.faultName(row) : ""}`.trim());
    made.append(which);
    return made;
  }

  who(row) {
    const made = node("div", "whose");
    const saw = node("button", "tbtn", this.words.say("saw_all"));
    saw.type = "button";
    saw.dataset.saw = row.turn.athlete;
    saw.setAttribute("aria-label", this.words.say("saw_all_of", { name: row.turn.name }));
    saw.setAttribute("aria-disabled", String(row.watched === row.done));
    made.append(node("b", "", row.turn.name), saw);
    return made;
  }

  faultName(row) {
    return row.fault ? this.log.drillOf(row.turn).faults[row.fault].label : this.words.say("which_fault");
  }

  stepper(row, name) {
    const value = name === "did" ? row.done : row[name];
    const made = node("div", "stepper");
    const [less, more] = [["fewer", -1, "−"], ["more", 1, "+"]].map(([key, by, sign]) => {
      const step = node("button", "tbtn", sign);
      step.type = "button";
      Object.assign(step.dataset, { step: name, by, athlete: row.turn.athlete });
      step.setAttribute("aria-label", this.words.say(`${key}_${name}`, { name: row.turn.name }));
      return step;
    });
    made.append(node("span", "m", this.words.say(name)), less, node("b", "", String(value)), more);
    return made;
  }

  askWhich(athlete, view) {
    const { turn } = this.of(athlete);
    this.asking = athlete;
    at("which-title").textContent = this.words.say("which_fault_of", { name: turn.name });
    const watched = this.log.watched(turn).map((point) => point.key);
    const faults = Object.entries(this.log.drillOf(turn).faults).sort(([, one], [, other]) => one.place - other.place);
    const inside = faults.filter(([, fault]) => watched.includes(fault.checkpoint));
    at("which-list").replaceChildren(...inside.map(([key]) => view.chip(turn, key)));
    open("which-dialog");
  }

  setFault(key) {
    this.of(this.asking).fault = key;
  }
}
