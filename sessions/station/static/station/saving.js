// Unsent entries as a file that a coach takes in at the desk. They stay here until the server has answered for them; the
// notes among them, which are words, go when somebody signs out after that.

const FORMAT = "sixmark-unsent";

export function fileOf(items, { club, device }, now = new Date()) {
  const parts = new Map();
  for (const item of items) {
    const key = `${item.practice} ${item.by} ${item.version}`;
    if (!parts.has(key)) parts.set(key, { practice: item.practice, by: item.by, version: item.version, events: [] });
    parts.get(key).events.push(item.event);
  }
  return { format: FORMAT, version: 1, club, device, saved_at: now.toISOString(), parts: [...parts.values()] };
}

export async function save(app, now = new Date()) {
  const items = await app.events.unsent(app.club);
  const name = `sixmark-${app.club}-${now.toISOString().slice(0, 16).replace(/[-:T]/g, "")}.json`;
  const file = new Blob([JSON.stringify(fileOf(items, app, now))], { type: "application/json" });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
  await app.events.change(items.map(({ id }) => ({ id, saved: now.getTime() })));
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  return name;
}

