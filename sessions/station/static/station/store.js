// What this device keeps. Two databases: events (ids and codes, and the words of notes that were not sent yet) stay until
// the server has them; plans hold names and are wiped when somebody signs out. Every change of events is on the disk
// before its promise resolves.

import { uuid } from "./events.js";

const EVENTS = { name: "sixmark-events", version: 1 };
const PLANS = { name: "sixmark-plans", version: 1 };
// Where the first pages kept the device's id and its sequence.
const OLD_DEVICE = "sixmark-device";
const OLD_SEQUENCE = "sixmark-sequence";
const KEPT_DAYS = 3;
// Each page takes so many numbers of the device's sequence at once: whoever taps does not wait for a number.
const NUMBERS = 1000;

export const State = { WAITING: "waiting", SERVER: "server", KEPT: "kept", REJECTED: "rejected" };

function opened({ name, version }, upgrade) {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(name, version);
    request.onupgradeneeded = () => upgrade(request.result, request.transaction);
    request.onsuccess = () => {
      // Wiping in another tab must not wait for this one.
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("blocked"));
  });
}

function result(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function done(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = transaction.onabort = () => reject(transaction.error || new Error("aborted"));
  });
}

function makeEvents(db) {
  const items = db.createObjectStore("items", { keyPath: "id", autoIncrement: true });
  items.createIndex("uuid", "uuid", { unique: true });
  items.createIndex("mine", ["club", "by", "state"]);
  items.createIndex("practice", ["club", "practice"]);
  const meta = db.createObjectStore("meta");
  meta.put(localStorage.getItem(OLD_DEVICE) || uuid(), "device");
  meta.put(Number(localStorage.getItem(OLD_SEQUENCE) || 0), "sequence");
}

export class EventStore {
  static async open() {
    const made = new EventStore();
    made.db = await opened(EVENTS, makeEvents);
    made.device = await result(made.reading("meta").objectStore("meta").get("device"));
    await made.takeNumbers();
    return made;
  }

  async takeNumbers() {
    const transaction = this.writing("meta");
    const [meta, ended] = [transaction.objectStore("meta"), done(transaction)];
    this.sequence = (await result(meta.get("sequence"))) || 0;
    this.lastNumber = this.sequence + NUMBERS;
    meta.put(this.lastNumber, "sequence");
    await ended;
  }

  reading(...names) {
    return this.db.transaction(names, "readonly");
  }

  writing(...names) {
    return this.db.transaction(names, "readwrite", { durability: "strict" });
  }

  // drafts: items whose event has no sequence yet. All of them are stored, or none. The screen waits for this alone, so
  // nothing here waits for an answer of the database but the last one.
  async add(drafts) {
    if (this.sequence + drafts.length > this.lastNumber) await this.takeNumbers();
    const transaction = this.writing("items");
    const [items, ended] = [transaction.objectStore("items"), done(transaction)];
    const stored = drafts.map((draft) => {
      this.sequence += 1;
      return { ...draft, event: { ...draft.event, sequence: this.sequence }, state: State.WAITING, reason: "", message: "" };
    });
    const ids = Promise.all(stored.map((item) => result(items.add(item))));
    transaction.commit();
    const [found] = await Promise.all([ids, ended]);
    return stored.map((item, place) => ({ ...item, id: found[place] }));
  }

  async ofPractice(club, practice) {
    return result(this.reading("items").objectStore("items").index("practice").getAll([club, practice]));
  }

  // The oldest waiting items of one practice and one version of the format, skipping practices that are stuck.
  async nextBatch(club, by, most, stuck) {
    const found = [];
    const request = this.reading("items").objectStore("items").index("mine").openCursor([club, by, State.WAITING]);
    return new Promise((resolve, reject) => {
      request.onerror = () => reject(request.error);
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor || found.length === most) return resolve(found);
        const item = cursor.value;
        const [first = item] = found;
        if (!stuck.has(item.practice) && item.practice === first.practice && item.version === first.version) found.push(item);
        cursor.continue();
      };
    });
  }

  async waiting(club, by) {
    return result(this.reading("items").objectStore("items").index("mine").count([club, by, State.WAITING]));
  }

  // Everything of this club that the server has not got, whoever recorded it.
  async unsent(club) {
    const all = await result(this.reading("items").objectStore("items").getAll());
    return all.filter((item) => item.club === club && [State.WAITING, State.REJECTED].includes(item.state));
  }

  // changes: [{ id, …fields }]
  async change(changes) {
    const transaction = this.writing("items");
    const ended = done(transaction);
    const items = transaction.objectStore("items");
    for (const { id, ...fields } of changes) {
      const item = await result(items.get(id));
      if (item) items.put({ ...item, ...fields });
    }
    await ended;
  }

  async remove(ids) {
    const transaction = this.writing("items");
    const ended = done(transaction);
    for (const id of ids) transaction.objectStore("items").delete(id);
    await ended;
  }

  // What the server has had for days is of no more use here.
  async tidy(now = Date.now()) {
    const all = await result(this.reading("items").objectStore("items").getAll());
    const old = all.filter((item) => item.acked && now - item.acked > KEPT_DAYS * 86400000);
    if (old.length) await this.remove(old.map((item) => item.id));
  }
}

export class PlanStore {
  static async open() {
    const made = new PlanStore();
    made.db = await opened(PLANS, (db) => {
      db.createObjectStore("plans", { keyPath: ["club", "practice"] });
    });
    return made;
  }

  plans(mode = "readonly") {
    return this.db.transaction("plans", mode, { durability: "strict" }).objectStore("plans");
  }

  async put(plan) {
    const plans = this.plans("readwrite");
    plans.put(plan);
    await done(plans.transaction);
  }

  // Plans of this club that have not run out. A plan that ran out is wiped, network or not.
  async all(club, now = Date.now()) {
    const found = (await result(this.plans().getAll())).filter((plan) => plan.club === club);
    const over = found.filter((plan) => new Date(plan.until) < now);
    for (const plan of over) await this.remove(plan);
    return found.filter((plan) => !over.includes(plan));
  }

  async remove({ club, practice }) {
    const plans = this.plans("readwrite");
    plans.delete([club, practice]);
    await done(plans.transaction);
  }

  // Plans of others, or all of the club's if by is empty.
  async wipe(club, by = "") {
    for (const plan of await this.all(club)) if (plan.person !== by) await this.remove(plan);
  }
}
