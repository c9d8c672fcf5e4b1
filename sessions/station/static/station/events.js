// Events as the server takes them: DEVELOPERS.md, "Events". An event holds ids and codes, never a name.

export const VERSION = 2;

export function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Without HTTPS browsers offer only the random bytes (RFC 9562, section 5.4).
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

// The sequence is given when it is stored, because two pages of one device share it.
export function makeEvent(kind, content, now = new Date()) {
  return { uuid: uuid(), kind, at: now.toISOString(), ...content };
}

// What is newer than the format that an item was recorded in stays out of its batch.
export function batch(device, by, items, unsent, now = new Date()) {
  const version = items.length ? items[0].version : VERSION;
  const since2 = version > 1 ? { by, unsent } : {};
  return { version, ...since2, device, sent_at: now.toISOString(), events: items.map((item) => item.event) };
}
