// Warning signs, first of all: ticking one of an emergency takes every exercise off the page and
// leaves what to do.

import { byId, el, fill, say } from "./dom.js";
import { signs, signsChanged } from "./state.js";
import { of, word } from "./words.js";

/** Whether a sign of an emergency is ticked. */
export const emergency = () => [...signs].some((id) => word("signs", id)?.parent === "emergency");

function boxes(urgency) {
  return el("ul", { class: "signs" }, of("signs").filter((s) => s.parent === urgency).map((s) => {
    const box = el("input", {
      type: "checkbox", "data-sign": s.id,
      onchange: () => {
        if (box.checked) signs.add(s.id);
        else signs.delete(s.id);
        paint();
        signsChanged();
      },
    });
    return el("li", {}, el("label", { class: "tick" }, box, el("span", {}, s.means)));
  }));
}

/** What to do about the signs ticked, the most urgent first; each action once. */
function actions() {
  const order = ["emergency", "urgent", "routine"];
  const ticked = of("signs").filter((s) => signs.has(s.id));
  const first = order.find((u) => ticked.some((s) => s.parent === u));
  const shown = first === "emergency" ? ["emergency"] : order;
  return shown
    .map((u) => ticked.filter((s) => s.parent === u))
    .filter((group) => group.length > 0)
    .map((group) => ({ urgency: group[0].parent, action: group[0].action, of: group.map((s) => s.means) }));
}

function paint() {
  const told = actions();
  const stop = emergency();
  document.body.classList.toggle("stopped", stop);
  byId("views").hidden = stop;
  byId("places").hidden = stop;
  const slot = byId("stop");
  fill(slot, told.map((t) =>
    el("div", { class: `act ${t.urgency}` },
      el("p", { class: "act-words" }, t.action),
      el("p", { class: "hint" }, `Because you ticked: ${t.of.join("; ")}.`))));
  slot.hidden = told.length === 0;
  byId("no-signs").hidden = signs.size > 0;
  // What was said last may name an exercise.
  if (stop) say("");
}

/** Fills the section with the signs of the base. */
export function signsSection() {
  fill(byId("emergency-signs"), boxes("emergency"));
  fill(byId("later-signs"), el("h3", {}, "See a clinician soon if"), boxes("urgent"), el("h3", {}, "Have it looked at if"), boxes("routine"));
  byId("later").hidden = false;
  const none = byId("no-signs");
  none.hidden = false;
  none.addEventListener("click", () => {
    byId("signs").classList.add("folded");
    byId("signs-folded").hidden = false;
    byId("show-signs").focus();
    say("Warning signs folded away; they can be shown again at any time");
  });
  byId("show-signs").addEventListener("click", () => {
    byId("signs").classList.remove("folded");
    byId("signs-folded").hidden = true;
    byId("signs-title").setAttribute("tabindex", "-1");
    byId("signs-title").focus();
  });
}
