// Asking the service: one place that knows about time limits, keys, problems and being away.

const TIME_LIMIT_MS = 8000;
const RETRY_MS = 2000;
const AWAY_STATUS = new Set([429, 502, 503, 504]);

export class Away extends Error {}
export class Refused extends Error {
  constructor(status, problem) {
    super(problem.detail || problem.title || String(status));
    this.status = status;
    this.problem = problem;
  }
}

let key = "";
export function useKey(text) { key = text; }

export async function ask(path, { body, accept = "application/json", signal } = {}) {
  const headers = { Accept: accept };
  if (body) headers["Content-Type"] = "application/json";
  if (key) headers.Authorization = `Bearer ${key}`;
  const limit = new AbortController();
  const timer = setTimeout(() => limit.abort(), TIME_LIMIT_MS);
  const stop = () => limit.abort();
  signal?.addEventListener("abort", stop);
  try {
    const reply = await fetch(path, {
      method: body ? "POST" : "GET",
      body: body && JSON.stringify(body),
      headers,
      signal: limit.signal,
    });
    if (AWAY_STATUS.has(reply.status)) throw new Away(String(reply.status));
    if (!reply.ok) throw new Refused(reply.status, await reply.json().catch(() => ({})));
    return accept.startsWith("application/json") ? await reply.json() : await reply.text();
  } catch (error) {
    if (error instanceof Refused || error instanceof Away) throw error;
    if (signal?.aborted) throw signal.reason;
    throw new Away(error.message);
  } finally {
    clearTimeout(timer);
    signal?.removeEventListener("abort", stop);
  }
}

// Resolves once the service answers again.
export async function backAgain() {
  for (;;) {
    await new Promise((done) => setTimeout(done, RETRY_MS));
    try {
      await ask("/healthz");
      return;
    } catch { /* still away */ }
  }
}

// The schema of a request's field, as `bowler.ball.cover`, from the service's own contract.
export function schemaIn(contract, path, dotted) {
  const follow = (schema) => {
    const link = schema.$ref ?? schema.allOf?.[0].$ref;
    return link ? follow(contract.components.schemas[link.split("/").pop()]) : schema;
  };
  let schema = follow(contract.paths[path].post.requestBody.content["application/json"].schema);
  for (const name of dotted.split(".")) schema = follow(schema.properties[name]);
  return schema;
}
