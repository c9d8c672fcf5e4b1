// Whether this tablet can work without a network, and what is missing; the worker that makes it so.

const ROOM_BYTES = 20 * 1024 * 1024;
const NEARLY = 0.9;

export async function register(app) {
  if (!("serviceWorker" in navigator)) return;
  try {
    const registered = await navigator.serviceWorker.register(app.worker);
    if (registered.active && app.person) registered.active.postMessage("renew");
  } catch {
    // Without a network, or signed out: what is there stays.
  }
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
}

export async function space() {
  if (!navigator.storage || !navigator.storage.estimate) return { nearlyFull: false };
  const { usage = 0, quota = Infinity } = await navigator.storage.estimate();
  return { nearlyFull: quota - usage < ROOM_BYTES || usage / quota > NEARLY };
}

async function workerThere(app) {
  if (!("serviceWorker" in navigator)) return false;
  const registered = await navigator.serviceWorker.getRegistration(app.start);
  return Boolean(registered && registered.active);
}

// [{ key, good, help }]; needed: without it the tablet does not work offline.
export async function checks(app) {
  const persisted = navigator.storage && navigator.storage.persisted ? await navigator.storage.persisted() : false;
  return [
    { key: "secure", good: window.isSecureContext, needed: true },
    { key: "worker", good: await workerThere(app), needed: true },
    { key: "plan", good: (await app.plans.all()).length > 0, needed: true },
    { key: "store", good: persisted, needed: false },
    { key: "space", good: !(await space()).nearlyFull, needed: false },
  ];
}
