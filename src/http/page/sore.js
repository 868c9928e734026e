// What is sore: the figure, the same regions as a list of boxes, and for each marked one how sore
// and what brings it on.

import { el, fill, freshId, say } from "./dom.js";
import { figure } from "./figure.js";
import { change, state, watch } from "./state.js";
import { called, of, word } from "./words.js";

function toggle(id) {
  const there = state.sore.some((s) => s.region === id);
  const sore = there
    ? state.sore.filter((s) => s.region !== id)
    : [...state.sore, { region: id, aggravator: "", level: "moderate" }];
  change({ sore });
  const name = called("regions", id);
  say(there ? `${name} cleared` : `${name} marked; say below how sore`);
}

const set = (id, patch) => change({ sore: state.sore.map((s) => (s.region === id ? { ...s, ...patch } : s)) });

/** Makes the panel. */
export function sorePanel() {
  const regions = of("regions").map((r) => ({ id: r.id, name: r.means }));
  const drawing = figure({ regions, press: toggle });
  const boxes = new Map();
  const list = el("ul", { class: "chips" }, regions.map(({ id, name }) => {
    const box = el("input", { type: "checkbox", id: freshId("sore"), onchange: () => toggle(id) });
    boxes.set(id, box);
    return el("li", {}, el("label", { class: "chip" }, box, el("span", {}, name)));
  }));
  const cards = el("div", { class: "sore-cards" });

  function card(s) {
    const region = word("regions", s.region);
    const name = region ? region.means : s.region;
    const group = freshId("level");
    const level = of("levels").map((l) =>
      el("label", { class: "pick" },
        el("input", { type: "radio", name: group, value: l.id, checked: s.level === l.id, onchange: () => set(s.region, { level: l.id }) }),
        el("span", {}, el("strong", {}, l.id), el("small", {}, l.means))));
    const what = freshId("what");
    const select = el("select", { id: what, onchange: (e) => set(s.region, { aggravator: e.target.value }) },
      el("option", { value: "" }, "Not sure, or all of it"),
      (region?.parts || []).map((p) => el("option", { value: p.id }, p.means)));
    select.value = s.aggravator;
    return el("fieldset", { class: "sore-card", "data-region": s.region },
      el("legend", {}, name),
      el("div", { class: "picks", role: "radiogroup", "aria-label": `How sore is it: ${name}` }, level),
      el("label", { for: what }, "What brings it on"),
      select,
      el("button", { type: "button", class: "quiet", onclick: () => { toggle(s.region); boxes.get(s.region)?.focus(); } }, `Clear ${name.toLowerCase()}`));
  }

  let shown = "";
  function paint() {
    drawing.show(new Map(state.sore.map((s) => [s.region, s.level])));
    for (const [id, box] of boxes) box.checked = state.sore.some((s) => s.region === id);
    // Cards are made anew only when a region comes or goes, so that the focus stays where it is.
    const now = state.sore.map((s) => s.region).join();
    if (now !== shown) {
      shown = now;
      fill(cards, state.sore.map(card));
      return;
    }
    state.sore.forEach((s, i) => {
      for (const radio of cards.children[i].querySelectorAll("input")) radio.checked = radio.value === s.level;
      cards.children[i].querySelector("select").value = s.aggravator;
    });
  }
  watch((what) => what.has("sore") && paint());
  paint();
  return el("fieldset", { class: "panel" },
    el("legend", {}, "What is sore"),
    el("p", { class: "hint" }, "Touch the figure or tick the list. Nothing sore: leave it empty."),
    el("div", { class: "sore-grid" }, drawing.node, el("div", {}, list, cards)));
}
