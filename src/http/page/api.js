// Asks the server that this page came from, and no other.

/** A reply that says what is wrong with the question. */
export class Problem extends Error {
  constructor(body, status) {
    super(body.detail || `the server answered with status ${status}`);
    this.status = status;
    this.code = body.code || "";
    this.nearest = body.nearest || [];
    this.pointer = body.pointer || "";
    this.cells = body.cells || [];
  }
}

/** No reply came. */
export class Unreachable extends Error {}

/** The question was overtaken by a newer one. */
export const overtaken = (error) => error.name === "AbortError";

/** Longest wait for a reply, milliseconds. */
const PATIENCE = 20000;

async function send(path, options, signal) {
  const clock = new AbortController();
  const timer = setTimeout(() => clock.abort(), PATIENCE);
  const stop = () => clock.abort();
  signal?.addEventListener("abort", stop);
  let reply;
  let text;
  try {
    reply = await fetch(path, { ...options, signal: clock.signal });
    text = await reply.text();
  } catch {
    if (signal?.aborted) throw new DOMException("overtaken", "AbortError");
    throw new Unreachable("no reply");
  } finally {
    clearTimeout(timer);
    signal?.removeEventListener("abort", stop);
  }
  if (signal?.aborted) throw new DOMException("overtaken", "AbortError");
  let body;
  try {
    body = JSON.parse(text);
  } catch {
    throw new Problem({ detail: `the server answered with status ${reply.status} and no words` }, reply.status);
  }
  if (!reply.ok) throw new Problem(body, reply.status);
  return body;
}

/** Reads what stands at a path. */
export const read = (path, signal) => send(path, { headers: { accept: "application/json" } }, signal);

/** Asks a question that has a body. */
export const ask = (path, question, signal) =>
  send(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(question) }, signal);

const known = new Map();

/** One exercise whole; asked for once. */
export function exercise(id) {
  if (!known.has(id)) {
    const asked = read(`/v1/exercises/${encodeURIComponent(id)}`);
    known.set(id, asked);
    asked.catch(() => known.delete(id));
  }
  return known.get(id);
}

/** The newest of several questions: asking again stops the one before. */
export function newest() {
  let current = null;
  return {
    signal() {
      current?.abort();
      current = new AbortController();
      return current.signal;
    },
    stop() {
      current?.abort();
      current = null;
    },
  };
}
