// A page that is loaded again: what this device recorded at the practice, put on top of the data. The data holds what the
// server had when it was made; whatever was taken later, or not at all yet, is added here. The order of the day is learned
// from all of it.

import { State } from "./store.js";

const TURNS = ["rep", "set", "look"];
const MENDS = ["watched", "faults", "unsafe", "athlete", "drill"];

// what: event → its words.
export function replay(log, items, what) {
  const stands = standing(items.filter((item) => item.state !== State.REJECTED));
  learnOrder(log, stands);
  const { emit } = log;
  for (const item of stands) {
    log.emit = () => item.uuid;
    if (!isKnown(item, log.data)) apply(log, item.event, what(item.event));
  }
  log.emit = emit;
  log.chosen = [];
}

function apply(log, event, what) {
  if (event.kind === "out_of_practice") log.setState(event.athlete, "out");
  else if (event.kind === "attendance") log.setState(event.athlete, event.state);
  else if (event.kind === "adjustment") adjusted(log, event);
  else if ((event.station || null) === log.data.station) turn(log, event, what);
}

function turn(log, event, what) {
  const [before, { watchOnly }] = [log.line, log];
  const mine = log.data.turns.find((one) => one.athlete === event.athlete && one.drill === event.drill);
  if (!mine) return;
  const { done, watched, faulty, counts } = event;
  if (event.kind === "set") log.logSet(what, [{ turn: mine, done, watched, faulty, fault: Object.keys(counts)[0] || "" }]);
  else {
    log.line = [mine, ...before.filter((one) => one !== mine)];
    log.watchOnly = event.kind === "look";
    log.rep(what, { watched, faults: event.faults, unsafe: Boolean(event.unsafe) });
    log.watchOnly = watchOnly;
    if (event.unsafe) log.toEnd(mine);
    if (!before.includes(mine)) log.line = before;
  }
}

function adjusted(log, { athlete, adjustment, uuid }) {
  for (const one of log.data.turns) {
    if (one.athlete === athlete) one.adjusted = [...one.adjusted.filter(({ key }) => key !== adjustment), { key: adjustment, uuid }];
  }
}

// The data counts it already.
function isKnown(item, data) {
  return Boolean(item.taken) && new Date(item.taken) <= new Date(data.as_of);
}

// Without what was taken back, with what was put right.
function standing(items) {
  const gone = new Set(items.filter((item) => item.event.kind === "void").map((item) => item.event.target));
  const there = items.filter((item) => !gone.has(item.uuid));
  const mended = new Map(there.filter((item) => item.event.kind === "correction").map(({ event }) => [event.target, event]));
  return there.filter((item) => !item.event.target).map((item) => {
    const correction = mended.get(item.uuid) || {};
    const changes = Object.fromEntries(MENDS.filter((name) => name in correction).map((name) => [name, correction[name]]));
    return { ...item, event: { ...item.event, ...changes } };
  });
}

// Whoever went last goes to the end, whoever has not gone keeps the planned place.
function learnOrder(log, items) {
  const last = new Map();
  items.forEach((item, number) => TURNS.includes(item.event.kind) && last.set(item.event.athlete, number));
  log.line.sort((one, other) => (last.get(one.athlete) ?? -1) - (last.get(other.athlete) ?? -1));
}
