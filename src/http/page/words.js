// The words of the base: regions, kit, gyms, muscles, signs and what they mean. Read once.

import { read } from "./api.js";
import { plain } from "./dom.js";

export const words = { groups: new Map() };

/** Reads every word of the base. */
export async function readWords() {
  const reply = await read("/v1/terms");
  for (const group of reply.groups) words.groups.set(group.kind, group.words);
  words.base = reply.base;
}

/** The words of one kind. */
export const of = (kind) => words.groups.get(kind) || [];

/** One word by id. */
export const word = (kind, id) => of(kind).find((w) => w.id === id);

/** How people call it. */
export function called(kind, id) {
  const found = word(kind, id);
  return found ? found.name || found.means : plain(id);
}

/** The name of a gym, without what stands after the colon. */
export const gymName = (id) => called("gyms", id).split(":")[0];

/** Spine classes from least to most. */
export const spineClasses = () => of("spine").map((w) => w.id);
