// Small helpers that make elements. Text goes in as text and never as markup.

/** Makes an element: `el("p", { class: "soft", onclick: f }, "words", child)`. */
export function el(tag, props = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) set(node, name, value);
  node.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

const SVG = "http://www.w3.org/2000/svg";

/** Makes an element of a drawing. */
export function draw(tag, props = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(props)) set(node, name, value);
  node.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

function set(node, name, value) {
  if (value === null || value === undefined || value === false) return;
  if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
  else if (name === "value" || name === "checked" || name === "disabled") node[name] = value;
  else node.setAttribute(name, value === true ? "" : String(value));
}

/** Puts children in place of what a node holds. */
export function fill(node, ...children) {
  node.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

export const byId = (id) => document.getElementById(id);

let counter = 0;
/** An id that no other element has. */
export const freshId = (stem) => `${stem}-${++counter}`;

/** Says something to a screen reader, without moving the focus. */
export function say(text) {
  const live = byId("said");
  live.textContent = "";
  // A change that comes with the next frame is announced, also when the text is the same.
  requestAnimationFrame(() => { live.textContent = text; });
}

/** Scrolls to an element and gives it the focus. */
export function goTo(node) {
  if (!node.hasAttribute("tabindex") && node.tabIndex < 0) node.setAttribute("tabindex", "-1");
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  node.focus({ preventScroll: true });
  node.scrollIntoView({ block: "start", behavior: calm ? "auto" : "smooth" });
}

/** `very-high` as people write it. */
export const plain = (id) => String(id).replace(/[-_]/g, " ");

/** With a capital letter. */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** "a, b and c". */
export function listed(items) {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}

/** "1 row", "2 rows". */
export const count = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** Runs `f` once calls have stopped for `ms`. */
export function settle(f, ms) {
  let timer = 0;
  const later = (...args) => {
    clearTimeout(timer);
    timer = setTimeout(() => f(...args), ms);
  };
  later.stop = () => clearTimeout(timer);
  return later;
}
