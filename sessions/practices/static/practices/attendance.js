// Checks athletes in: each tap is one attendance event, posted to the club's events address. The server keeps it by the
// event's own uuid, so a tap that is sent again after a broken answer counts once.

const here = document.getElementById("attendance");
const said = document.getElementById("attendance_said");
const all = document.getElementById("all_here");
const CAME = ["here", "late"];
const MOST = 200; // events of one batch

function device() {
  let uuid = localStorage.getItem("sixmark.device");
  if (!uuid) {
    uuid = newUuid();
    localStorage.setItem("sixmark.device", uuid);
  }
  return { uuid, name: here.dataset.deviceName };
}

function newUuid() {
  // randomUUID is missing where the page came without https, as on a club's own network.
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function nextSequence() {
  const next = Number(localStorage.getItem("sixmark.sequence") || "0") + 1;
  localStorage.setItem("sixmark.sequence", String(next));
  return next;
}

function token() {
  return JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
}

async function send(events) {
  const body = { version: 1, device: device(), sent_at: new Date().toISOString(), events };
  const answer = await fetch(here.dataset.events, {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": token() },
    body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Error(String(answer.status));
  return (await answer.json()).results;
}

function attendance(button) {
  return {
    uuid: newUuid(),
    kind: "attendance",
    at: new Date().toISOString(),
    sequence: nextSequence(),
    athlete: button.dataset.athlete,
    state: button.dataset.state,
  };
}

async function tap(button) {
  const group = button.closest("[role=group]");
  group.setAttribute("aria-busy", "true");
  try {
    const [result] = await send([attendance(button)]);
    said.textContent = heard(group, button, result);
  } catch {
    said.textContent = `${group.getAttribute("aria-label")}: ${here.dataset.failed}`;
  } finally {
    group.removeAttribute("aria-busy");
  }
}

// What the server answered to one tap, in words; where it took it, the row shows it.
function heard(group, button, result) {
  const name = group.getAttribute("aria-label");
  if (result.state === "rejected") return `${name}: ${here.dataset.refused} ${result.message || result.reason}`;
  if (result.state === "kept") return `${name}: ${result.message}`;
  show(group, button);
  return `${name}: ${button.dataset.said}`;
}

// "Here" for everybody of whom nothing was recorded yet; whoever was noted stays as noted.
function notYetNoted() {
  const groups = [...here.querySelectorAll("[role=group]")];
  const open = groups.filter((group) => !group.dataset.out && !group.querySelector("button[aria-pressed=true]"));
  return open.map((group) => group.querySelector("button[data-state=here]"));
}

async function allHere() {
  const buttons = notYetNoted();
  all.disabled = true;
  try {
    const lines = [];
    for (let from = 0; from < buttons.length; from += MOST) {
      const some = buttons.slice(from, from + MOST);
      const results = await send(some.map(attendance));
      some.forEach((button, place) => lines.push(heard(button.closest("[role=group]"), button, results[place])));
    }
    said.textContent = lines.join(" ");
  } catch {
    said.textContent = all.dataset.failed;
  }
  offerAll();
}

function offerAll() {
  all.parentElement.hidden = !notYetNoted().length;
  all.disabled = false;
}

function show(group, button) {
  for (const other of group.querySelectorAll("button")) {
    const chosen = other === button;
    other.classList.toggle("sel", chosen);
    other.setAttribute("aria-pressed", String(chosen));
  }
  document.querySelector(`[data-words="${button.dataset.athlete}"]`).textContent = button.dataset.said;
  const pressed = [...here.querySelectorAll("button[aria-pressed=true]")];
  document.getElementById("came").textContent = pressed.filter((one) => CAME.includes(one.dataset.state)).length;
  offerAll();
}

for (const button of here.querySelectorAll("button[data-athlete]")) {
  button.disabled = false;
  button.addEventListener("click", () => tap(button));
}

all.addEventListener("click", allHere);
offerAll();
