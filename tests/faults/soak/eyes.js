// The driver's eyes on a page of a station: where things are, and what the page told when it ticked. clock: of this
// tablet, in milliseconds ahead of the true one.
(clock) => {
  const There = Date;
  if (clock) {
    window.Date = class extends There {
      constructor(...given) {
        super(...(given.length ? given : [There.now() + clock]));
      }
      static now() {
        return There.now() + clock;
      }
    };
  }

  // How the app wrote to its databases: what ticks must be on the disk by then, and must have asked to be.
  const [open, wrong] = [new Set(), []];
  const { transaction } = IDBDatabase.prototype;
  IDBDatabase.prototype.transaction = function noted(...given) {
    const made = transaction.apply(this, given);
    if (made.mode === "readwrite") {
      open.add(made);
      for (const end of ["complete", "abort"]) made.addEventListener(end, () => open.delete(made));
      if (made.durability !== "strict") wrong.push(`a write of durability ${made.durability}`);
    }
    return made;
  };

  const [kept, waiting] = [[], []];
  document.addEventListener("sixmark:kept", ({ detail }) => {
    if (detail.length && [...open].some((one) => one.db.name === "sixmark-events" && [...one.objectStoreNames].includes("meta"))) wrong.push("a tick before its write had ended");
    kept.push(detail.map(({ uuid, kind }) => ({ uuid, kind })));
    waiting.shift()?.();
  });

  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

  function find(selector, text) {
    const found = [...document.querySelectorAll(selector)].filter((one) => one.offsetParent && one.getAttribute("aria-disabled") !== "true");
    return found.find((one) => text === null || (one.querySelector("span, b") || one).textContent.trim() === text);
  }

  // The middle of what is seen there, once it can be touched; null if it does not come.
  async function spot(selector, text, patience) {
    for (const until = There.now() + patience; ; await pause(15)) {
      const one = find(selector, text);
      if (one) {
        one.scrollIntoView({ block: "nearest", inline: "nearest" });
        const { left, top, width, height } = one.getBoundingClientRect();
        const [x, y] = [left + width / 2, top + height / 2];
        if (one.contains(document.elementFromPoint(x, y))) return { x, y };
      }
      if (There.now() > until) return null;
    }
  }

  async function until(condition, patience) {
    for (const end = There.now() + patience; !condition(); await pause(10)) if (There.now() > end) return false;
    return true;
  }

  // The next tick, with the kinds and ids of what it was for; null if none comes.
  async function tick(patience) {
    if (!kept.length) await Promise.race([new Promise((resolve) => waiting.push(resolve)), pause(patience)]);
    return kept.shift() || null;
  }

  const texts = (selector) => [...document.querySelectorAll(selector)].filter((one) => one.offsetParent).map((one) => (one.querySelector("span, b") || one).textContent.trim());

  window.eyes = { spot, until, tick, texts, wrong };
}
