// The state line: what is safe where, what is in the way, and how long the block still runs.

import { Trouble } from "./flush.js";
import { at } from "./view.js";
import { space } from "./tablet.js";

const CLOCK_MS = 15000;
const FAR_MIN = 12 * 60;

export class Status {
  constructor(page) {
    this.page = page;
    this.lost = "";
    this.full = false;
    this.otherPerson = false;
    this.ofOthers = 0;
  }

  draw() {
    const { words, queue } = this.page;
    const { tablet, server, look } = queue.counts();
    at("on-tablet").textContent = words.count("on_tablet", tablet);
    at("on-server").textContent = words.count("on_server", server);
    at("looks").hidden = !look;
    at("looks-words").textContent = words.count("looks", look);
    const said = this.said();
    at("trouble").hidden = !said;
    at("send-again").hidden = !this.page.app.flusher.trouble;
    if (at("trouble-words").textContent !== said) at("trouble-words").textContent = said;
  }

  // The gravest thing alone: who must act reads one sentence.
  said() {
    const { words, app } = this.page;
    if (this.lost) return words.say("not_kept", { why: this.lost });
    if (this.otherPerson) return words.say("other_person");
    if (app.flusher.trouble !== Trouble.NONE) return words.say(app.flusher.trouble);
    if (this.full) return words.say("nearly_full");
    return this.ofOthers ? words.count("others", this.ofOthers) : "";
  }

  notKept(error) {
    this.lost = this.page.words.say(error && error.name === "QuotaExceededError" ? "why_full" : "why_broken");
    this.draw();
  }

  async others() {
    const { app, data } = this.page;
    this.ofOthers = (await app.events.unsent(app.club)).filter((item) => item.by !== data.person).length;
    this.full = (await space()).nearlyFull;
    this.draw();
  }

  clock(ends) {
    if (!ends) return;
    this.drawClock(ends);
    setInterval(() => this.drawClock(ends), CLOCK_MS);
  }

  drawClock(ends) {
    const { words } = this.page;
    const left = Math.ceil((new Date(ends) - new Date()) / 60000);
    const far = left > FAR_MIN || left < -FAR_MIN;
    at("left").textContent = far ? "" : left > 0 ? `, ${words.count("minutes_left", left)}` : `, ${words.say("time_over")}`;
  }
}
