// Events as the server takes them: format 1 of DEVELOPERS.md. This device has one id and one rising sequence, which outlive the page.

export const VERSION = 1;
const DEVICE = "sixmark-device";
const SEQUENCE = "sixmark-sequence";

export function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Without HTTPS browsers offer only the random bytes (RFC 9562, section 5.4).
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export function device(name, store = localStorage) {
  let id = store.getItem(DEVICE);
  if (!id) {
    id = uuid();
    store.setItem(DEVICE, id);
  }
  return { uuid: id, name };
}

// Two pages of one device share the sequence; the time of the event decides first, so a tie between them does no harm.
function nextSequence(store) {
  const next = Number(store.getItem(SEQUENCE) || 0) + 1;
  store.setItem(SEQUENCE, String(next));
  return next;
}

export function makeEvent(kind, content, { now = new Date(), store = localStorage } = {}) {
  return { uuid: uuid(), kind, at: now.toISOString(), sequence: nextSequence(store), ...content };
}

export function batch(who, events, now = new Date()) {
  return { version: VERSION, device: who, sent_at: now.toISOString(), events };
}
