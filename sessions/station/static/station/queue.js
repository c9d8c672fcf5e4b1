// The events of one practice as its page sees them: a copy of what is stored, read again after every change.

import { VERSION } from "./events.js";
import { State } from "./store.js";

const ON_SERVER = [State.SERVER, State.KEPT];
const NO_ENTRY = ["hold", "release"];

export class Queue {
  // by: the person who records. changed: called after every change.
  constructor({ store, club, practice, by, changed = () => {} }) {
    Object.assign(this, { store, club, practice, by, changed });
    this.items = [];
    this.channel = new BroadcastChannel("sixmark-events");
    this.channel.onmessage = () => this.read();
  }

  async read() {
    this.items = await this.store.ofPractice(this.club, this.practice);
    this.changed();
  }

  // After a change by this page: the other tabs read again too.
  async told() {
    this.channel.postMessage(this.practice);
    await this.read();
  }

  // Resolves when all of them are on the disk; none is if it rejects.
  async add(events) {
    const { club, practice, by } = this;
    const items = events.map((event) => ({ uuid: event.uuid, club, practice, by, version: VERSION, event }));
    const stored = await this.store.add(items);
    this.items.push(...stored);
    this.channel.postMessage(practice);
    this.changed();
  }

  needsLook() {
    return this.items.filter((item) => item.state === State.REJECTED || item.state === State.KEPT);
  }

  unsent() {
    return this.items.filter((item) => !ON_SERVER.includes(item.state));
  }

  // A rep and what takes it back or mends it are one entry; it is on the server when all of it is. Holds are no entries.
  counts() {
    const entries = new Map();
    for (const item of this.items) {
      if (NO_ENTRY.includes(item.event.kind)) continue;
      const key = item.event.target || item.uuid;
      entries.set(key, (entries.get(key) ?? true) && ON_SERVER.includes(item.state));
    }
    return { tablet: entries.size, server: [...entries.values()].filter(Boolean).length, look: this.needsLook().length };
  }

  isRefused(uuid) {
    return this.items.some((item) => item.uuid === uuid && item.state === State.REJECTED);
  }

  async forget(uuids) {
    await this.store.remove(this.items.filter((item) => uuids.includes(item.uuid)).map((item) => item.id));
    await this.told();
  }

  // The server has nothing under this uuid, so the mended event keeps it.
  async mend(item, content = {}) {
    await this.store.change([{ id: item.id, event: { ...item.event, ...content }, state: State.WAITING, reason: "", message: "" }]);
    await this.told();
  }

  async sendAgain() {
    const refused = this.items.filter((item) => item.state === State.REJECTED);
    await this.store.change(refused.map(({ id }) => ({ id, state: State.WAITING, reason: "", message: "" })));
    await this.told();
  }
}
