// Texts come translated from the page; here their values are filled in.

export class Words {
  constructor(texts) {
    this.texts = texts;
  }

  say(key, values = {}) {
    return fill(this.texts[key], values);
  }

  count(key, count) {
    const { forms, pick } = this.texts[key];
    const place = count < pick.length ? count : 100 + (count % 100);
    return fill(forms[Number(pick[place])], { count });
  }

  list(texts) {
    return texts.length < 2 ? texts.join("") : texts.reduce((first, second) => this.say("and", { first, second }));
  }
}

function fill(text, values) {
  return text.replace(/%\((\w+)\)[sd]/g, (whole, name) => (name in values ? String(values[name]) : whole)).replaceAll("%%", "%");
}

// A label stands in the middle of a sentence; alone and large it begins with a capital.
export function capital(text) {
  return text.slice(0, 1).toLocaleUpperCase(document.documentElement.lang) + text.slice(1);
}
