// The kit: a gym of the base to start from, and a list to tick. Kept in this browser.

import { count, el, fill, freshId } from "./dom.js";
import { change, state, watch } from "./state.js";
import { gymName, of, word } from "./words.js";

/** What a list of one's own may say of its weights and its roof. */
const LIMITS = [
  ["plates", "Plates in all, kg"], ["dumbbell", "Heaviest dumbbell, kg"],
  ["kettlebell", "Heaviest kettlebell, kg"], ["ceiling", "Ceiling, m"],
];

const itemsOf = (gym) => (word("gyms", gym)?.parts || []).map((p) => p.id);

/** The kit in a few words. */
export function kitInWords() {
  if (state.gym) return gymName(state.gym);
  if (state.have) return count(state.have.length, "thing ticked", "things ticked");
  return "not said, so everything counts as there";
}

/** Makes the panel. */
export function kitPanel() {
  const starts = freshId("gym");
  const radios = new Map();
  const start = (id, title, small, choose) => {
    const radio = el("input", { type: "radio", name: starts, value: id, onchange: choose });
    radios.set(id, radio);
    return el("label", { class: "pick" }, radio, el("span", {}, el("strong", {}, title), el("small", {}, small)));
  };
  const gyms = of("gyms").map((g) => {
    const [name, small = ""] = g.means.split(/:\s*/);
    return start(g.id, name, small, () => change({ gym: g.id, have: null }));
  });
  const boxes = new Map();
  const list = el("ul", { class: "ticks" }, of("equipment").map((q) => {
    const box = el("input", { type: "checkbox", onchange: () => tick(q.id, box.checked) });
    boxes.set(q.id, box);
    return el("li", { "data-words": [q.means, ...(q.aliases || [])].join(" ").toLowerCase() },
      el("label", { class: "tick" }, box, el("span", {}, q.means)));
  }));

  const held = () => new Set(state.gym ? itemsOf(state.gym) : state.have || []);

  function tick(id, on) {
    const now = held();
    if (on) now.add(id);
    else now.delete(id);
    change({ gym: null, have: of("equipment").map((q) => q.id).filter((q) => now.has(q)) });
  }

  const narrow = freshId("narrow");
  const none = el("p", { class: "hint", role: "status" });
  const filter = el("input", {
    id: narrow, type: "text", autocomplete: "off",
    oninput: (event) => {
      const text = event.target.value.trim().toLowerCase();
      let left = 0;
      for (const item of list.children) {
        item.hidden = !item.dataset.words.includes(text);
        if (!item.hidden) left += 1;
      }
      none.textContent = text === "" ? "" : left === 0 ? "No kit of that name" : `${count(left, "piece", "pieces")} of kit`;
    },
  });
  const makeshift = el("input", { type: "checkbox", onchange: (e) => change({ improvise: e.target.checked }) });
  const limits = new Map();
  const limitFields = LIMITS.map(([name, label]) => {
    const id = freshId(name);
    const input = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", oninput: () => change({ limits: { ...state.limits, [name]: input.value.trim().replace(",", ".") } }) });
    limits.set(name, input);
    return el("div", { class: "field small" }, el("label", { for: id }, label), input);
  });
  const ownLimits = el("fieldset", { class: "plain" }, el("legend", {}, "How heavy and how high it goes"), el("div", { class: "row" }, limitFields),
    el("p", { class: "hint" }, "Left empty, there is enough of it."));
  const summary = el("span", { class: "said" });

  function paint() {
    const now = held();
    for (const [id, box] of boxes) box.checked = now.has(id);
    const which = state.gym || (state.have ? "own" : "any");
    for (const [id, radio] of radios) radio.checked = id === which;
    ownLimits.hidden = which !== "own";
    for (const [name, input] of limits) if (document.activeElement !== input) input.value = state.limits[name];
    makeshift.checked = state.improvise;
    fill(summary, kitInWords());
  }
  watch((what) => ["gym", "have", "limits", "improvise"].some((name) => what.has(name)) && paint());

  const panel = el("details", { class: "panel" },
    el("summary", {}, el("span", { class: "legend" }, "The kit"), " ", summary),
    el("fieldset", { class: "plain" },
      el("legend", {}, "Start from"),
      el("div", { class: "picks wide" },
        start("any", "Not said", "everything counts as there", () => change({ gym: null, have: null })),
        gyms,
        start("own", "My own list", "what is ticked below", () => change({ gym: null, have: [...held()] })))),
    el("fieldset", { class: "plain" },
      el("legend", {}, "What is there"),
      el("label", { for: narrow }, "Shorten the list"), filter, none,
      list),
    ownLimits,
    el("label", { class: "tick" }, makeshift, el("span", {}, "Makeshift set-ups count as kit, such as a bar end in a corner")),
    el("p", { class: "hint" }, "Your kit is kept in this browser and nowhere else."));
  paint();
  return panel;
}
