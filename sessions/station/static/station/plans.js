// Practices that were taken along: names, plan, readiness and, for the adult in charge, emergency cards. All of it is
// wiped when somebody signs out, when another person signs in, and twelve hours after the practice.

import { PlanStore } from "./store.js";

export class Plans {
  static async open(club) {
    const made = new Plans();
    Object.assign(made, { club, store: await PlanStore.open() });
    return made;
  }

  all() {
    return this.store.all(this.club);
  }

  // Fetches a practice and keeps it. Returns the plan, or null if the server did not give it.
  async take(api, practice) {
    const answer = await api.plan(practice);
    if (answer.status !== 200) return null;
    const before = (await this.all()).find((one) => one.practice === practice && one.person === answer.body.person);
    const plan = { ...answer.body, cards: before ? before.cards : null };
    await this.store.put(plan);
    return plan;
  }

  async takeCards(api, practice, csrf) {
    const answer = await api.cards(practice, csrf);
    const plan = (await this.all()).find((one) => one.practice === practice);
    if (answer.status !== 200 || !plan) return null;
    await this.store.put({ ...plan, cards: answer.body });
    return answer.body;
  }

  // hello: who is signed in now, null for nobody. Whoever it is keeps only their own.
  heard(hello) {
    return this.store.wipe(this.club, hello ? hello.person : "");
  }
}

// What the page of a station has in common with the whole practice.
const COMMON = ["club", "person", "practice", "place", "as_of", "reads_marks", "marks_attendance", "adjustments", "mends", "drills", "roster", "cards"];

function common(plan) {
  return Object.fromEntries(COMMON.map((name) => [name, plan[name]]));
}

// The page of a station in the block of that number, else in the one that runs now, else in its first.
export function sheetOf(plan, station, number, now = new Date()) {
  const sheets = plan.sheets.filter((sheet) => sheet.station === station);
  const running = sheets.filter((sheet) => {
    const block = sheet.blocks.find((one) => one.number === sheet.block);
    return new Date(block.from) <= now && now < new Date(sheet.ends);
  });
  const sheet = sheets.find((one) => one.block === number) || (!number && (running[0] || sheets[0]));
  return sheet ? { ...common(plan), ...sheet } : null;
}

// A practice without a plan: one drill and whoever is there for it.
export function withoutPlan(plan, { drill, athletes }) {
  const line = plan.drills[drill];
  const people = plan.roster.filter((one) => athletes.includes(one.athlete));
  if (!line || !plan.free.includes(drill) || !people.length) return null;
  const turns = people.map(({ athlete, name, hand, excluded }) => ({
    athlete, name, hand, drill, steps: null, say_steps: false, state: "", stand: "", shut: false,
    held: excluded.includes(line.risk), done: 0, marks: [], faults: {}, usual: {}, adjusted: [],
  }));
  return { ...common(plan), station: null, name: plan.place, block: null, blocks: [], ends: null, floor_only: false, holder: null, turns };
}
