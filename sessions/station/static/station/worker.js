// Opens the pages of logging without a network. The server writes SETUP above: club, version, shell and assets.
// Pages come from the server while it answers; what is kept here is the shell, which holds no name.

const CACHE = `sixmark-${SETUP.club}-${SETUP.version}`;
const PATIENCE_MS = 3000;

async function keep(url, cache = "reload") {
  const answer = await fetch(new Request(url, { credentials: "same-origin", cache }));
  // A page of sign-in in place of the shell is worth nothing without a network.
  if (!answer.ok || answer.redirected) throw new Error(`${answer.status} ${url}`);
  await (await caches.open(CACHE)).put(url, answer);
}

async function install() {
  // The names of assets tell their content: what the page has loaded already does not come over the wire again.
  await Promise.all([keep(SETUP.shell), ...SETUP.assets.map((url) => keep(url, "default"))]);
  await self.skipWaiting();
}

async function activate() {
  const mine = `sixmark-${SETUP.club}-`;
  const old = (await caches.keys()).filter((name) => name.startsWith(mine) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

function patiently(answer) {
  return new Promise((resolve, reject) => {
    setTimeout(() => reject(new Error("slow")), PATIENCE_MS);
    answer.then(resolve, reject);
  });
}

async function page(request) {
  const shell = await (await caches.open(CACHE)).match(SETUP.shell);
  if (!shell) return fetch(request);
  try {
    const answer = await patiently(fetch(request));
    return answer.status >= 500 ? shell : answer;
  } catch {
    return shell;
  }
}

async function asset(request) {
  const kept = await (await caches.open(CACHE)).match(request, { ignoreSearch: true });
  return kept || fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  // The shell in the language of whoever is signed in now.
  if (event.data === "renew") event.waitUntil(keep(SETUP.shell).catch(() => {}));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (SETUP.assets.includes(pathname)) event.respondWith(asset(request));
});
