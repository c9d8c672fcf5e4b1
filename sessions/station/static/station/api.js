// The club's server. Each call resolves to { status, body, after } and throws when no answer came.

const TIMEOUT_MS = 15000;

async function ask(url, options = {}) {
  const response = await fetch(url, {
    credentials: "same-origin",
    cache: "no-store",
    redirect: "manual",
    signal: AbortSignal.timeout(TIMEOUT_MS),
    ...options,
  });
  const kind = response.headers.get("Content-Type") || "";
  const after = Number(response.headers.get("Retry-After")) || 0;
  return { status: response.status, after, body: kind.includes("json") ? await response.json() : null };
}

export class Api {
  constructor(club) {
    this.base = `/api/v1/clubs/${club}`;
  }

  hello() {
    return ask(`${this.base}/hello/`);
  }

  plan(practice) {
    return ask(`${this.base}/practices/${practice}/bundle/`);
  }

  cards(practice, csrf) {
    return this.post(`/practices/${practice}/bundle/cards/`, {}, csrf);
  }

  send(practice, body, csrf) {
    return this.post(`/practices/${practice}/events/`, body, csrf);
  }

  post(path, body, csrf) {
    const headers = { "Content-Type": "application/json", "X-CSRFToken": csrf };
    return ask(this.base + path, { method: "POST", headers, body: JSON.stringify(body) });
  }
}
