// Which tap and which key does what on the page of a station.

import { at } from "./view.js";
import { close } from "./dialogs.js";
import { isSilent, setSilent } from "./feel.js";
import { ignorePalms } from "./touch.js";
import { save } from "./saving.js";

const THUMB = "sixmark-thumb";
const STAND = "sixmark-stand";

function taps(page) {
  const { app, log, dialogs, queue, words } = page;
  return {
    area: () => page.logRep("seen"),
    "did-not-see": () => page.logRep("didNotSee"),
    unsafe: () => page.logRep("unsafe"),
    skip: () => page.skip(),
    undo: () => page.undo(),
    "not-her": () => page.mending.askWhose(),
    "change-seen": () => page.mending.askWhat(),
    "change-keep": () => page.tell(() => page.mending.change()),
    adjust: () => page.beside.askAdjustment(),
    "note-open": () => page.beside.askNote(at("athlete-dialog").dataset.athlete),
    "note-keep": () => page.beside.isNote() && page.tell(() => page.beside.keepNote()),
    "contact-log": () => page.logContact(),
    "unsafe-undo": () => page.undo(),
    "unsafe-go-on": () => page.goOn(),
    "unsafe-out": () => {
      close("unsafe-dialog");
      dialogs.athlete(log.turn.athlete);
    },
    focus: () => dialogs.focus(),
    "focus-gate": () => page.watch(() => log.watchGate()),
    "more-faults": () => dialogs.allFaults(),
    "set-log": () => page.logSet(),
    looks: () => dialogs.looks(),
    "looks-again": async () => {
      close("looks-dialog");
      await queue.sendAgain();
      app.flusher.flush();
    },
    "looks-save": async () => {
      const file = await save(app);
      close("looks-dialog");
      at("said").textContent = words.say("saved", { file });
    },
    "send-again": () => app.flusher.flush(),
    "hold-take": () => page.takeStation(),
    "hold-watch": () => page.onlyWatch(),
    "menu-let-go": () => page.letGo(),
    "menu-cards": () => {
      close("menu");
      dialogs.cards(page.data.cards);
    },
    "by-turn": () => {
      log.round = !log.round;
      close("menu");
      page.draw();
    },
    thumb: () => setThumb(localStorage.getItem(THUMB) !== "left"),
    sound: () => setSound(!isSilent()),
  };
}

function marked(page) {
  const { app, log, dialogs, queue, sets, view } = page;
  const refocus = (place, selector) => {
    sets.draw();
    at(place).querySelector(selector).focus();
  };
  return {
    fault: (value, element) => page.choose(value, element),
    pick: (value) => {
      log.pick(value);
      page.stopWaiting();
      page.draw();
    },
    about: (value) => dialogs.athlete(value),
    whose: (value) => (dialogs.repairing ? repairWho(value) : giveTo(value)),
    mend: (value) => page.mending.choose(value),
    adjustment: (value) => page.tell(() => page.beside.adjust(value)),
    watch: (value) => page.watch(() => log.watchOnlyThis(value)),
    also: (value) => page.watch(() => log.watchAlso(value)),
    stand: (value) => {
      setStand(page, value);
      dialogs.focus();
      page.draw();
    },
    state: (value) => page.mark("state", value),
    reason: (value) => page.mark("reason", value),
    each: (value) => {
      sets.all(Number(value));
      refocus("set-pad", `[data-each="${value}"]`);
    },
    step: (name, element) => {
      const { athlete, by } = element.dataset;
      sets.change(athlete, name, Number(by));
      refocus("set-rows", `[data-step="${name}"][data-by="${by}"][data-athlete="${athlete}"]`);
    },
    saw: (value) => {
      sets.sawAll(value);
      refocus("set-rows", `[data-saw="${value}"]`);
    },
    which: (value) => sets.askWhich(value, view),
    repair: (value, element) => dialogs.repair(value, element.dataset.how),
  };

  function giveTo(athlete) {
    page.stopWaiting();
    return page.tell(() => page.mending.giveTo(athlete));
  }

  async function repairWho(athlete) {
    close("whose-dialog");
    await queue.mend(dialogs.repairing, { athlete });
    dialogs.repairing = null;
    app.flusher.flush();
    dialogs.looks();
  }
}

function setStand(page, value) {
  page.log.stand = value;
  localStorage.setItem(`${STAND}-${page.data.station}`, value);
}

function setSound(silent) {
  setSilent(silent);
  at("sound").setAttribute("aria-pressed", String(!silent));
}

function setThumb(left) {
  localStorage.setItem(THUMB, left ? "left" : "right");
  document.querySelector(".tab").classList.toggle("left-thumb", left);
}

// Keys only while the large area has the focus, so that they take nothing from a screen reader or a text field.
function keys(page) {
  const fault = (number) => at("rail").querySelectorAll("[data-fault]")[number]?.click();
  const faults = Object.fromEntries([2, 3, 4, 5, 6, 7, 8, 9].map((key) => [key, () => {
    fault(key - 2);
    at("area").focus();
  }]));
  return { ...faults, 1: () => page.logRep("seen"), 0: () => page.logRep("didNotSee"), u: () => page.undo(), n: () => page.skip() };
}

export function wire(page) {
  const [byId, byData, byKey] = [taps(page), marked(page), keys(page)];
  document.addEventListener("click", (event) => {
    const element = event.target.closest("button");
    if (!element || element.getAttribute("aria-disabled") === "true") return;
    const name = Object.keys(byData).find((key) => key in element.dataset);
    // What is being stored is shown first, so that no other tap shows it too early.
    page.storing.then(() => {
      if (element.id in byId) byId[element.id]();
      if (name) byData[name](element.dataset[name], element);
    });
  });
  at("area").addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || !(event.key in byKey)) return;
    event.preventDefault();
    page.storing.then(() => byKey[event.key]());
  });
  page.log.stand = localStorage.getItem(`${STAND}-${page.data.station}`) || "";
  setThumb(localStorage.getItem(THUMB) === "left");
  setSound(isSilent());
  ignorePalms(() => localStorage.getItem(THUMB) === "left");
}
