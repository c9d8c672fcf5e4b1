// Draws the state of the log. Reads it, changes nothing; every tap is wired in station.js.

import { rail } from "./rail.js";
import { capital } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const MOST_MARKS = 10;
const PLACES = ["carry", "6", "5", "4", "3", "2", "1"];
const OFTEN = 3;
const CHIP = { drop: "dr", plant: "pl" };

export const at = (id) => document.getElementById(id);

export function node(tag, classes = "", text = "") {
  const made = document.createElement(tag);
  if (classes) made.className = classes;
  made.textContent = text;
  return made;
}

export class View {
  constructor(log, words) {
    this.log = log;
    this.words = words;
    this.strips = new Map();
  }

  // What stays as it is while the page is open.
  frame(data, along) {
    at("no-script").hidden = true;
    at("acts").hidden = at("state").hidden = at("menu-open").hidden = at("watch").hidden = false;
    for (const id of ["station-name", "menu-title"]) at(id).textContent = data.name;
    document.title = data.name;
    at("block-name").textContent = data.block ? this.words.say("block", { number: data.block }) : this.words.say("options");
    at("menu-blocks").replaceChildren(...data.blocks.map((block) => this.blockLink(block, data.block)));
    at("menu-blocks").hidden = !data.blocks.length;
    at("menu-let-go").hidden = !data.station;
    at("menu-cards").hidden = !data.cards;
    at("attend").hidden = at("note-row").hidden = !data.marks_attendance;
    at("from-along").hidden = !along;
    at("from-along").textContent = along ? this.words.say("from_along", { time: clock(data.as_of) }) : "";
    const shut = data.turns.filter((turn) => turn.shut && data.drills[turn.drill].risk === "contact");
    if (!along) return;
    at("floor-only").hidden = !data.floor_only;
    at("unopened").hidden = !shut.length;
    at("unopened-names").textContent = this.words.say("unopened", { names: this.words.list(shut.map((turn) => turn.name)) });
  }

  blockLink({ number, starts }, now) {
    const link = node("a", `tbtn${number === now ? " on" : ""}`, this.words.say("block_at", { number, time: starts }));
    link.href = `?block=${number}`;
    if (number === now) link.setAttribute("aria-current", "page");
    return link;
  }

  draw() {
    const { turn } = this.log;
    const sets = Boolean(turn) && (this.log.round || this.log.drillOf(turn).unit === "set") && !this.log.watchOnly;
    at("by-turn").hidden = !turn || this.log.drillOf(turn).unit === "set" || this.log.watchOnly;
    at("by-turn").textContent = this.words.say(this.log.round ? "back_to_turns" : "whole_round");
    at("head").hidden = !turn;
    at("none").hidden = Boolean(turn);
    at("area").hidden = at("faults").hidden = !turn || sets;
    at("set").hidden = !sets;
    at("unsafe").hidden = !turn;
    at("skip").hidden = at("did-not-see").hidden = !turn || sets;
    if (turn) {
      this.head(turn, sets);
      this.area();
      this.strip(turn);
      this.rail(turn);
    }
    this.queue();
    this.undo();
  }

  drillName(turn) {
    const drill = this.log.drillOf(turn).name;
    return turn.say_steps ? this.words.say("steps", { drill, steps: turn.steps }) : drill;
  }

  // A set is everybody's at once: there the drill is the headline, and only an unsafe rep is one athlete's.
  head(turn, sets) {
    at("head").classList.toggle("for-set", sets);
    at("athlete").textContent = sets ? this.drillName(turn) : turn.name;
    at("drill").textContent = sets ? "" : this.drillName(turn);
    at("today").hidden = sets;
    at("unsafe").textContent = this.words.say(sets ? "unsafe_of" : "unsafe", { name: turn.name });
    const watched = this.log.watched(turn);
    at("focus-names").textContent = this.words.list(this.log.focused(turn).map((point) => point.name));
    at("cue").textContent = this.cue(turn, watched);
    this.today(turn);
  }

  // What to say of the last fault seen; before one was seen, what good looks like.
  cue(turn, watched) {
    const blind = this.log.blind(turn);
    if (blind.length) return this.words.say("blind", { name: turn.name, what: this.words.list(blind.map((point) => point.name)) });
    const said = turn.lastFault && this.log.drillOf(turn).faults[turn.lastFault].cue;
    if (said) return this.words.say("said_cue", { cue: said });
    return watched.length ? this.words.say("look_for", { good: watched[0].good }) : "";
  }

  today(turn) {
    at("today-count").textContent = this.words.count("reps", turn.done);
    const marks = turn.marks.slice(-MOST_MARKS);
    const drawn = document.createElementNS(SVG, "svg");
    drawn.setAttribute("class", "dots");
    drawn.setAttribute("viewBox", `0 0 ${marks.length * 26} 28`);
    drawn.setAttribute("width", marks.length * 26);
    drawn.setAttribute("height", 28);
    drawn.setAttribute("role", "img");
    const words = marks.map((mark) => this.words.say(`mark_${mark.replace(" ", "_")}`));
    drawn.setAttribute("aria-label", this.words.say("marks", { marks: words.join(", ") }));
    marks.forEach((mark, place) => drawn.append(dot(mark, place * 26 + 13)));
    at("today-marks").replaceChildren(...(marks.length ? [drawn] : []));
  }

  chosenNames() {
    return this.words.list(this.log.chosen.map((key) => this.log.fault(key).label));
  }

  // The focus cannot be seen of this athlete from where the logger stands.
  isBlind() {
    const { turn } = this.log;
    return this.log.focused(turn).length > 0 && !this.log.watched(turn).length;
  }

  area() {
    const { chosen } = this.log;
    const blind = !chosen.length && this.isBlind();
    const phase = chosen.length ? this.log.fault(chosen[0]).phase : "";
    at("area").className = ["clean", chosen.length ? "withfault" : "", CHIP[phase] || ""].filter(Boolean).join(" ");
    at("area-what").textContent = chosen.length ? capital(this.chosenNames()) : this.words.say(blind ? "did_it" : "good");
    const hint = blind ? "blind_hint" : ["good_hint", "fault_hint", "faults_hint"][chosen.length];
    at("area-hint").textContent = this.words.say(hint);
  }

  // Each drill has one strip a hand, drawn by the server; what was chosen is lit.
  strip(turn) {
    const cells = this.log.chosen.flatMap((key) => this.log.fault(key).cells).map(String);
    const svg = this.stripOf(turn);
    if (at("strip").firstChild !== svg) at("strip").replaceChildren(svg);
    svg.classList.toggle("at-contact", cells.includes("contact"));
    svg.querySelectorAll(".c,.d,.p").forEach((cell, place) => cell.classList.toggle("on", cells.includes(PLACES[place])));
    svg.querySelectorAll("text").forEach((text) => {
      const on = cells.includes(text.textContent);
      text.setAttribute("class", on ? (Number(text.textContent) > 3 ? "on-drop" : "on-plant") : "");
    });
  }

  stripOf(turn) {
    const key = `${turn.drill} ${turn.hand}`;
    if (!this.strips.has(key)) {
      const read = new DOMParser().parseFromString(this.log.drillOf(turn).strips[turn.hand], "text/html");
      this.strips.set(key, document.importNode(read.querySelector("svg"), true));
    }
    return this.strips.get(key);
  }

  rail(turn) {
    const drill = this.log.drillOf(turn);
    const offered = new Set(this.log.offered(turn).map((point) => point.key));
    const focused = new Set(this.log.focused(turn).map((point) => point.key));
    const columns = Object.values(drill.columns).map((keys) => keys.filter((key) => offered.has(drill.faults[key].checkpoint)));
    const watched = (key) => focused.has(drill.faults[key].checkpoint);
    const drawn = rail(columns, { watched, often: (key) => shown(turn, key), chosen: this.log.chosen }).map(({ keys, wide, more }) => {
      const column = node("div", wide > 1 ? `wide-${wide}` : "");
      column.append(...keys.map((key) => this.chip(turn, key)));
      if (more) column.append(this.moreChip());
      return column;
    });
    at("rail").replaceChildren(...drawn);
  }

  chip(turn, key) {
    const fault = this.log.drillOf(turn).faults[key];
    const on = this.log.chosen.includes(key);
    const often = turn.faults[key] || 0;
    const made = node("button", ["fchip", CHIP[fault.phase] || "ca", on ? "on" : "", shown(turn, key) >= OFTEN ? "often" : ""].filter(Boolean).join(" "));
    made.type = "button";
    made.dataset.fault = key;
    made.setAttribute("aria-pressed", String(on));
    made.append(node("span", "", fault.label), node("span", "of", often ? `${often}×` : ""));
    return made;
  }

  moreChip() {
    const made = node("button", "fchip ca more");
    made.type = "button";
    made.id = "more-faults";
    made.append(node("span", "", this.words.say("more_faults")));
    return made;
  }

  queue() {
    const { line, kept } = this.log;
    const rows = [
      ...line.map((turn, place) => this.waiting(turn, place === 0)),
      ...kept.map((turn) => this.keptBack(turn)),
    ];
    at("line").replaceChildren(...rows);
  }

  waiting(turn, now) {
    const row = node("li", now ? "now" : "");
    const pick = node("button", "pick");
    pick.type = "button";
    pick.dataset.pick = turn.athlete;
    if (now) pick.setAttribute("aria-current", "true");
    const said = [turn.state === "late" ? "late" : now ? "now" : "", turn.shut ? "shut" : ""].filter(Boolean);
    const small = node("span", "m", [this.words.count("reps", turn.done), ...said.map((key) => this.words.say(key))].join(", "));
    pick.append(node("span", "", turn.name), small);
    row.append(pick, this.about(turn));
    return row;
  }

  keptBack(turn) {
    const row = node("li", "kept");
    const words = node("span", "pick");
    const why = turn.held ? "held" : turn.state;
    words.append(node("span", "", turn.name), node("span", "m", this.words.say(why)));
    row.append(words);
    if (!turn.held && turn.state === "absent" && this.log.data.marks_attendance) row.append(this.about(turn));
    return row;
  }

  about(turn) {
    const made = node("button", "about", "⋯");
    made.type = "button";
    made.dataset.about = turn.athlete;
    made.setAttribute("aria-label", this.words.say("about", { name: turn.name }));
    return made;
  }

  undo() {
    const entry = this.log.last;
    at("undo").setAttribute("aria-disabled", String(!entry));
    at("undo-words").textContent = !entry
      ? this.words.say("nothing_to_undo")
      : entry.before.length > 1
        ? this.words.say("undo_set")
        : this.words.say("undo", { what: entry.what, name: entry.before[0].turn.name });
  }
}

// How often this athlete showed it before this page was opened. It stands still while one logs: a fault that moved under
// the thumb would be tapped for another.
function shown(turn, key) {
  return (turn.usual[key] || 0) + (turn.before?.[key] || 0);
}

export function clock(moment) {
  return new Date(moment).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}

function dot(mark, x) {
  const faulty = mark === "faulty";
  const made = document.createElementNS(SVG, faulty ? "path" : "circle");
  made.setAttribute("class", mark.replace("not watched", "unwatched"));
  if (faulty) {
    made.setAttribute("d", `M${x - 11} 4h22l-11 20z`);
    made.setAttribute("stroke-width", 2.4);
  } else {
    made.setAttribute("cx", x);
    made.setAttribute("cy", 14);
    made.setAttribute("r", mark === "good" ? 10 : 4);
  }
  return made;
}
