// One exercise and what stands around it: what it varies above, variations below, easier to the
// left, harder to the right, and lifts whose load tells something of its own. Drawn with links that
// can be followed, and told again as a list. The places follow from the reply alone, so the same
// exercise is always drawn the same.

import { exercise, newest, overtaken } from "./api.js";
import { byId, capital, draw, el, fill, goTo, listed, plain, say } from "./dom.js";
import { care, exerciseField } from "./swap.js";
import { scale } from "./scales.js";
import { emergency } from "./signs.js";
import { address, change, state, watch } from "./state.js";
import { showTrouble } from "./trouble.js";
import { called, spineClasses } from "./words.js";

/** Most exercises drawn in a group; the list has all of them. */
const MOST = 5;

const BOX = { width: 190, height: 58, gap: 10 };

const wide = matchMedia("(min-width: 720px)");

/** The groups around an exercise, in the order in which they are told. */
function groups(whole) {
  const carries = whole.carries.map((c) => ({
    ...c.exercise,
    note: c.way === "from-this" ? `${c.ratio} of this (${c.low} to ${c.high})` : `this is ${c.ratio} of it (${c.low} to ${c.high})`,
  }));
  return [
    { id: "above", title: "It is a variation of", list: whole.parent ? [whole.parent] : [] },
    { id: "easier", title: "Easier", list: whole.easier },
    { id: "harder", title: "Harder", list: whole.harder },
    { id: "below", title: "Variations of it", list: whole.variations },
    { id: "beside", title: "Other variations of the same", list: whole.siblings },
    { id: "carries", title: "What its load tells, and is told by", list: carries },
  ];
}

/** Words in lines of at most `most` letters, three lines. */
function lines(text, most) {
  const out = [""];
  for (const word of text.split(" ")) {
    const last = out[out.length - 1];
    if (last === "" || (last + " " + word).length <= most) out[out.length - 1] = last === "" ? word : `${last} ${word}`;
    else out.push(word);
  }
  return out.length <= 3 ? out : [out[0], out[1], out.slice(2).join(" ")];
}

function box(node, x, y, kind) {
  const text = lines(node.name, 24);
  const centre = x + BOX.width / 2;
  // Lines are kept apart by a space, so that they read as one name.
  const rows = text.map((line, i) => [i === 0 ? null : " ", draw("tspan", { x: centre, y: y + 34 - (text.length - 1) * 8 + i * 16 }, line)]);
  if (node.note) rows.push([" ", draw("tspan", { x: centre, y: y + BOX.height + 14, class: "note" }, node.note)]);
  const body = [
    draw("rect", { x, y, width: BOX.width, height: BOX.height, class: `node ${kind}` }),
    draw("text", { "text-anchor": "middle" }, rows),
  ];
  return kind === "self" ? draw("g", {}, body) : draw("a", { href: address({ view: "around", exercise: node.id }), "data-exercise": node.id }, body);
}

/** Where things stand on a wide and on a narrow sheet: columns of boxes from left to right. */
const WIDE = { width: 730, columns: [10, 270, 530], easier: 10, harder: 530, self: 270, aside: true };
const NARROW = { width: 400, columns: [5, 205], easier: 5, harder: 205, self: 105, aside: false };

/** Lays the groups out and draws them. */
function picture(whole, sheet) {
  const by = Object.fromEntries(groups(whole).map((g) => [g.id, g]));
  const cut = (g) => g.list.slice(0, MOST);
  const step = BOX.height + BOX.gap;
  const half = BOX.width / 2;
  const parts = [];
  const edges = [];
  const label = (text, x, y) => parts.push(draw("text", { x: x + half, y, class: "group", "text-anchor": "middle" }, text));
  const line = (d, kind) => edges.push(draw("path", { d, class: `edge ${kind}` }));
  const bend = (x1, y1, x2, y2) => `C${x1} ${(y1 + y2) / 2} ${x2} ${(y1 + y2) / 2} ${x2} ${y2}`;
  let y = 8;
  if (by.above.list.length > 0) {
    label("a variation of", sheet.self, y + 12);
    parts.push(box(by.above.list[0], sheet.self, y + 20, "above"));
    y += 20 + BOX.height;
  }
  const under = y;
  const counts = [cut(by.easier).length, cut(by.harder).length];
  const sides = Math.max(...counts, 1);
  // Beside the exercise where there is room, else in two columns below it.
  let self = y + (y > 8 ? 30 : 24);
  let top = self;
  if (sheet.aside) self = top + ((sides - 1) * step) / 2;
  else top = self + BOX.height + 50;
  if (under > 8) line(`M${sheet.self + half} ${self} V${under}`, "family");
  for (const [id, x] of [["easier", sheet.easier], ["harder", sheet.harder]]) {
    const list = cut(by[id]);
    if (list.length === 0) continue;
    const from = sheet.aside ? top + ((sides - list.length) * step) / 2 : top;
    label(id, x, from - 7);
    list.forEach((node, i) => {
      const at = from + i * step;
      parts.push(box(node, x, at, id));
      if (sheet.aside) {
        const [start, end] = id === "easier" ? [sheet.self, x + BOX.width] : [sheet.self + BOX.width, x];
        const mid = (start + end) / 2;
        line(`M${start} ${self + BOX.height / 2} C${mid} ${self + BOX.height / 2} ${mid} ${at + BOX.height / 2} ${end} ${at + BOX.height / 2}`, id);
      }
    });
    if (!sheet.aside) line(`M${sheet.self + half} ${self + BOX.height} ${bend(sheet.self + half, self + BOX.height, x + half, top - 20)}`, id);
  }
  parts.push(box({ id: whole.exercise.id, name: whole.exercise.name }, sheet.self, self, "self"));
  y = (counts[0] + counts[1] === 0 ? self + BOX.height : top + sides * step) + 16;
  for (const [id, words, extra] of [["below", "variations of it", 0], ["carries", "what its load tells, and is told by", 20], ["beside", "other variations of the same", 0]]) {
    const list = cut(by[id]);
    if (list.length === 0) continue;
    if (id === "below" && sheet.aside) line(`M${sheet.self + half} ${self + BOX.height} V${y}`, "family");
    label(words, sheet.self, y + 13);
    y += 22;
    const perRow = sheet.columns.length;
    list.forEach((node, i) => {
      const row = Math.floor(i / perRow);
      // A row that is not full stands in the middle.
      const missing = perRow - Math.min(perRow, list.length - row * perRow);
      const x = sheet.columns[i % perRow] + (missing * (sheet.columns[1] - sheet.columns[0])) / 2;
      parts.push(box(node, x, y + row * (step + extra), id));
    });
    y += Math.ceil(list.length / perRow) * (step + extra) + 20;
  }
  return draw("svg", { viewBox: `0 0 ${sheet.width} ${y}`, class: sheet.aside ? "graph" : "graph narrow", role: "group", "aria-label": `What stands around ${whole.exercise.name}, as a drawing` }, edges, parts);
}

/** Builds the view. */
export function aroundView() {
  const view = byId("around");
  const answers = el("div", { class: "answers" });
  const wait = newest();
  const field = exerciseField("Exercise to look around");
  const form = el("form", { class: "question line-form", onsubmit: (event) => { event.preventDefault(); run(true); } },
    field.node, el("button", { type: "submit", class: "main" }, "Show what stands around it"));
  fill(view, el("h2", { id: "around-title", tabindex: "-1" }, "Around one lift"), form, answers);

  async function run(byHand) {
    if (emergency()) return;
    if (state.exercise.trim() === "") {
      fill(answers, el("p", { class: "blank" }, "Pick an exercise: easier and harder ones, variations, and lifts whose load tells something of its own appear around it."));
      if (byHand) field.field.focus();
      return;
    }
    const signal = wait.signal();
    answers.setAttribute("aria-busy", "true");
    try {
      const whole = await exercise(state.exercise);
      if (signal.aborted || emergency()) return;
      tell(whole);
      if (byHand) goTo(answers.querySelector("h3"));
    } catch (error) {
      if (overtaken(error) || signal.aborted) return;
      const box = showTrouble(answers, error, () => run(true), (id) => { change({ exercise: id }); field.show(plain(id)); run(true); });
      if (byHand) goTo(box.querySelector("h3"));
    } finally {
      if (!signal.aborted) answers.removeAttribute("aria-busy");
    }
  }

  let shown = null;
  function tell(whole) {
    shown = whole;
    const e = whole.exercise;
    const told = groups(whole).filter((g) => g.list.length > 0);
    const spine = spineClasses().indexOf(whole.spine);
    const prime = Object.entries(e.muscles).filter(([, w]) => w >= 0.75).map(([m]) => called("muscles", m).toLowerCase());
    const link = (node) => el("li", {}, el("a", { href: address({ view: "around", exercise: node.id }) }, node.name), node.note ? `: ${node.note}` : null);
    fill(answers,
      el("h3", { tabindex: "-1" }, e.name),
      el("p", { class: "lead" }, `Works ${listed(prime)}. Skill ${e.skill} of 5. `,
        el("a", { href: address({ view: "instead", exercise: e.id }) }, `What instead of ${e.name}?`)),
      care(whole.cautions),
      el("div", { class: "loads one" },
        scale({ name: "Spine load", to: spine, words: plain(whole.spine) }),
        whole.joints.slice(0, 4).map((j) => scale({ name: called("regions", j.region), to: j.grade, words: `${j.grade} of 4` }))),
      told.length === 0
        ? el("p", {}, "The base ties it to no other exercise.")
        : el("div", { class: "graph-box" }, picture(whole, wide.matches ? WIDE : NARROW)),
      el("h3", {}, "The same as a list"),
      told.map((g) => el("section", { class: "more" }, el("h4", {}, `${g.title} (${g.list.length})`), el("ul", { class: "graph-list" }, g.list.map(link)))),
      el("p", { class: "hint" }, "A ratio says how much of one lift's best for one repetition another is; single lifters stand well off it."));
    say(`${e.name}: ${told.map((g) => `${g.list.length} ${g.title.toLowerCase()}`).join(", ") || "no ties"}`);
  }

  // A sheet that becomes narrow or wide is drawn anew; the focus stays in the list.
  wide.addEventListener("change", () => {
    const old = answers.querySelector(".graph-box");
    if (old && shown) fill(old, picture(shown, wide.matches ? WIDE : NARROW));
  });
  watch((what) => {
    if (state.view !== "around" || what.has("view") || !what.has("exercise")) return;
    // Words that are still being typed are no exercise yet.
    if (document.activeElement !== field.field || /^[a-z0-9]+(-[a-z0-9]+)+$/.test(state.exercise)) run(false);
  });
  return { run };
}
