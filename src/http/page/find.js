// Finds exercises as one types: the beginnings of words are looked up here, among all names, and
// other names, short forms and slips by the server.

import { read } from "./api.js";
import { called } from "./words.js";

let names = null;

/** Every exercise by id and name; asked for once. */
function all() {
  names ??= read("/v1/exercises").then(
    (reply) => reply.exercises.map((e) => ({ id: e.id, name: e.name, pattern: e.pattern, parts: split(e.name) })),
    (error) => {
      names = null;
      throw error;
    },
  );
  return names;
}

/** Starts reading the names, so that they are there when the first letter comes. */
export const warm = () => { all().catch(() => {}); };

/** The name of an exercise by id, if the names are there. */
export async function nameOf(id) {
  const found = (await all()).find((e) => e.id === id);
  return found ? found.name : null;
}

const split = (text) => text.toLowerCase().split(/[^a-z0-9]+/).filter(Boolean);

/** Most exercises offered. */
const MOST = 8;

/** Exercises for a text, best first. */
export async function find(text) {
  const parts = split(text);
  const everything = await all();
  const whole = new Set(everything.flatMap((e) => e.parts));
  const begins = everything
    .filter((e) => parts.every((p) => e.parts.some((q) => q.startsWith(p))))
    .map((e) => ({ e, far: (e.name.toLowerCase().startsWith(text.toLowerCase()) ? 0 : 100) + e.parts.length }))
    .sort((a, b) => a.far - b.far)
    .map(({ e }) => e);
  const reply = await read(`/v1/find?text=${encodeURIComponent(text)}&top=${MOST}`).catch(() => ({ hits: [] }));
  // A last word that is still being typed says little to the server.
  const unfinished = parts.length === 0 || !whole.has(parts[parts.length - 1]);
  const order = unfinished && begins.length > 0 ? [...begins, ...reply.hits] : [...reply.hits, ...begins];
  const seen = new Set();
  return order
    .filter((e) => !seen.has(e.id) && seen.add(e.id))
    .slice(0, MOST)
    .map((e) => ({ id: e.id, name: e.name, note: called("patterns", e.pattern).toLowerCase() }));
}
