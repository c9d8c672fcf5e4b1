// Sends what waits. One flush at a time for all tabs; before it the server says who is signed in, and only what that
// person recorded is sent. Whatever goes wrong, an item waits until the server has answered for it.

import { batch } from "./events.js";
import { State } from "./store.js";

const MOST_AT_ONCE = 50;
const WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];
const PAUSED_MS = 60000;
const BUSY_MS = 2000;

export const Trouble = { NONE: "", OFFLINE: "offline", STOPPED: "stopped", OUTDATED: "outdated", NOT_KEPT: "not_kept" };
// Not signed in, no longer allowed, no longer a member, another person meanwhile: the events are fine.
const STOPPING = [401, 403, 404, 409];
const STATES = { accepted: State.SERVER, duplicate: State.SERVER, kept: State.KEPT, rejected: State.REJECTED };

export class Flusher {
  // heard: (hello) after each answer of who is signed in, null when nobody is. settled: (count) newly safe on the server.
  constructor({ store, api, club, device, changed = () => {}, heard = async () => {}, settled = () => {}, locks = navigator.locks }) {
    Object.assign(this, { store, api, club, device, changed, heard, settled, locks });
    this.trouble = Trouble.NONE;
    this.practice = null;
    this.failures = 0;
    this.running = null;
    this.again = false;
    this.timer = 0;
  }

  // Resolves when all that waited at this moment was tried.
  flush() {
    if (this.running) this.again = true;
    else this.running = this.locked().finally(() => this.ended());
    return this.running;
  }

  ended() {
    this.running = null;
    if (!this.again) return;
    this.again = false;
    this.flush();
  }

  // A tab that was put to sleep may hold the lock: this one comes back instead of queueing behind it.
  locked() {
    clearTimeout(this.timer);
    if (!this.locks) return this.run();
    return this.locks.request(`sixmark-flush-${this.club}`, { ifAvailable: true }, (lock) => (lock ? this.run() : this.retry(BUSY_MS)));
  }

  async run() {
    try {
      const hello = await this.api.hello();
      if (STOPPING.includes(hello.status)) return await this.stop(hello.status);
      if (hello.status !== 200 || !hello.body) return this.later(hello.after);
      await this.heard(hello.body);
      return await this.sendAll(hello.body);
    } catch (error) {
      return this.later(0, error);
    }
  }

  async sendAll(me) {
    const stuck = new Set();
    let most = MOST_AT_ONCE;
    let told = false;
    for (;;) {
      const items = await this.store.nextBatch(this.club, me.person, most, stuck);
      if (!items.length && (told || !this.practice)) break;
      if (items.length && !me.versions.includes(items[0].version)) return this.outdated();
      const practice = items.length ? items[0].practice : this.practice;
      const unsent = Math.max(0, (await this.store.waiting(this.club, me.person)) - items.length);
      const answer = await this.api.send(practice, batch(this.device, me.person, items, unsent), me.csrf);
      told ||= practice === this.practice;
      if (answer.status === 200 && answer.body) {
        if (!(await this.answered(items, answer.body))) return this.later();
        most = MOST_AT_ONCE;
      } else if (answer.status === 404 && items.length) stuck.add(practice);
      else if (STOPPING.includes(answer.status)) return this.stop(answer.status);
      else if (answer.status >= 500 || [0, 408, 425, 429].includes(answer.status)) return this.later(answer.after);
      else if (items.length > 1) most = Math.ceil(items.length / 2);
      else await this.refused(items, answer.body);
    }
    return stuck.size ? this.stop(404) : this.well();
  }

  // True unless the server left all of them without an answer.
  async answered(items, { results, now }) {
    const found = new Map(results.map((one) => [one.uuid, one]));
    const changes = items.filter((item) => found.has(item.uuid)).map((item) => change(item, found.get(item.uuid), now));
    if (!changes.length) return !items.length;
    await this.store.change(changes);
    this.changed();
    this.settled(changes.filter((one) => one.acked).length);
    return true;
  }

  // One item that makes no sense to the server, by itself: it is kept for a look.
  async refused(items, body) {
    const message = (body && (body.message || body.detail)) || "";
    const reason = (body && body.reason) || "";
    await this.store.change(items.map(({ id }) => ({ id, state: State.REJECTED, reason, message })));
    this.changed();
  }

  well() {
    this.failures = 0;
    this.say(Trouble.NONE);
  }

  // Tried again when the page is looked at, and now and then by itself: somebody may have signed in in another tab.
  async stop(status) {
    if (status !== 409) await this.heard(null);
    this.say(Trouble.STOPPED);
    this.retry(PAUSED_MS);
  }

  outdated() {
    this.say(Trouble.OUTDATED);
    this.retry(PAUSED_MS);
  }

  later(after = 0, error = null) {
    const wait = after ? after * 1000 : WAITS_MS[Math.min(this.failures, WAITS_MS.length - 1)];
    this.failures += 1;
    this.error = error;
    this.say(Trouble.OFFLINE);
    this.retry(wait);
  }

  say(trouble) {
    const news = this.trouble !== trouble;
    this.trouble = trouble;
    if (news) this.changed();
  }

  retry(wait) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), wait);
  }
}

// A conflict was kept for a coach by the server, so nothing is left to do here.
function change(item, answer, now) {
  const state = answer.reason === "conflict" ? State.KEPT : STATES[answer.state] || State.SERVER;
  const acked = state === State.REJECTED ? {} : { acked: Date.now(), taken: now, event: withoutWords(item.event) };
  return { id: item.id, state, reason: answer.reason || "", message: answer.message || "", ...acked };
}

// The words of a note are the one thing here that is no id or code: they leave the tablet once the server has them.
function withoutWords(event) {
  return "text" in event ? { ...event, text: "" } : event;
}

// Told to whoever holds the page: flush when the network or the person comes back, and every half minute.
export function flushWhenever(flusher, everyMs = 30000) {
  const now = () => flusher.flush();
  window.addEventListener("online", now);
  window.addEventListener("focus", now);
  window.addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", () => document.hidden || now());
  setInterval(now, everyMs);
}
