// The app of the stations: opens what this device keeps, then the page that the address asks for. On a page from the
// server the data of a station stands in it; in the shell it comes from the plans that were taken along.

import { Api } from "./api.js";
import { Flusher, flushWhenever } from "./flush.js";
import { Plans, sheetOf, withoutPlan } from "./plans.js";
import { EventStore } from "./store.js";
import { Words } from "./words.js";
import { at } from "./view.js";
import { register } from "./tablet.js";
import { startPage } from "./start.js";
import { stationPage } from "./station.js";

const DATA = at("station-data");
const SETUP = JSON.parse(at("station-setup").textContent);

// What the address asks for: { start } or { station, block } or { practice, drill, athletes }.
function asked(address = location) {
  const query = new URLSearchParams(address.search);
  const [place, practice] = address.pathname.slice(SETUP.start.length).split("/");
  if (place === "without-plan") return { practice, drill: query.get("drill"), athletes: query.getAll("athlete") };
  return place && place !== "app" ? { station: place, block: Number(query.get("block")) || 0 } : { start: true };
}

async function opened() {
  const [events, plans] = await Promise.all([EventStore.open(), Plans.open(SETUP.club)]);
  const api = new Api(SETUP.club);
  const words = new Words(SETUP.words);
  const device = { uuid: events.device, name: words.say("this_device") };
  const flusher = new Flusher({ store: events, api, club: SETUP.club, device });
  return { ...SETUP, words, events, plans, api, device, flusher };
}

// In the shell: the data of the page, put together from what was taken along.
async function fromPlans(app, place) {
  const kept = await app.plans.all();
  if (place.start) return { kept };
  const plan = kept.find((one) => (place.practice ? one.practice === place.practice : one.sheets.some((sheet) => sheet.station === place.station)));
  const data = plan && (place.practice ? withoutPlan(plan, place) : sheetOf(plan, place.station, place.block));
  return { kept, data, free: place.practice && plan?.free.length ? plan : null };
}

function show(part) {
  const other = part === "start" ? "logging" : "start";
  at(`${other}-part`)?.remove();
  if (at(`${part}-part`)) at(`${part}-part`).hidden = false;
}

async function run() {
  const app = await opened();
  const place = asked();
  const shell = Boolean(at("start-part"));
  const { kept, data, free } = shell ? await fromPlans(app, place) : { data: DATA && JSON.parse(DATA.textContent) };
  show(data ? "logging" : "start");
  if (data) await stationPage(app, data, { along: shell });
  else await startPage(app, { kept, free, missing: shell && !place.start && !free });
  register(app);
  app.events.tidy();
  flushWhenever(app.flusher);
  app.flusher.flush();
}

run().catch((error) => {
  const words = new Words(SETUP.words);
  const place = at("trouble") ? ["trouble", "trouble-words"] : ["start-trouble", "start-trouble-words"];
  at(place[1]).textContent = words.say("not_kept", { why: words.say("why_broken") });
  at(place[0]).hidden = false;
  throw error;
});
