// Without a network and without a plan: who is there and which drill, asked as on the page of the server. The answer is the
// same address, which the shell reads.

import { node } from "./view.js";

export function form(app, plan) {
  const { words } = app;
  const made = node("form", "choose");
  made.method = "get";
  made.action = `${app.start}without-plan/${plan.practice}/`;
  const people = plan.roster.map(({ athlete, name }) => ({ value: athlete, label: name }));
  const drills = plan.free.map((key) => ({ value: key, label: plan.drills[key].name }));
  const go = node("button", "tbtn tall main", words.say("free_start"));
  made.append(
    node("h2", "", words.say("free")), node("p", "", words.say("free_lead")),
    choice(words.say("free_who"), "checkbox", "athlete", people), choice(words.say("free_drill"), "radio", "drill", drills), go,
  );
  return made;
}

function choice(legend, type, name, choices) {
  const [set, options] = [node("fieldset"), node("div", "options")];
  options.append(...choices.map(({ value, label }) => {
    const [option, input] = [node("label", "option"), node("input")];
    Object.assign(input, { type, name, value, required: type === "radio" });
    option.append(input, ` ${label}`);
    return option;
  }));
  set.append(node("legend", "", legend), options);
  return set;
}

export function link(app, plan) {
  const made = node("a", "tbtn inline", app.words.say("free"));
  made.href = `${app.start}without-plan/${plan.practice}/`;
  return made;
}
