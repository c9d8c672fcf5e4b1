// Events on their way to the server. They are kept in memory: what this page has not sent is lost with the page, and it
// says so. One request at a time; each is tried again until the server has answered for every event in it.

import { batch } from "./events.js";

const MOST_AT_ONCE = 50;
const TIMEOUT_MS = 15000;
const WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];

// KEPT: the server has it, and a coach looks at it before it counts. REJECTED: only this page has it.
export const State = { WAITING: "waiting", SERVER: "server", KEPT: "kept", REJECTED: "rejected" };
const STATES = { accepted: State.SERVER, duplicate: State.SERVER, kept: State.KEPT, rejected: State.REJECTED };
const ON_SERVER = [State.SERVER, State.KEPT];
export const Trouble = { NONE: "", OFFLINE: "offline", STOPPED: "stopped" };
// Not signed in, no longer allowed, no longer a member: the events are fine, whoever is signed in may not send them.
const STOPPING = [401, 403, 404];

export class EventQueue {
  // post: (body) → Promise of { status, body }; it throws when no answer came. changed: called after every change.
  constructor({ post, device, changed = () => {} }) {
    Object.assign(this, { post, device, changed });
    this.items = [];
    this.trouble = Trouble.NONE;
    this.failures = 0;
    this.sending = false;
    this.timer = 0;
  }

  add(event, about = {}) {
    this.items.push({ event, about, state: State.WAITING, reason: "", message: "" });
    this.changed();
    if (this.trouble !== Trouble.STOPPED) this.flush();
  }

  waiting() {
    return this.items.filter((item) => item.state === State.WAITING);
  }

  needsLook() {
    return this.items.filter((item) => item.state === State.REJECTED || item.state === State.KEPT);
  }

  // What would be lost with this page.
  onlyHere() {
    return this.items.filter((item) => !ON_SERVER.includes(item.state));
  }

  // A rep and what takes it back or mends it are one entry; it is on the server when all of it is. Holds are no entries.
  counts() {
    const entries = new Map();
    for (const item of this.items) {
      if (item.event.kind === "hold" || item.event.kind === "release") continue;
      const key = item.event.target || item.event.uuid;
      entries.set(key, (entries.get(key) ?? true) && ON_SERVER.includes(item.state));
    }
    return { tablet: entries.size, server: [...entries.values()].filter(Boolean).length, look: this.needsLook().length };
  }

  // What the server refused exists only here: taking it back takes it off the list. False if the server has to be told.
  forget(uuid) {
    const refused = this.items.find((item) => item.event.uuid === uuid && item.state === State.REJECTED);
    this.items = this.items.filter((item) => item !== refused);
    if (refused) this.changed();
    return Boolean(refused);
  }

  sendAgain() {
    for (const item of this.items) if (item.state === State.REJECTED) item.state = State.WAITING;
    this.failures = 0;
    this.trouble = Trouble.NONE;
    this.changed();
    return this.flush();
  }

  async flush() {
    if (this.sending) return;
    clearTimeout(this.timer);
    this.sending = true;
    try {
      while (this.waiting().length && (await this.sendSome()));
    } finally {
      this.sending = false;
      this.changed();
    }
  }

  // True if the server answered for what was sent and more may follow at once.
  async sendSome() {
    const items = this.waiting().slice(0, MOST_AT_ONCE);
    let answer;
    try {
      answer = await this.post(batch(this.device, items.map((item) => item.event)));
    } catch {
      return this.later(Trouble.OFFLINE);
    }
    if (answer.status === 200) return this.answered(items, answer.body.results);
    if (STOPPING.includes(answer.status)) return this.stopped();
    if (answer.status >= 500 || answer.status === 429 || answer.status === 408) return this.later(Trouble.OFFLINE);
    return this.refused(items, answer.body);
  }

  answered(items, results) {
    const found = new Map(results.map((result) => [result.uuid, result]));
    let settled = 0;
    for (const item of items) {
      const result = found.get(item.event.uuid);
      if (!result) continue;
      settled += 1;
      item.state = STATES[result.state] || State.SERVER;
      item.reason = result.reason || "";
      item.message = result.message || "";
    }
    if (!settled) return this.later(Trouble.OFFLINE);
    this.failures = 0;
    this.trouble = Trouble.NONE;
    this.changed();
    return true;
  }

  // Nothing is tried again unasked.
  stopped() {
    this.trouble = Trouble.STOPPED;
    this.changed();
    return false;
  }

  // The whole request made no sense to the server: everything in it is kept for a look.
  refused(items, body) {
    for (const item of items) {
      item.state = State.REJECTED;
      item.message = (body && (body.message || body.detail)) || "";
    }
    this.changed();
    return true;
  }

  later(trouble) {
    this.trouble = trouble;
    const wait = WAITS_MS[Math.min(this.failures, WAITS_MS.length - 1)];
    this.failures += 1;
    this.timer = setTimeout(() => this.flush(), wait);
    this.changed();
    return false;
  }
}

function cookie(name) {
  const found = document.cookie.split("; ").find((part) => part.startsWith(`${name}=`));
  return found ? decodeURIComponent(found.slice(name.length + 1)) : "";
}

export function poster(url) {
  return async (body) => {
    const response = await fetch(url, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": cookie("csrftoken") },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(TIMEOUT_MS),
    });
    const kind = response.headers.get("Content-Type") || "";
    return { status: response.status, body: kind.includes("json") ? await response.json() : null };
  };
}
