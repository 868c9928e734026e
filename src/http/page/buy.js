// "What should I buy next?": sliders for money and floor, and the best set for them, each thing with
// what it opens. The answer follows the sliders.

import { ask, newest, overtaken } from "./api.js";
import { byId, capital, count, el, fill, freshId, goTo, listed, plain, say, settle } from "./dom.js";
import { shareBar } from "./scales.js";
import { shareLine } from "./share.js";
import { emergency } from "./signs.js";
import { address, change, kitAsked, signsAsked, soreAsked, state, watch } from "./state.js";
import { aims, care, cautions, kitWords } from "./swap.js";
import { showTrouble } from "./trouble.js";
import { called } from "./words.js";

/** Ends of the sliders. */
const MONEY = { least: 0, most: 3000, step: 25 };
const FLOOR = { least: 0, most: 8, step: 0.25 };

let currency = "";

const money = (n) => `${Math.round(n)}${currency ? ` ${currency}` : ""}`;
const span = (s) => (s.low === s.high ? money(s.typical) : `about ${money(s.typical)} (${Math.round(s.low)} to ${Math.round(s.high)})`);
const points = (n) => (Math.round(n * 10) / 10).toFixed(1);
const floor = (m2) => `${Math.round(m2 * 100) / 100} m²`;

function slider({ label, ends, value, words, set }) {
  const id = freshId("slide");
  const said = el("output", { for: id }, words(value));
  const input = el("input", { id, type: "range", min: ends.least, max: ends.most, step: ends.step, value, "aria-valuetext": words(value) });
  const show = (v) => {
    said.textContent = words(v);
    input.setAttribute("aria-valuetext", words(v));
  };
  input.addEventListener("input", () => {
    show(input.value);
    set(input.value);
  });
  return {
    node: el("div", { class: "field slide" }, el("div", { class: "slide-head" }, el("label", { for: id }, label), said), input),
    put: (v) => {
      if (input.value !== String(v)) input.value = v;
      show(v);
    },
    enable: (on) => { input.disabled = !on; },
  };
}

/** Builds the view. */
export function buyView() {
  const view = byId("buy");
  const answers = el("div", { class: "answers" });
  const wait = newest();
  const budget = slider({ label: "Money to spend", ends: MONEY, value: state.budget, words: (v) => money(Number(v)), set: (v) => change({ budget: v }) });
  const room = slider({ label: "Free floor to put it away", ends: FLOOR, value: state.floor || 2, words: (v) => floor(Number(v)), set: (v) => change({ floor: v }) });
  const any = el("input", { type: "checkbox", checked: state.floor === "", onchange: () => { change({ floor: any.checked ? "" : "2" }); } });
  const byWeek = el("input", { type: "checkbox", checked: state.forWeek, onchange: () => change({ forWeek: byWeek.checked }) });
  const weekLine = el("label", { class: "tick" }, byWeek, el("span", {}, "Weigh it by the exercises of my week, instead of the usual lifts"));

  const form = el("form", { class: "question", onsubmit: (event) => { event.preventDefault(); run(true); } },
    el("div", { class: "slot", "data-slot": "kit" }),
    el("fieldset", { class: "panel" }, el("legend", {}, "What you can spare"),
      budget.node, room.node,
      el("label", { class: "tick" }, any, el("span", {}, "The floor does not matter"))),
    aims(),
    weekLine,
    el("button", { type: "submit", class: "main" }, "Find what to buy"));
  fill(view, el("h2", { id: "buy-title", tabindex: "-1" }, "What to buy next"), el("div", { class: "split" }, form, answers));
  paint();

  function paint() {
    budget.put(state.budget);
    any.checked = state.floor === "";
    room.enable(state.floor !== "");
    if (state.floor !== "") room.put(state.floor);
    byWeek.checked = state.forWeek;
    weekLine.hidden = state.week.trim() === "";
  }

  async function run(byHand) {
    if (emergency()) return;
    if (!state.gym && !state.have) {
      fill(answers, el("div", { class: "blank" },
        el("h3", { tabindex: "-1" }, "First say what kit is there"),
        el("p", {}, "Open The kit, start from one of the places or tick your own list. Then move the sliders: the best set for the money and the floor appears here, with what each thing opens.")));
      if (byHand) goTo(answers.querySelector("h3"));
      return;
    }
    const signal = wait.signal();
    const question = {
      ...kitAsked(), budget: Number(state.budget), aim: state.aim, sore: soreAsked(), signs: signsAsked(),
      ...(state.floor !== "" ? { floor_m2: Number(state.floor) } : {}),
      ...(state.forWeek && state.week.trim() !== "" ? { csv: state.week } : {}),
    };
    answers.setAttribute("aria-busy", "true");
    try {
      const reply = await ask("/v1/kit", question, signal);
      if (!reply.question || emergency()) return;
      currency = reply.question.currency;
      paint();
      fill(answers, parts(reply));
      const n = reply.advice?.steps.length || 0;
      say(n === 0 ? "Nothing to buy helps enough" : `${count(n, "thing")} for ${money(reply.advice.price.typical)}, ${points(reply.worth)} to ${points(reply.advice.steps[n - 1].worth_after)} points`);
      if (byHand) goTo(answers.querySelector("h3"));
    } catch (error) {
      if (overtaken(error)) return;
      const box = showTrouble(answers, error, () => run(true));
      if (byHand) goTo(box.querySelector("h3"));
    } finally {
      if (!signal.aborted) answers.removeAttribute("aria-busy");
    }
  }

  const later = settle(() => state.view === "buy" && run(false), 250);
  watch((what) => {
    if (["budget", "floor", "forWeek", "week"].some((n) => what.has(n))) paint();
    if (!what.has("view") && ["budget", "floor", "forWeek", "gym", "have", "limits", "aim", "sore", "signs"].some((n) => what.has(n))) later();
  });
  return { run };
}

function parts(reply) {
  const q = reply.question;
  const a = reply.advice;
  const sore = q.sore.length ? `, with ${listed(q.sore.map((s) => called("regions", s.region).toLowerCase()))} sore${state.sore.length ? "" : " in turn"}` : "";
  const after = a ? a.steps[a.steps.length - 1].worth_after : reply.worth;
  return [
    el("h3", { tabindex: "-1" }, a ? `Buy ${count(a.steps.length, "thing")} for ${span(a.price)}` : "Buy nothing"),
    a ? null : el("p", { class: "lead" }, capital(reply.nothing || "Nothing on offer helps enough.")),
    care(reply.cautions),
    shareLine(),
    el("div", { class: "worth" },
      el("p", {}, `How well ${count(q.questions, "question")} about ${q.basket === "week" ? "your week" : "the usual lifts"}${sore} ${q.questions === 1 ? "is" : "are"} answered, of 100:`),
      worthRow("now", reply.worth), a ? worthRow("with it all", after) : null),
    reply.contradictions.length ? el("div", { class: "care" }, el("strong", {}, "What does not fit in what you say is there"),
      el("ul", {}, reply.contradictions.map((c) => el("li", {}, `${capital(c.found)}. ${capital(c.way_out)}.`)))) : null,
    a ? el("ol", { class: "cards" }, a.steps.map(step)) : null,
    a && !a.proven ? el("p", { class: "hint" }, "The search stopped early; a better set may exist.") : null,
    frontier(reply), singles(reply), leftOut(reply),
    reply.notes.length ? el("ul", { class: "notes" }, reply.notes.map((t) => el("li", {}, `${capital(t)}.`))) : null,
  ];
}

const worthRow = (name, value) =>
  el("div", { class: "worth-row" }, el("span", {}, name), shareBar(value), el("strong", {}, points(value)));

const exercises = (list) => list.map((e, i) => [i > 0 ? ", " : "", el("a", { href: address({ view: "around", exercise: e.id }) }, e.name)]);

function step(s, i) {
  const t = s.thing;
  const facts = [
    `Price ${span(t.price)}${t.price_basis === "memory" ? ", a rough figure from knowledge of the trade" : ""}`,
    `Floor ${floor(t.use_m2)} in use, ${floor(t.stored_m2)} put away`,
    t.ceiling_m ? `Ceiling ${t.ceiling_m} m or more` : null,
    t.rated_kg ? `Rated by makers from ${t.rated_kg[0]} to ${t.rated_kg[1]} kg: check yours` : null,
    t.needs.length ? `Needs ${t.needs.map((alt) => kitWords(alt)).join(", or ")}` : null,
    t.besides ? `Needs besides: ${t.besides}` : null,
    t.duplicates.length ? `Does much of the same as ${kitWords(t.duplicates)}` : null,
    t.stand_ins.length ? `Meanwhile: ${listed(t.stand_ins)}` : null,
  ].filter(Boolean);
  return el("li", { class: "card" },
    el("div", { class: "card-head" },
      el("span", { class: "place", "aria-hidden": "true" }, i + 1), el("h4", {}, t.name),
      el("p", { class: "score" }, el("strong", {}, `+${points(s.adds.points.typical)}`), " points")),
    cautions(t.caution ? [t.caution] : []),
    el("p", { class: "lead" }, `Adds ${points(s.adds.points.typical)} points (${points(s.adds.points.low)} to ${points(s.adds.points.high)}) to the others; with those before it the questions stand at ${points(s.worth_after)}.`),
    el("ul", {}, facts.map((f) => el("li", {}, f))),
    s.adds.unlocks.length ? el("p", {}, "Opens ", exercises(s.adds.unlocks), ".") : null,
    fixes(s.adds.fixes));
}

function fixes(list) {
  if (list.length === 0) return null;
  return el("details", { class: "inline" }, el("summary", {}, "What it answers better"),
    el("ul", {}, list.map((f) =>
      el("li", {}, `Instead of ${f.question.exercise.name}${f.question.sore.length ? ` with a sore ${listed(f.question.sore.map((s) => called("regions", s.region).toLowerCase()))}` : ""}: ${points(f.from)} to ${points(f.to)} of 100, by ${listed(f.with.map((e) => e.name))}.`))));
}

/** Gain against money, a row a budget. */
function frontier(reply) {
  if (reply.frontier.length === 0) return null;
  const most = Math.max(0.1, ...reply.frontier.map((p) => p.gain));
  const here = reply.question.budget;
  return el("section", { class: "more" },
    el("h4", {}, "What more or less money brings"),
    el("table", { class: "days frontier" },
      el("caption", {}, "Points gained by the best set for each budget"),
      el("thead", {}, el("tr", {}, ["Budget", "Gain", "Points", "Spent"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, reply.frontier.map((p) =>
        el("tr", { class: p.budget === here ? "here" : null },
          el("th", { scope: "row" }, money(p.budget), p.budget === here ? el("small", {}, " yours") : null),
          el("td", { class: "day-bar" }, shareBar((p.gain / most) * 100)),
          el("td", { class: "number" }, `+${points(p.gain)}`), el("td", { class: "number" }, Math.round(p.price)))))));
}

function singles(reply) {
  if (reply.singles.length === 0) return null;
  return el("details", { class: "more" }, el("summary", {}, "One thing alone, the most for the money first"),
    el("ul", {}, reply.singles.map((s) =>
      el("li", {}, el("strong", {}, s.thing.name), s.with.length ? ` with ${listed(s.with.map((w) => w.name))}` : null,
        `: ${span(s.price)}, +${points(s.gain.points.typical)} points, ${points(s.per_100.typical)} for a hundred${s.per_m2 ? `, ${points(s.per_m2)} for a square metre` : ""}.`,
        cautions(s.thing.caution ? [s.thing.caution] : [])))));
}

function leftOut(reply) {
  if (reply.left_out.length === 0) return null;
  const kinds = [...new Set(reply.left_out.map((l) => l.why))];
  return el("details", { class: "more refused" }, el("summary", {}, `Left out: ${reply.left_out.length}, and why`),
    el("ul", {}, kinds.map((k) => {
      const list = reply.left_out.filter((l) => l.why === k);
      return el("li", {}, el("strong", {}, `${list.length} by ${plain(k)}`), el("ul", {}, list.map((l) => el("li", {}, `${capital(plain(l.id))}: ${l.said}`))));
    })));
}
