// The page of one station: a tap changes the log, what it emitted is stored, and only then does the screen say so.

import { makeEvent } from "./events.js";
import { Log } from "./log.js";
import { Queue } from "./queue.js";
import { View, at } from "./view.js";
import { Dialogs, close, open } from "./dialogs.js";
import { Sets } from "./sets.js";
import { Mending } from "./mending.js";
import { Beside } from "./beside.js";
import { Status } from "./status.js";
import { feel, stayAwake } from "./feel.js";
import { replay } from "./replay.js";
import { wire } from "./taps.js";

const SECOND_TOUCH_MS = 1500;

export async function stationPage(app, data, { along }) {
  await new Station(app, data, along).start();
}

class Station {
  constructor(app, data, along) {
    Object.assign(this, { app, data, along, words: app.words });
    this.asLoaded = structuredClone(data);
    this.queue = new Queue({ store: app.events, club: app.club, practice: data.practice, by: data.person });
    this.log = new Log(data, (kind, content) => this.emitted(kind, content));
    this.status = new Status(this);
    this.view = new View(this.log, this.words);
    this.dialogs = new Dialogs(this);
    this.sets = new Sets(this.log, this.words);
    this.mending = new Mending(this.log, this.words, this.view);
    this.beside = new Beside(this.log, this.words);
    Object.assign(this, { pending: [], dropped: [], deaf: 0, storing: Promise.resolve(), allowed: new Set() });
  }

  async start() {
    const { flusher } = this.app;
    await this.queue.read();
    this.replay();
    Object.assign(flusher, { practice: this.data.practice, heard: (hello) => this.heard(hello), settled: (count) => count && feel("server") });
    flusher.changed = () => this.queue.told();
    this.queue.changed = () => this.status.draw();
    this.view.frame(this.data, this.along);
    wire(this);
    this.draw();
    this.status.draw();
    this.status.clock(this.data.ends);
    stayAwake();
    await this.holdIfFree();
  }

  replay() {
    replay(this.log, this.queue.items, (event) => this.dialogs.what(event));
  }

  draw() {
    this.view.draw();
    this.sets.draw();
    this.mending.draw();
    this.beside.draw();
  }

  // --- who is signed in ---
  async heard(hello) {
    this.status.otherPerson = Boolean(hello) && hello.person !== this.data.person;
    await this.app.plans.heard(hello);
    await this.status.others();
  }

  // --- storing ---
  // What the server refused exists only here: taking it back takes it off this device and tells nobody.
  emitted(kind, content) {
    if (kind === "void" && this.queue.isRefused(content.target)) {
      this.dropped.push(content.target);
      return null;
    }
    const event = makeEvent(kind, content);
    this.pending.push(event);
    return event.uuid;
  }

  // One after the other. act changes the log. Resolves to what it made once all of it is on the disk. If the tablet could not keep it, the log
  // is what it was before, the page says so, and the answer is null.
  take(act) {
    this.storing = this.storing.then(() => this.takeNow(act));
    return this.storing;
  }

  async takeNow(act) {
    const made = act() ?? true;
    const [events, dropped] = [this.pending, this.dropped];
    Object.assign(this, { pending: [], dropped: [] });
    try {
      if (dropped.length) await this.queue.forget(dropped);
      if (events.length) await this.queue.add(events);
    } catch (error) {
      this.asBefore(error);
      return null;
    }
    if (events.length) feel("tablet");
    document.dispatchEvent(new CustomEvent("sixmark:kept", { detail: events }));
    this.app.flusher.flush();
    return made;
  }

  asBefore(error) {
    this.log.reset(structuredClone(this.asLoaded));
    this.replay();
    this.draw();
    this.status.notKept(error);
    feel("refused");
  }

  // --- taps ---
  // The second touch of one tap must not become the next athlete's rep. Choosing something on purpose ends the wait.
  startWaiting() {
    clearTimeout(this.deaf);
    for (const id of ["area", "did-not-see"]) at(id).setAttribute("aria-disabled", "true");
    this.deaf = setTimeout(() => this.stopWaiting(), SECOND_TOUCH_MS);
  }

  stopWaiting() {
    clearTimeout(this.deaf);
    this.deaf = 0;
    for (const id of ["area", "did-not-see"]) at(id).removeAttribute("aria-disabled");
  }

  // What changes the page and says so in its line of status.
  async tell(act) {
    const sentence = await this.take(act);
    if (!sentence) return;
    this.draw();
    at("said").textContent = sentence;
  }

  said(entry, name) {
    const next = this.log.turn && this.log.turn.name !== name ? this.log.turn.name : "";
    at("said").textContent = this.words.say(next ? "logged_next" : "logged", { name, what: entry.what, next });
  }

  // how: seen, didNotSee or unsafe
  async logRep(how) {
    const { turn } = this.log;
    if (!turn || (this.deaf && how !== "unsafe")) return;
    if (this.mustAsk(turn)) {
      this.dialogs.contact(turn, how);
      return;
    }
    this.startWaiting();
    const entry = await this.take(() => this.rep(how));
    if (!entry) return this.stopWaiting();
    this.draw();
    this.said(entry, turn.name);
    if (entry.unsafe) this.dialogs.unsafe(turn.name);
  }

  rep(how) {
    if (how === "unsafe") return this.log.unsafe(this.words.say("unsafe"));
    if (how === "didNotSee") return this.log.didNotSee(this.words.say("did_not_see"));
    const good = this.words.say(this.view.isBlind() ? "did_it" : "good");
    return this.log.log(this.log.chosen.length ? this.view.chosenNames() : good);
  }

  // Contact that the head coach has not opened for this athlete: asked once, before.
  mustAsk(turn) {
    return turn.shut && this.log.drillOf(turn).risk === "contact" && !this.allowed.has(turn.athlete);
  }

  async logContact() {
    const { athlete, how } = at("contact-dialog").dataset;
    this.allowed.add(athlete);
    close("contact-dialog");
    await this.logRep(how);
  }

  async logSet() {
    const rows = this.sets.doing();
    if (!rows.length || this.deaf) return;
    this.startWaiting();
    const entry = await this.take(() => this.log.logSet(this.words.count("set_done", rows.length), rows));
    if (!entry) return this.stopWaiting();
    this.sets.clear();
    this.draw();
    this.said(entry, this.words.list(rows.map((row) => row.turn.name)));
  }

  async undo() {
    if (!this.log.last) return;
    const entry = await this.take(() => this.log.undo());
    if (!entry) return;
    close("unsafe-dialog");
    this.stopWaiting();
    this.draw();
    at("said").textContent = this.words.say("undone", { what: entry.what, name: this.words.list(entry.before.map(({ turn }) => turn.name)) });
  }

  skip() {
    this.log.skip();
    this.draw();
  }

  goOn() {
    close("unsafe-dialog");
    this.skip();
    this.stopWaiting();
  }

  choose(key, chip) {
    if (chip.closest("#which-dialog")) {
      this.sets.setFault(key);
      close("which-dialog");
    } else {
      this.log.choose(key);
      this.stopWaiting();
    }
    const inList = chip.closest("#all-faults");
    this.draw();
    if (inList) close("all-faults");
    else at("rail").querySelector(`[data-fault="${CSS.escape(key)}"]`)?.focus();
  }

  async mark(kind, value) {
    const id = at("athlete-dialog").dataset.athlete;
    close("athlete-dialog");
    if (!(await this.take(() => (kind === "state" ? this.log.attend(id, value) : this.log.takeOut(id, value))))) return;
    this.draw();
    if (value === "injured") open("injured-dialog");
  }

  watch(change) {
    change();
    close("focus-dialog");
    this.draw();
  }

  // --- holding ---
  // By this device, as far as it knows: another one may have taken the station since the data was made.
  held() {
    const { station, holder } = this.data;
    const about = this.queue.items.filter(({ event }) => event.station === station && ["hold", "release"].includes(event.kind));
    const last = about[about.length - 1];
    if (!last) return holder?.device === this.app.device.uuid;
    const later = !last.taken || !this.other() || new Date(last.taken) > new Date(holder.since);
    return last.event.kind === "hold" && later;
  }

  other() {
    const { holder } = this.data;
    return Boolean(holder) && holder.device !== this.app.device.uuid;
  }

  async holdIfFree() {
    const { station, holder } = this.data;
    if (!station || !this.log.turn || this.held()) return;
    if (this.other()) this.dialogs.heldBy(holder);
    else await this.takeStation();
  }

  async takeStation() {
    close("hold-dialog");
    const { station, holder } = this.data;
    const over = this.other() ? { takes_over: holder.device } : {};
    await this.take(() => this.log.emit("hold", { station, ...over }));
  }

  onlyWatch() {
    close("hold-dialog");
    this.log.watchOnly = true;
    at("watching-only").hidden = false;
    this.draw();
  }

  async letGo() {
    await this.take(() => this.log.emit("release", { station: this.data.station }));
    at("menu-let-go").disabled = true;
    close("menu");
  }
}
