// The page of one station: wires taps and keys to the log, the log to the queue of events, and the queue to the state line.

import { device, makeEvent } from "./events.js";
import { EventQueue, Trouble, poster } from "./queue.js";
import { Log } from "./log.js";
import { Words } from "./words.js";
import { View, at } from "./view.js";
import { Dialogs, close, open } from "./dialogs.js";
import { Sets } from "./sets.js";
import { Mending } from "./mending.js";
import { Beside } from "./beside.js";

const SECOND_TOUCH_MS = 1500;
const THUMB = "sixmark-thumb";

const data = JSON.parse(at("station-data").textContent);
const words = new Words(data.words);
const me = device(words.say("this_device"));
const queue = new EventQueue({ post: poster(data.events_url), device: me, changed: drawState });
const log = new Log(data, (kind, content, about) => {
  if (kind === "void" && queue.forget(content.target)) return null;
  const event = makeEvent(kind, content);
  queue.add(event, about);
  return event.uuid;
});
const view = new View(log, words);
const dialogs = new Dialogs(log, words, view);
const sets = new Sets(log, words);
const mending = new Mending(log, words, view);
const beside = new Beside(log, words);
let deaf = 0;

function draw() {
  view.draw();
  sets.draw();
  mending.draw();
  beside.draw();
}

// --- the state line ---
function drawState() {
  const { tablet, server, look } = queue.counts();
  at("on-tablet").textContent = words.count("on_tablet", tablet);
  at("on-server").textContent = words.count("on_server", server);
  at("looks").hidden = !look;
  at("looks-words").textContent = words.count("looks", look);
  at("trouble").hidden = queue.trouble === Trouble.NONE;
  const said = queue.trouble ? words.say(queue.trouble) : "";
  if (at("trouble-words").textContent !== said) at("trouble-words").textContent = said;
}

function drawClock() {
  if (!data.ends) return;
  const left = Math.ceil((new Date(data.ends) - new Date()) / 60000);
  const far = left > 12 * 60 || left < -12 * 60;
  at("left").textContent = far ? "" : left > 0 ? `, ${words.count("minutes_left", left)}` : `, ${words.say("time_over")}`;
}

// --- taps ---
// The second touch of one tap must not become the next athlete's rep. Choosing something on purpose ends the wait.
function startWaiting() {
  clearTimeout(deaf);
  for (const id of ["area", "did-not-see"]) at(id).setAttribute("aria-disabled", "true");
  deaf = setTimeout(stopWaiting, SECOND_TOUCH_MS);
}

function stopWaiting() {
  clearTimeout(deaf);
  deaf = 0;
  for (const id of ["area", "did-not-see"]) at(id).removeAttribute("aria-disabled");
}

function said(entry, name) {
  const next = log.turn && log.turn.name !== name ? log.turn.name : "";
  const text = words.say(next ? "logged_next" : "logged", { name, what: entry.what, next });
  at("said").textContent = text;
}

function logRep(how) {
  if (!log.turn || (deaf && how !== "unsafe")) return;
  const { name } = log.turn;
  const seen = log.chosen.length ? view.chosenNames() : words.say("good");
  const entry = { seen: () => log.log(seen), didNotSee: () => log.didNotSee(words.say("did_not_see")), unsafe: () => log.unsafe(words.say("unsafe")) }[how]();
  startWaiting();
  draw();
  said(entry, name);
  if (entry.unsafe) dialogs.unsafe(name);
}

function logSet() {
  const rows = sets.doing();
  if (!rows.length || deaf) return;
  const entry = log.logSet(words.count("set_done", rows.length), rows);
  sets.clear();
  startWaiting();
  draw();
  said(entry, words.list(rows.map((row) => row.turn.name)));
}

function undo() {
  const entry = log.undo();
  if (!entry) return;
  close("unsafe-dialog");
  stopWaiting();
  draw();
  at("said").textContent = words.say("undone", { what: entry.what, name: words.list(entry.before.map(({ turn }) => turn.name)) });
}

function skip() {
  log.skip();
  draw();
}

function goOn() {
  close("unsafe-dialog");
  skip();
  stopWaiting();
}

function choose(key, chip) {
  if (chip.closest("#which-dialog")) {
    sets.setFault(key);
    close("which-dialog");
  } else {
    log.choose(key);
    stopWaiting();
  }
  const inList = chip.closest("#all-faults");
  draw();
  if (inList) close("all-faults");
  else at("rail").querySelector(`[data-fault="${CSS.escape(key)}"]`)?.focus();
}

function mark(kind, value) {
  const id = at("athlete-dialog").dataset.athlete;
  close("athlete-dialog");
  if (kind === "state") log.attend(id, value);
  else log.takeOut(id, value);
  draw();
  if (value === "injured") open("injured-dialog");
}

function watch(change) {
  change();
  close("focus-dialog");
  draw();
}

function takeStation() {
  close("hold-dialog");
  queue.add(makeEvent("hold", { station: data.station, takes_over: data.holder.device }));
}

// What changes the page and says so in its line of status.
function tell(sentence) {
  draw();
  at("said").textContent = sentence;
}

function onlyWatch() {
  close("hold-dialog");
  log.watchOnly = true;
  at("watching-only").hidden = false;
  draw();
}

function letGo() {
  queue.add(makeEvent("release", { station: data.station }));
  at("menu-let-go").disabled = true;
  close("menu");
}

// --- wiring ---
const TAPS = {
  area: () => logRep("seen"),
  "did-not-see": () => logRep("didNotSee"),
  unsafe: () => logRep("unsafe"),
  skip,
  undo,
  "unsafe-undo": undo,
  "unsafe-go-on": goOn,
  "unsafe-out": () => {
    close("unsafe-dialog");
    dialogs.athlete(log.turn.athlete);
  },
  focus: () => dialogs.focus(),
  "focus-gate": () => watch(() => log.watchGate()),
  "more-faults": () => dialogs.allFaults(),
  "set-log": logSet,
  looks: () => dialogs.looks(queue),
  "looks-again": () => {
    close("looks-dialog");
    queue.sendAgain();
  },
  "send-again": () => queue.sendAgain(),
  "hold-take": takeStation,
  "hold-watch": onlyWatch,
  "menu-let-go": letGo,
  "not-her": () => mending.askWhose(),
  "change-seen": () => mending.askWhat(),
  "change-keep": () => tell(mending.change()),
  adjust: () => beside.askAdjustment(),
  "note-open": () => beside.askNote(at("athlete-dialog").dataset.athlete),
  "note-keep": () => {
    const kept = beside.keepNote();
    if (kept) tell(kept);
  },
  thumb: () => setThumb(localStorage.getItem(THUMB) !== "left"),
};

const MARKED = {
  fault: (value, element) => choose(value, element),
  pick: (value) => {
    log.pick(value);
    stopWaiting();
    draw();
  },
  about: (value) => dialogs.athlete(value),
  watch: (value) => watch(() => log.watchOnlyThis(value)),
  also: (value) => watch(() => log.watchAlso(value)),
  state: (value) => mark("state", value),
  reason: (value) => mark("reason", value),
  each: (value) => {
    sets.all(Number(value));
    sets.draw();
    at("set-pad").querySelector(`[data-each="${value}"]`).focus();
  },
  step: (name, element) => {
    const { athlete, by } = element.dataset;
    sets.change(athlete, name, Number(by));
    sets.draw();
    at("set-rows").querySelector(`[data-step="${name}"][data-by="${by}"][data-athlete="${athlete}"]`).focus();
  },
  saw: (value) => {
    sets.sawAll(value);
    sets.draw();
    at("set-rows").querySelector(`[data-saw="${value}"]`).focus();
  },
  whose: (value) => {
    stopWaiting();
    tell(mending.giveTo(value));
  },
  mend: (value) => mending.choose(value),
  adjustment: (value) => tell(beside.adjust(value)),
  which: (value) => sets.askWhich(value, view),
};

document.addEventListener("click", (event) => {
  const element = event.target.closest("button");
  if (!element || element.getAttribute("aria-disabled") === "true") return;
  if (element.id in TAPS) TAPS[element.id]();
  const name = Object.keys(MARKED).find((key) => key in element.dataset);
  if (name) MARKED[name](element.dataset[name], element);
});

// Keys only while the large area has the focus, so that they take nothing from a screen reader or a text field.
const KEYS = { 1: () => logRep("seen"), 0: () => logRep("didNotSee"), u: undo, n: skip };
at("area").addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || !(event.key in KEYS)) return;
  event.preventDefault();
  KEYS[event.key]();
});

function setThumb(left) {
  localStorage.setItem(THUMB, left ? "left" : "right");
  document.querySelector(".tab").classList.toggle("left-thumb", left);
}

window.addEventListener("beforeunload", (event) => {
  if (queue.onlyHere().length) event.preventDefault();
});
window.addEventListener("online", () => queue.trouble === Trouble.OFFLINE && queue.flush());
document.addEventListener("visibilitychange", () => !document.hidden && queue.trouble === Trouble.OFFLINE && queue.flush());

// --- start ---
at("no-script").hidden = true;
at("acts").hidden = at("state").hidden = at("menu-open").hidden = at("watch").hidden = false;
setThumb(localStorage.getItem(THUMB) === "left");
draw();
drawState();
drawClock();
setInterval(drawClock, 15000);
if (data.station && log.turn) {
  if (data.holder && data.holder.device !== me.uuid) dialogs.heldBy(data.holder);
  else if (!data.holder) queue.add(makeEvent("hold", { station: data.station }));
}
