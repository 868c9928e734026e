// What a person reads when a question got no answer: what happened, that nothing entered is lost,
// and what to do next.

import { el, fill, say } from "./dom.js";
import { Problem, Unreachable } from "./api.js";

/**
 * Shows an error in `slot`. `again` asks the same question once more; `take`, when given, takes one
 * of the nearest values in place of the wrong one.
 */
export function showTrouble(slot, error, again, take) {
  const lost = error instanceof Unreachable;
  const busy = error instanceof Problem && (error.status === 429 || error.status >= 500);
  const title = lost ? "The server does not answer" : busy ? "The server could not answer just now" : "That question needs a change";
  const words = lost
    ? "It may have been stopped, or the connection is gone. Everything you entered is still here."
    : busy
      ? `${error.message}. Everything you entered is still here.`
      : error.message;
  const box = el("div", { class: "trouble" }, el("h3", {}, title), ...words.split("\n").map((line) => el("p", {}, line)));
  if (take && error instanceof Problem && error.nearest.length > 0) {
    const choices = error.nearest.map((id) => el("button", { type: "button", class: "quiet", onclick: () => take(id) }, id));
    box.append(el("p", {}, "Nearest:"), el("div", { class: "row" }, choices));
  }
  if (again && (lost || busy)) {
    box.append(el("button", { type: "button", class: "main", onclick: again }, "Try again"));
  }
  fill(slot, box);
  say(`${title}. ${words}`);
  return box;
}

/** The cells of a week that are wrong, each with its place and the way out. */
export function cellList(cells) {
  const row = (c) =>
    el("li", {},
      el("strong", {}, `Line ${c.line}, ${c.column}`),
      c.value === "" ? ": " : el("span", {}, ": ", el("code", {}, c.value), ": "),
      `${c.found}. ${c.hint.charAt(0).toUpperCase()}${c.hint.slice(1)}.`);
  return el("ul", { class: "cells" }, cells.map(row));
}
