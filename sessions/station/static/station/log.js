// What happens at a station, without a page: whose turn it is, what is chosen, what becomes of a tap. Every entry is
// remembered so that the last can be taken back. What it changes is shown once the page has stored what it emitted.

export const MOST_FAULTS = 2;
export const MOST_WATCHED = 2;

export class Log {
  // emit: (kind, content, about) → uuid of the event. entry.seen: what a single rep was recorded as, so that it can be mended.
  constructor(data, emit) {
    this.emit = emit;
    this.watchOnly = false;
    this.round = false;
    this.focus = new Map();
    this.stand = "";
    this.reset(data);
  }

  // turn.before: the faults that were seen before this page was opened.
  reset(data) {
    this.data = data;
    this.line = data.turns.filter(isThere);
    for (const turn of data.turns) turn.before = { ...turn.faults };
    this.chosen = [];
    this.entries = [];
  }

  get turn() {
    return this.line[0] || null;
  }

  drillOf(turn) {
    return this.data.drills[turn.drill];
  }

  get kept() {
    return this.data.turns.filter((turn) => !isThere(turn));
  }

  // --- what is watched ---
  offered(turn) {
    return this.drillOf(turn).checkpoints.filter((point) => !turn.steps || point.from_steps <= turn.steps);
  }

  // What the focus is on; of that, what can be seen of this athlete from where the logger stands.
  focused(turn) {
    const keys = this.focus.get(turn.drill) || this.drillOf(turn).gate;
    return this.offered(turn).filter((point) => keys.includes(point.key));
  }

  watched(turn) {
    return this.focused(turn).filter((point) => seenFrom(point, this.stand, turn.hand));
  }

  blind(turn) {
    return this.focused(turn).filter((point) => !seenFrom(point, this.stand, turn.hand));
  }

  watchOnlyThis(key) {
    this.focus.set(this.turn.drill, [key]);
  }

  watchAlso(key) {
    const keys = this.focused(this.turn).map((point) => point.key);
    if (keys.includes(key)) this.focus.set(this.turn.drill, keys.length > 1 ? keys.filter((one) => one !== key) : keys);
    else this.focus.set(this.turn.drill, [...keys.slice(1 - MOST_WATCHED), key]);
  }

  watchGate() {
    this.focus.delete(this.turn.drill);
  }

  // --- what was seen ---
  fault(key) {
    return this.drillOf(this.turn).faults[key];
  }

  choose(key) {
    if (this.chosen.includes(key)) this.chosen = this.chosen.filter((one) => one !== key);
    else this.chosen = [...this.chosen.slice(0, MOST_FAULTS - 1), key];
    this.chosen.sort((one, other) => this.fault(one).place - this.fault(other).place);
  }

  keys() {
    return this.watched(this.turn).map((point) => point.key);
  }

  // Good, or what is chosen. An unsafe fault makes the rep unsafe.
  log(what) {
    const unsafe = this.chosen.some((key) => this.fault(key).unsafe);
    return this.rep(what, { watched: this.keys(), faults: this.chosen, unsafe });
  }

  didNotSee(what) {
    return this.rep(what, { watched: [], faults: [], unsafe: false });
  }

  unsafe(what) {
    return this.rep(what, { watched: this.keys(), faults: this.chosen, unsafe: true });
  }

  rep(what, { watched, faults, unsafe }) {
    const turn = this.turn;
    const content = { athlete: turn.athlete, drill: turn.drill, watched, faults: [...faults], ...this.place() };
    if (unsafe) content.unsafe = true;
    const entry = this.begin(what, [turn]);
    entry.uuids.push(this.emit(this.watchOnly ? "look" : "rep", content, { name: turn.name, what }));
    entry.unsafe = unsafe;
    if (!this.watchOnly) entry.seen = { watched, faults: [...faults], unsafe };
    turn.lastFault = faults[0] || turn.lastFault;
    if (!this.watchOnly) this.count(turn, 1, [markOf(this.drillOf(turn), watched, faults, unsafe)], tally(faults));
    this.chosen = [];
    if (!unsafe) this.toEnd(turn);
    return entry;
  }

  // rows: [{ turn, done, watched, faulty, fault }]; only those who did something make an event.
  logSet(what, rows) {
    const doing = rows.filter((row) => row.done > 0);
    const entry = this.begin(what, doing.map((row) => row.turn));
    for (const { turn, done, watched, faulty, fault } of doing) {
      const watch = watched ? this.watched(turn).map((point) => point.key) : [];
      const counts = fault && faulty ? { [fault]: faulty } : {};
      const content = { athlete: turn.athlete, drill: turn.drill, done, watch_set: watch, watched, faulty, counts, ...this.place() };
      entry.uuids.push(this.emit("set", content, { name: turn.name, what }));
      this.count(turn, done, setMarks(done, watched, faulty), counts);
    }
    return entry;
  }

  // Whoever may not read what was seen gets the number of turns and no more.
  count(turn, done, marks, faults) {
    turn.done += done;
    if (!this.data.reads_marks) return;
    turn.marks = [...turn.marks, ...marks];
    turn.faults = { ...turn.faults };
    for (const [key, times] of Object.entries(faults)) turn.faults[key] = (turn.faults[key] || 0) + times;
  }

  place() {
    return this.data.station ? { station: this.data.station } : {};
  }

  begin(what, turns) {
    const before = turns.map((turn) => ({ turn, done: turn.done, marks: turn.marks, faults: turn.faults, lastFault: turn.lastFault }));
    const entry = { what, uuids: [], before, line: [...this.line], unsafe: false };
    this.entries.push(entry);
    return entry;
  }

  get last() {
    return this.entries[this.entries.length - 1] || null;
  }

  undo() {
    const entry = this.entries.pop();
    if (!entry) return null;
    for (const uuid of entry.uuids) this.emit("void", { target: uuid }, { name: entry.before[0].turn.name, what: entry.what, undo: true });
    for (const { turn, ...was } of entry.before) Object.assign(turn, was);
    this.line = entry.line.filter(isThere);
    this.chosen = [];
    return entry;
  }

  // --- mending the last rep: the event stays, a correction says what is to stand instead ---
  get mendable() {
    return this.last && this.last.seen ? this.last : null;
  }

  // Whoever it was instead. At another drill it keeps what that drill offers, as on the server.
  giveTo(athlete) {
    const entry = this.mendable;
    const turn = this.turnOf(athlete, entry.before[0].turn);
    const { faults, checkpoints } = this.drillOf(turn);
    const offered = new Set(checkpoints.map((point) => point.key));
    const keeps = ({ watched, faults: seen }) => ({ watched: watched.filter((key) => offered.has(key)), faults: seen.filter((key) => key in faults) });
    this.mend(entry, turn, { ...entry.seen, ...keeps(entry.seen) }, { athlete, drill: turn.drill });
    this.line = this.line.filter((one) => one !== turn);
    if (isThere(turn)) this.line.push(turn);
  }

  // Somebody of the roster who has no place here gets one as soon as a rep turns out to be theirs.
  turnOf(athlete, like) {
    const there = this.data.turns.filter((one) => one.athlete === athlete);
    const turn = there.find((one) => one.drill === like.drill) || there[0];
    if (turn) return turn;
    const { name, hand } = this.data.roster.find((one) => one.athlete === athlete);
    const { drill, steps, say_steps } = like;
    const nothing = { state: "", stand: "", shut: false, held: false, done: 0, marks: [], faults: {}, before: {}, usual: {}, adjusted: [] };
    const made = { athlete, name, hand, drill, steps, say_steps, ...nothing };
    this.data.turns.push(made);
    return made;
  }

  change(faults) {
    const entry = this.mendable;
    const turn = entry.before[0].turn;
    const unsafe = entry.seen.unsafe || faults.some((key) => this.drillOf(turn).faults[key].unsafe);
    this.mend(entry, turn, { watched: entry.seen.watched, faults, unsafe }, { watched: entry.seen.watched, faults, unsafe });
  }

  // One correction stands at a time: a second one takes the first back and says all of it.
  mend(entry, turn, seen, change) {
    const about = { name: turn.name, key: "entry_correction" };
    const [{ turn: had, ...was }] = entry.before;
    Object.assign(had, was);
    if (entry.correction) this.emit("void", { target: entry.correction }, about);
    entry.change = { ...entry.change, ...change };
    entry.correction = this.emit("correction", { target: entry.uuids[0], ...entry.change }, about);
    if (had !== turn) this.line = entry.line.filter(isThere);
    entry.before = [{ turn, done: turn.done, marks: turn.marks, faults: turn.faults, lastFault: turn.lastFault }];
    entry.seen = seen;
    turn.lastFault = seen.faults[0] || turn.lastFault;
    this.count(turn, 1, [markOf(this.drillOf(turn), seen.watched, seen.faults, seen.unsafe)], tally(seen.faults));
    this.chosen = [];
  }

  // --- notes and adjustments ---
  note(athlete, text, reader) {
    this.emit("note", { athlete, text, reader }, this.about(athlete, "entry_note"));
  }

  // On and off by turns; true if it is in use now.
  adjust(turn, key) {
    const used = turn.adjusted.find((one) => one.key === key);
    const about = { name: turn.name, what: this.data.adjustments[key].name };
    if (used) this.emit("void", { target: used.uuid }, { ...about, undo: true });
    const made = used ? null : { key, uuid: this.emit("adjustment", { athlete: turn.athlete, drill: turn.drill, adjustment: key }, about) };
    const others = turn.adjusted.filter((one) => one !== used);
    for (const one of this.data.turns) if (one.athlete === turn.athlete) one.adjusted = made ? [...others, made] : others;
    return Boolean(made);
  }

  // --- the queue ---
  pick(athlete) {
    const turn = this.line.find((one) => one.athlete === athlete);
    if (!turn) return;
    if (turn !== this.turn) this.chosen = [];
    this.line = [turn, ...this.line.filter((one) => one !== turn)];
  }

  skip() {
    if (this.turn) this.toEnd(this.turn);
    this.chosen = [];
  }

  toEnd(turn) {
    this.line = [...this.line.filter((one) => one !== turn), turn];
  }

  attend(athlete, state) {
    this.emit("attendance", { athlete, state }, this.about(athlete, state));
    this.setState(athlete, state);
  }

  takeOut(athlete, reason) {
    this.emit("out_of_practice", { athlete, reason }, this.about(athlete, reason));
    this.setState(athlete, "out");
  }

  about(athlete, key) {
    return { name: this.data.turns.find((turn) => turn.athlete === athlete).name, key };
  }

  setState(athlete, state) {
    const turn = this.data.turns.find((one) => one.athlete === athlete);
    if (!turn) return;
    if (this.turn === turn) this.chosen = [];
    turn.state = state;
    if (!isThere(turn)) this.line = this.line.filter((one) => one !== turn);
    else if (!this.line.includes(turn)) this.line.push(turn);
  }
}

// Looking towards the box, the runner's right is the logger's right. The top hand is the right hand of a right-hander.
export function seenFrom(point, stand, hand) {
  if (!stand || stand === "moving" || !point.seen_from.length) return true;
  const side = stand === "left" || stand === "right";
  const places = {
    "top-hand-side": stand === (hand === "left" ? "left" : "right"),
    side,
    front: stand === "box",
    behind: stand === "behind",
    "beside-the-box": stand === "box",
    anywhere: true,
    "ear-and-eye": side || stand === "box",
  };
  return point.seen_from.some((place) => places[place]);
}

export function isThere(turn) {
  return !turn.held && !["out", "absent", "left"].includes(turn.state);
}

function tally(faults) {
  return Object.fromEntries(faults.map((key) => [key, 1]));
}

// A fault outside the focus was also noticed and does not make the rep faulty.
function markOf(drill, watched, faults, unsafe) {
  if (unsafe || faults.some((key) => watched.includes(drill.faults[key].checkpoint))) return "faulty";
  return watched.length ? "good" : "not watched";
}

function setMarks(done, watched, faulty) {
  return [
    ...Array(faulty).fill("faulty"),
    ...Array(watched - faulty).fill("good"),
    ...Array(done - watched).fill("not watched"),
  ];
}
