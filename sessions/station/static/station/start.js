// Today's stations: take a practice along, see what this tablet can do without a network, sign out.

import { open } from "./dialogs.js";
import { form, link } from "./free.js";
import { cardsIn } from "./cards.js";
import { checks } from "./tablet.js";
import { leave } from "./leaving.js";
import { save } from "./saving.js";
import { at, clock, node } from "./view.js";

// free: the plan in which a drill is chosen on the spot.
export async function startPage(app, { kept = null, free = null, missing = false }) {
  const page = new Start(app, missing);
  if (free) at("along-list").replaceChildren(form(app, free));
  else if (kept) page.list(kept);
  page.wire();
  app.flusher.heard = (hello) => page.heard(hello);
  app.flusher.changed = () => page.draw();
  navigator.serviceWorker?.ready.then(() => page.draw());
  await page.draw();
}

class Start {
  constructor(app, missing) {
    Object.assign(this, { app, missing, words: app.words });
    this.said = new Map();
  }

  async heard(hello) {
    await this.app.plans.heard(hello);
    this.signedIn = hello;
    await this.draw();
  }

  wire() {
    const acts = {
      take: (practice) => this.take(practice),
      cards: (practice) => this.takeCards(practice),
    };
    document.addEventListener("click", (event) => {
      const element = event.target.closest("button");
      const name = element && Object.keys(acts).find((key) => key in element.dataset);
      if (name) acts[name](element.dataset[name]);
      if (element && element.id === "tablet-send") this.app.flusher.flush();
      if (element && element.id === "tablet-save") this.saved();
      if (element && element.id === "tablet-cards") this.showCards();
    });
    leave(this.app);
  }

  async draw() {
    const plans = await this.app.plans.all();
    for (const place of document.querySelectorAll("[data-along]")) {
      const practice = place.dataset.along;
      const plan = plans.find((one) => one.practice === practice);
      place.hidden = false;
      place.querySelector("[data-fresh]").textContent = this.said.get(practice) || this.fresh(plan);
      for (const cards of document.querySelectorAll(`[data-cards="${practice}"]`)) cards.hidden = !plan;
    }
    at("tablet-cards").hidden = !plans.some((plan) => plan.cards);
    this.tell(this.missing ? "moved_on" : "");
    await this.drawTablet();
  }

  tell(key) {
    at("start-trouble").hidden = !key;
    at("start-trouble-words").textContent = key ? this.words.say(key) : "";
  }

  fresh(plan) {
    if (!plan) return this.words.say("not_along");
    const minutes = Math.max(0, Math.round((Date.now() - new Date(plan.as_of)) / 60000));
    const ago = this.words.count("minutes_old", minutes);
    return this.words.say("fresh", { time: clock(plan.as_of), ago, athletes: this.words.count("along", plan.roster.length) });
  }

  async drawTablet() {
    const found = await checks(this.app);
    const unsent = (await this.app.events.unsent(this.app.club)).length;
    const all = [...found, { key: "sent", good: !unsent, help: this.words.count("unsent", unsent) }];
    at("this-tablet").hidden = false;
    at("tablet-verdict").textContent = this.words.say(found.every((one) => one.good || !one.needed) ? "ready" : "not_ready");
    at("tablet-checks").replaceChildren(...all.map((one) => this.check(one)));
    at("tablet-save").hidden = !unsent;
  }

  check({ key, good, help }) {
    const row = node("li", good ? "good" : "lacks");
    row.append(node("b", "", this.words.say(good ? "yes" : "no")), node("span", "", this.words.say(`check_${key}`)));
    if (!good) row.append(node("span", "m", help || this.words.say(`help_${key}`)));
    return row;
  }

  async take(practice) {
    this.said.set(practice, this.words.say("taking"));
    await this.draw();
    const plan = await this.app.plans.take(this.app.api, practice).catch(() => null);
    if (plan) this.said.delete(practice);
    else this.said.set(practice, this.words.say("not_taken"));
    await this.draw();
  }

  async takeCards(practice) {
    const hello = await this.app.api.hello().catch(() => null);
    const taken = hello && hello.status === 200 && (await this.app.plans.takeCards(this.app.api, practice, hello.body.csrf).catch(() => null));
    if (!taken) this.said.set(practice, this.words.say("not_taken"));
    await this.draw();
  }

  async showCards() {
    const plan = (await this.app.plans.all()).find((one) => one.cards);
    cardsIn(at("cards-list"), at("cards-fresh"), plan.cards, this.words);
    open("cards-dialog");
  }

  async saved() {
    at("tablet-verdict").textContent = this.words.say("saved", { file: await save(this.app) });
  }

  // Without a network: the stations of what was taken along.
  list(plans) {
    const parts = plans.map((plan) => {
      const section = node("section");
      section.append(node("h2", "", this.words.say("practice", plan)), node("p", "quiet", this.fresh(plan)), this.stations(plan));
      if (plan.free.length) section.append(link(this.app, plan));
      return section;
    });
    at("along-list").replaceChildren(...(parts.length ? parts : [node("p", "", this.words.say("nothing_along"))]));
  }

  stations(plan) {
    const made = node("ul", "stations");
    for (const station of new Set(plan.sheets.map((sheet) => sheet.station))) {
      const sheets = plan.sheets.filter((sheet) => sheet.station === station);
      const link = node("a", "station-link");
      link.href = `${this.app.start}${station}/`;
      link.append(node("b", "", sheets[0].name), ...sheets.map((sheet) => this.block(plan, sheet)));
      const row = node("li");
      row.append(link);
      made.append(row);
    }
    return made;
  }

  block(plan, sheet) {
    const { starts } = sheet.blocks.find((block) => block.number === sheet.block);
    const drills = [...new Set(sheet.turns.map((turn) => plan.drills[turn.drill].name))];
    const made = node("span", "in-block");
    made.append(node("b", "", this.words.say("block_at", { number: sheet.block, time: starts })), " ");
    made.append(this.words.say("run_here", { drill: this.words.list(drills), names: this.words.list(sheet.turns.map((turn) => turn.name)) }));
    return made;
  }
}
