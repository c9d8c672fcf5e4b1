// Dialogs of the station page: all faults, what is watched, one athlete, who it was, an unsafe rep, contact that is not
// open, who holds the station, what needs a look.

import { seenFrom } from "./log.js";
import { State } from "./store.js";
import { cardsIn } from "./cards.js";
import { at, clock, node } from "./view.js";

const STANDS = ["left", "right", "behind", "box", "moving"];
const FITS = ["not_at_this_drill", "unknown_checkpoint", "unknown_fault", "fault_not_watched"];

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
  constructor(page) {
    const { log, words, view, queue, app } = page;
    Object.assign(this, { page, log, words, view, queue, app });
    this.repairing = null;
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
    const watched = this.log.focused(turn).map((point) => point.key);
    const gate = this.log.offered(turn).filter((point) => point.gate);
    at("focus-gate").textContent = this.words.say("gate_again", { what: this.words.list(gate.map((point) => point.name)) });
    at("focus-list").replaceChildren(...this.log.offered(turn).map((point) => this.focusRow(point, watched.includes(point.key))));
    at("stand-list").replaceChildren(...STANDS.map((stand) => {
      const made = button(`tbtn${this.log.stand === stand ? " on" : ""}`, this.words.say(`from_${stand}`), { stand });
      made.setAttribute("aria-pressed", String(this.log.stand === stand));
      return made;
    }));
    open("focus-dialog");
  }

  focusRow(point, on) {
    const row = node("li", "choice");
    const seen = seenFrom(point, this.log.stand, this.log.turn.hand);
    const only = button(`tbtn${on ? " on" : ""}`, "", { watch: point.key });
    only.setAttribute("aria-pressed", String(on));
    only.append(node("span", "", point.name), node("span", "m", this.words.say(seen ? (point.gate ? "decides" : point.phase) : "not_seen_here")));
    if (!seen) {
      only.setAttribute("aria-disabled", "true");
      row.append(only);
      return row;
    }
    const also = button("tbtn", this.words.say("also"), { also: point.key });
    also.setAttribute("aria-label", this.words.say("also_label", { what: point.name }));
    row.append(only, also);
    return row;
  }

  athlete(id) {
    const turn = this.log.data.turns.find((one) => one.athlete === id);
    at("athlete-dialog").dataset.athlete = id;
    at("athlete-name").textContent = turn.name;
    const stand = turn.stand && this.words.say(`stand_${turn.stand.replace(" ", "_")}`, { drill: this.view.drillName(turn) });
    at("athlete-stand").textContent = stand ? this.words.say("stand_as_of", { stand, time: clock(this.log.data.as_of) }) : "";
    open("athlete-dialog");
  }

  unsafe(name) {
    at("unsafe-title").textContent = this.words.say("unsafe_title", { name });
    const { safety } = this.log.drillOf(this.log.turn);
    at("unsafe-safety").replaceChildren(...safety.map(({ title, text }) => {
      const line = node("p", "safety-line");
      line.append(node("b", "", `${title}.`), ` ${text}`);
      return line;
    }));
    open("unsafe-dialog");
  }

  contact(turn, how) {
    Object.assign(at("contact-dialog").dataset, { athlete: turn.athlete, how });
    at("contact-title").textContent = this.words.say("contact_title", { name: turn.name, drill: this.view.drillName(turn) });
    open("contact-dialog");
  }

  heldBy(holder) {
    at("held-by").textContent = this.words.say("held_by", { name: holder.name, time: clock(holder.since) });
    open("hold-dialog");
  }

  cards(cards) {
    cardsIn(at("cards-list"), at("cards-fresh"), cards, this.words);
    open("cards-dialog");
  }

  looks() {
    at("looks-list").replaceChildren(...this.queue.needsLook().map((item) => this.look(item)));
    open("looks-dialog");
  }

  look(item) {
    const row = node("li");
    row.append(node("b", "", this.entry(item)), node("span", "m", this.words.say(item.state)), node("span", "", item.message || this.words.say("no_reason")));
    if (item.state === State.REJECTED) row.append(this.repairs(item));
    return row;
  }

  repairs({ uuid, event, reason }) {
    const made = node("div", "row");
    const hows = [event.athlete && "who", FITS.includes(reason) && this.log.data.drills[event.drill] && "fit", "back"];
    made.append(...hows.filter(Boolean).map((how) => button("tbtn", this.words.say(`mend_${how}`), { repair: uuid, how })));
    return made;
  }

  async repair(uuid, how) {
    const item = this.queue.items.find((one) => one.uuid === uuid);
    if (how === "who") {
      this.repairing = item;
      this.page.mending.askWhom(item.event.athlete, this.what(item.event));
      return;
    }
    if (how === "fit") await this.queue.mend(item, fitting(item.event, this.log.data.drills[item.event.drill]));
    else await this.queue.forget([uuid]);
    this.app.flusher.flush();
    this.looks();
  }

  name(athlete) {
    const { turns, roster = [] } = this.log.data;
    const found = turns.find((one) => one.athlete === athlete) || (roster || []).find((one) => one.athlete === athlete);
    return found ? found.name : this.words.say("somebody");
  }

  // What an event says, in words. It holds codes alone, so the names come from the page.
  what(event) {
    if (event.kind === "hold" || event.kind === "release") return this.words.say(`entry_${event.kind}`);
    if (event.kind === "set") return this.words.count("set_done", 1);
    if (event.kind === "attendance") return this.words.say(event.state);
    if (event.kind === "note" || event.kind === "correction") return this.words.say(`entry_${event.kind}`);
    if (event.kind === "adjustment") return this.log.data.adjustments[event.adjustment]?.name || event.adjustment;
    if (event.kind === "out_of_practice") return this.words.say(event.reason);
    if (event.faults && event.faults.length) {
      const drill = this.log.data.drills[event.drill];
      return this.words.list(event.faults.map((key) => drill?.faults[key]?.label || key));
    }
    if (event.unsafe) return this.words.say("unsafe");
    return this.words.say(event.watched && !event.watched.length ? "did_not_see" : "good");
  }

  entry({ event }) {
    if (event.kind === "hold" || event.kind === "release") return this.what(event);
    const about = event.target ? this.queue.items.find((item) => item.uuid === event.target)?.event || event : event;
    const what = event.kind === "void" ? `${this.words.say("entry_undo")}, ${this.what(about)}` : this.what(about);
    return this.words.say("entry", { name: this.name(event.athlete || about.athlete), what });
  }
}

// Only what the drill offers on this page.
function fitting(event, drill) {
  const offered = new Set(drill.checkpoints.map((point) => point.key));
  const content = {};
  for (const name of ["watched", "watch_set"]) if (Array.isArray(event[name])) content[name] = event[name].filter((key) => offered.has(key));
  if (event.faults) content.faults = event.faults.filter((key) => key in drill.faults);
  if (event.counts) {
    const watched = new Set(content.watch_set);
    content.counts = Object.fromEntries(Object.entries(event.counts).filter(([key]) => watched.has(drill.faults[key]?.checkpoint)));
  }
  return content;
}
