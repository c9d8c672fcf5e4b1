// Emergency cards that the adult in charge took along, drawn from what the device keeps.

import { clock, node } from "./view.js";

const VENUE = ["address", "defibrillator", "first_aid", "who_calls", "who_meets"];
const LINES = ["allergies", "medicines", "conditions"];

export function cardsIn(list, fresh, { as_of, venue, cards }, words) {
  fresh.textContent = words.say("cards_fresh", { time: clock(as_of) });
  const place = lines(VENUE.map((key) => [words.say(`card_${key}`), [venue[key]]]));
  list.replaceChildren(node("h3", "", venue.name), place, ...cards.flatMap((card) => [node("h3", "", card.name), of(card, words)]));
}

function of(card, words) {
  const calls = card.calls.map((call) => {
    const phone = call.phone || words.say("card_no_phone");
    const collects = call.collects ? ` (${words.say("card_collects")})` : "";
    return words.say("card_call", { name: call.name, phone }) + collects;
  });
  const rows = [[words.say("card_calls"), [...calls, card.also_call]], ...LINES.map((key) => [words.say(`card_${key}`), [card[key]]])];
  if (card.barred.length) rows.push([words.say("card_barred"), card.barred]);
  return lines(rows);
}

function lines(rows) {
  const made = node("dl", "card-lines");
  for (const [name, values] of rows) {
    const shown = values.filter(Boolean);
    made.append(node("dt", "", name), ...(shown.length ? shown : ["–"]).map((value) => node("dd", "", value)));
  }
  return made;
}
