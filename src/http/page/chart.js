// The chart of a week: each day a bar of its exercises, lettered so that no colour is needed, and
// the sets of each muscle. Both are tables, so that they read the same without eyes.

import { el } from "./dom.js";

/** Exercises that get a letter of their own; the others share the last. */
const LETTERS = ["A", "B", "C", "D", "E", "F"];

const DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

function part(share, tone, letter, title) {
  const node = el("span", { class: `part tone${tone}`, title });
  node.style.width = `${share * 100}%`;
  if (share > 0.055) node.append(el("b", {}, letter));
  return node;
}

/** Relative spinal loading by day. */
export function chart(week) {
  const shown = week.exercises.filter((e) => e.sums.dose.mid > 0);
  const place = (id) => Math.min(LETTERS.length, shown.findIndex((e) => e.exercise.id === id));
  const letter = (tone) => LETTERS[tone] || "…";
  const sum = (day) => day.rows.reduce((all, r) => all + (r.dose?.mid || 0), 0);
  const most = Math.max(1, ...week.days.map(sum));
  const byNumber = new Map(week.days.map((d) => [d.day, d]));
  const row = (name, i) => {
    const day = byNumber.get(i + 1);
    if (!day) return el("tr", { class: "rest" }, el("th", { scope: "row" }, name), el("td", { class: "day-bar" }, "rest"), el("td", {}), el("td", { class: "spare" }), el("td", {}));
    const parts = day.rows
      .filter((r) => r.dose?.mid > 0)
      .map((r) => ({ tone: place(r.exercise.id), share: r.dose.mid / most, name: r.exercise.name, mid: r.dose.mid }))
      .sort((a, b) => a.tone - b.tone);
    const words = parts.map((p) => `${p.name} ${p.mid}`).join(", ");
    return el("tr", {},
      el("th", { scope: "row" }, name),
      el("td", { class: "day-bar" },
        el("div", { class: "stack", "aria-hidden": "true" }, parts.map((p) => part(p.share, p.tone, letter(p.tone), `${p.name}: ${p.mid}`))),
        el("span", { class: "unseen" }, words || "no load of the spine")),
      el("td", { class: "number" }, day.sums.points),
      el("td", { class: "number spare" }, day.sums.hard_sets),
      el("td", { class: "number range" }, `${day.sums.dose.mid}`, el("small", {}, ` ${day.sums.dose.low} to ${day.sums.dose.high}`)));
  };
  const total = week.sums;
  const key = shown.slice(0, LETTERS.length).map((e, i) => el("li", {}, el("span", { class: `part tone${i}`, "aria-hidden": "true" }, el("b", {}, LETTERS[i])), ` ${e.exercise.name}`));
  if (shown.length > LETTERS.length) key.push(el("li", {}, el("span", { class: `part tone${LETTERS.length}`, "aria-hidden": "true" }, el("b", {}, "…")), " all others"));
  return el("section", { class: "more" },
    el("h4", {}, "Spine load by day"),
    el("table", { class: "days" },
      el("caption", {}, "Loading is relative, by the body model, for comparing your own days; points are a coach's, 0 to 3 a hard set"),
      el("thead", {}, el("tr", {}, ["Day", "Loading, by exercise", "Points", "Hard sets", "Loading"].map((h, i) => el("th", { scope: "col", class: i === 3 ? "spare" : null }, h)))),
      el("tbody", {}, DAYS.map(row)),
      el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, "Week"), el("td", { class: "day-bar" }),
        el("td", { class: "number" }, total.points), el("td", { class: "number spare" }, total.hard_sets),
        el("td", { class: "number range" }, `${total.dose.mid}`, el("small", {}, ` ${total.dose.low} to ${total.dose.high}`))))),
    el("ul", { class: "letters", "aria-label": "Letters of the chart" }, key));
}

/** Sets by muscle. */
export function muscles(week) {
  const list = [...week.muscles].sort((a, b) => b.sets - a.sets || a.name.localeCompare(b.name));
  const most = Math.max(10, ...list.map((m) => m.sets));
  const bar = (m) => {
    const direct = el("span", { class: "direct" });
    direct.style.width = `${(Math.min(m.direct, m.sets) / most) * 100}%`;
    const helped = el("span", { class: "helped" });
    helped.style.width = `${(Math.max(0, m.sets - m.direct) / most) * 100}%`;
    return el("div", { class: "stack", "aria-hidden": "true" }, direct, helped);
  };
  return el("section", { class: "more" },
    el("h4", {}, "Sets by muscle"),
    el("table", { class: "days" },
      el("caption", {}, "Solid as a main mover, striped as a helper, which counts half"),
      el("thead", {}, el("tr", {}, ["Muscle", "Sets", "In all", "As a main mover", "That is"].map((h, i) => el("th", { scope: "col", class: i === 3 ? "spare" : null }, h)))),
      el("tbody", {}, list.map((m) =>
        el("tr", {}, el("th", { scope: "row" }, m.name), el("td", { class: "day-bar" }, bar(m)),
          el("td", { class: "number" }, m.sets), el("td", { class: "number spare" }, m.direct), el("td", { class: "label" }, m.label))))));
}
