// "What do I do instead?": the question and the ranked substitutes.

import { ask, exercise, newest, overtaken } from "./api.js";
import { combobox } from "./combobox.js";
import { byId, capital, count, el, fill, freshId, goTo, listed, plain, say, settle } from "./dom.js";
import { find, nameOf, warm } from "./find.js";
import { legend, muscleBars, scale, scalePicture, shareBar } from "./scales.js";
import { address, change, kitAsked, signsAsked, soreAsked, state, watch } from "./state.js";
import { emergency } from "./signs.js";
import { showTrouble } from "./trouble.js";
import { called, gymName, of, spineClasses } from "./words.js";
import { shareLine } from "./share.js";

/** A field to pick an exercise, kept in step with what is asked. */
export function exerciseField(label) {
  const field = combobox({
    label,
    hint: "Begin to type: a name, a short form or a muscle.",
    find,
    take: (option) => change({ exercise: option.id }),
    typed: settleText,
  });
  field.field.addEventListener("focus", warm, { once: true });
  const paint = () => {
    const id = state.exercise;
    nameOf(id).then((name) => {
      if (state.exercise === id) field.show(name || id);
    }).catch(() => field.show(id));
  };
  watch((what) => {
    if (what.has("exercise") && document.activeElement !== field.field) paint();
  });
  if (state.exercise) paint();
  return field;
}

function settleText(text) {
  change({ exercise: text.trim() });
}

/** What the lifter trains for. */
export function aims() {
  const group = freshId("aim");
  const radios = of("aims").map((a) =>
    el("label", { class: "pick" },
      el("input", { type: "radio", name: group, value: a.id, checked: state.aim === a.id, onchange: () => change({ aim: a.id }) }),
      el("span", {}, el("strong", {}, a.id), el("small", {}, a.means))));
  const panel = el("fieldset", { class: "panel" }, el("legend", {}, "What you train for"), el("div", { class: "picks" }, radios));
  watch((what) => {
    if (!what.has("aim")) return;
    for (const radio of panel.querySelectorAll("input")) radio.checked = radio.value === state.aim;
  });
  return panel;
}

function knownSet() {
  const part = (name, label, props) => {
    const id = freshId(name);
    const input = el("input", { id, value: state.did[name], inputmode: "decimal", autocomplete: "off", oninput: (e) => change({ did: { ...state.did, [name]: e.target.value.trim().replace(",", ".") } }), ...props });
    return { input, node: el("div", { class: "field small" }, el("label", { for: id }, label), input) };
  };
  const load = part("load", "Load", { type: "text" });
  const reps = part("reps", "Repetitions", { type: "text", inputmode: "numeric" });
  const rir = part("rir", "Left in reserve", { type: "text", inputmode: "numeric" });
  const unitId = freshId("unit");
  const unit = el("select", { id: unitId, onchange: (e) => change({ did: { ...state.did, unit: e.target.value } }) },
    el("option", { value: "kg" }, "kg"), el("option", { value: "lb" }, "lb"));
  unit.value = state.did.unit;
  const summary = el("span", { class: "said" });
  const paint = () => {
    for (const [name, p] of Object.entries({ load, reps, rir })) {
      if (document.activeElement !== p.input) p.input.value = state.did[name];
    }
    unit.value = state.did.unit;
    fill(summary, didAsked() ? `${state.did.load} ${state.did.unit} for ${state.did.reps}` : "for the load to begin with");
  };
  watch((what) => what.has("did") && paint());
  const panel = el("details", { class: "panel" },
    el("summary", {}, el("span", { class: "legend" }, "A set you have done with it"), " ", summary),
    el("div", { class: "row" }, load.node,
      el("div", { class: "field small" }, el("label", { for: unitId }, "Unit"), unit), reps.node, rir.node),
    el("p", { class: "hint" }, "Bar and plates together, or one hand weight, as the lift is counted. Left in reserve: how many more you could have done."));
  paint();
  return panel;
}

/** The known set as questions have it, or null. */
function didAsked() {
  const { load, unit, reps, rir } = state.did;
  const number = (text) => (text === "" ? NaN : Number(text));
  if (!Number.isFinite(number(load)) || !Number.isInteger(number(reps))) return null;
  return { load: number(load), unit, reps: number(reps), ...(Number.isFinite(number(rir)) ? { rir: number(rir) } : {}) };
}

function spineLimit() {
  const id = freshId("spine");
  const select = el("select", { id, onchange: (e) => change({ spine: e.target.value }) },
    el("option", { value: "" }, "No limit"),
    spineClasses().slice(0, -1).map((c) => el("option", { value: c }, `At most ${plain(c)}`)));
  select.value = state.spine;
  watch((what) => { if (what.has("spine")) select.value = state.spine; });
  return el("div", { class: "field" }, el("label", { for: id }, "Limit to spine load"), select);
}

/** Builds the view. `shared` are the panels that other views use as well. */
export function swapView(shared) {
  const view = byId("instead");
  const answers = el("div", { class: "answers", id: "answers" });
  const field = exerciseField("Exercise to replace");
  const wait = newest();
  let answered = false;

  const form = el("form", { class: "question", onsubmit: (event) => { event.preventDefault(); run(true); } },
    field.node,
    el("div", { class: "slot", "data-slot": "sore" }),
    el("div", { class: "slot", "data-slot": "kit" }),
    aims(), knownSet(),
    spineLimit(),
    el("button", { type: "submit", class: "main" }, "Find what to do instead"));
  fill(view,
    el("h2", { id: "instead-title", tabindex: "-1" }, "What to do instead"),
    el("div", { class: "split" }, form, answers));
  welcome();

  function welcome() {
    fill(answers, el("div", { class: "blank" },
      el("p", {}, "Pick the exercise that is on the plan, mark what is sore, and say what kit is there. Ranked substitutes appear here, with what each keeps and eases, and why."),
      el("p", {}, "For example, in the Boathouse:"),
      el("ul", {},
        example("The winch operator, low back sore since the launch", { exercise: "romanian-deadlift-barbell", sore: [{ region: "low-back", aggravator: "", level: "moderate" }], gym: "boathouse", have: null }),
        example("The cox, up in the loft with a sore shoulder", { exercise: "overhead-press-barbell", sore: [{ region: "shoulder", aggravator: "overhead_elevation", level: "moderate" }], gym: "loft", have: null }))));
  }

  function example(words, patch) {
    return el("li", {}, el("a", { href: address({ ...patch, view: "instead" }) }, words));
  }

  async function run(byHand) {
    if (emergency()) return;
    if (state.exercise.trim() === "") {
      answered = false;
      if (byHand) {
        fill(answers, el("div", { class: "trouble" }, el("h3", {}, "Which exercise?"), el("p", {}, "Type the name of the exercise that you want to replace.")));
        say("Which exercise? Type the name of the exercise that you want to replace.");
        field.field.focus();
      } else welcome();
      return;
    }
    const signal = wait.signal();
    const question = {
      exercise: state.exercise, sore: soreAsked(), ...kitAsked(), improvise: state.improvise, aim: state.aim,
      why: true, signs: signsAsked(),
      ...(state.spine ? { max_spine: state.spine } : {}),
      ...(didAsked() ? { did: didAsked() } : {}),
    };
    answers.setAttribute("aria-busy", "true");
    try {
      const reply = await ask("/v1/swap", question, signal);
      const original = reply.question ? await exercise(reply.question.exercise.id) : null;
      const wholes = await Promise.all(reply.substitutes.map((s) => exercise(s.id).catch(() => null)));
      if (signal.aborted || emergency()) return;
      answered = true;
      tell(reply, original, wholes);
      if (byHand) goTo(answers.querySelector("h3"));
    } catch (error) {
      if (overtaken(error)) return;
      answered = false;
      const box = showTrouble(answers, error, () => run(true), error.pointer === "/exercise" ? (id) => { change({ exercise: id }); field.show(plain(id)); run(true); } : null);
      if (byHand) goTo(box.querySelector("h3"));
    } finally {
      if (!signal.aborted) answers.removeAttribute("aria-busy");
    }
  }

  function tell(reply, original, wholes) {
    fill(answers, replyParts(reply, original, wholes));
    const n = reply.substitutes.length;
    say(n === 0 ? "No substitute passes every gate" : `${count(n, "substitute")} for ${reply.question.exercise.name}, of ${reply.passed} that pass`);
  }

  const later = settle(() => answered && state.view === "instead" && run(false), 250);
  const asked = ["exercise", "sore", "gym", "have", "limits", "improvise", "aim", "did", "spine", "signs"];
  watch((what) => {
    if (!what.has("view") && asked.some((name) => what.has(name))) {
      // Words that are still being typed are no question yet.
      if (what.has("exercise") && document.activeElement === field.field && what.size === 1 && !known(state.exercise)) return;
      later();
    }
  });
  const known = (id) => /^[a-z0-9]+(-[a-z0-9]+)+$/.test(id);
  return { run };
}

const gradeWords = (from, to) => (from === to ? `${to} of 4, as before` : `${from} to ${to} of 4`);

function spineScale(from, to) {
  const all = spineClasses();
  const words = from === to ? `${plain(to)}, as before` : `${plain(from)} to ${plain(to)}`;
  return scale({ name: "Spine load", from: all.indexOf(from), to: all.indexOf(to), words });
}

/** Joint grades by region. */
const grades = (whole) => new Map(whole.joints.map((j) => [j.region, j.grade]));

function pictures(sub, original, whole, sore) {
  const from = grades(original);
  const to = whole ? grades(whole) : new Map();
  const eased = new Map(sub.eased.map((e) => [e.region, e]));
  const soreScales = sub.eased.map((e) =>
    scale({ name: called("regions", e.region), note: "sore", from: e.from, to: e.to, words: gradeWords(e.from, e.to) }));
  const others = of("regions").map((r) => r.id).filter((id) => !eased.has(id) && ((from.get(id) || 0) > 0 || (to.get(id) || 0) > 0));
  const scales = others.map((id) =>
    scale({ name: called("regions", id), from: from.get(id) || 0, to: to.get(id) || 0, words: gradeWords(from.get(id) || 0, to.get(id) || 0) }));
  return el("div", { class: "loads" },
    spineScale(original.spine, sub.spine),
    soreScales,
    whole && scales.length > 0
      ? el("details", { class: "inline" }, el("summary", {}, sore ? "The other joints" : "The joints"), scales)
      : null);
}

function bars(original, whole) {
  if (!whole) return null;
  const was = original.exercise.muscles;
  const now = whole.exercise.muscles;
  const order = Object.keys(was).sort((a, b) => was[b] - was[a] || a.localeCompare(b));
  const extra = Object.keys(now).filter((m) => !(m in was)).sort((a, b) => now[b] - now[a]).slice(0, 2);
  return muscleBars({ muscles: [...order.slice(0, 7), ...extra], nameOf: (m) => called("muscles", m), original: was, substitute: now });
}

/** All substitutes side by side, before each is told whole. */
function glance(reply, original) {
  const sore = reply.question.sore.slice(0, 2);
  const all = spineClasses();
  const step = (from, to, words, further) => el("td", { class: `glance-scale${further ? " further" : ""}` }, scalePicture(from, to, 19), el("span", { class: "unseen" }, words));
  const row = (s, i) =>
    el("tr", {},
      el("th", { scope: "row" }, el("button", { type: "button", class: "jump", onclick: () => goTo(byId(`substitute-${i + 1}`)) }, `${i + 1}. ${s.name}`)),
      el("td", { class: "glance-share" }, shareBar(s.keeps_percent), el("span", {}, `${s.keeps_percent} %`)),
      step(all.indexOf(original.spine), all.indexOf(s.spine), `${plain(original.spine)} to ${plain(s.spine)}`),
      sore.map((q, at) => {
        const e = s.eased.find((x) => x.region === q.region);
        return e ? step(e.from, e.to, `${e.from} to ${e.to} of 4`, at > 0) : el("td", {});
      }));
  return el("table", { class: "glance" },
    el("caption", {}, "At a glance"),
    el("thead", {}, el("tr", {}, ["Instead", "Keeps", "Spine load"].map((h) => el("th", { scope: "col" }, h)),
      sore.map((q, at) => el("th", { scope: "col", class: at > 0 ? "further" : null }, called("regions", q.region))))),
    el("tbody", {}, reply.substitutes.map(row)));
}

/** Cautions of the whole answer. */
export const care = (texts) => (texts.length === 0 ? null : el("div", { class: "care" }, el("strong", {}, "Take care"), el("ul", {}, texts.map((t) => el("li", {}, t)))));

/** Cautions of one thing. */
export const cautions = (texts) => (texts.length === 0 ? null : el("ul", { class: "cautions" }, texts.map((t) => el("li", {}, el("strong", {}, "Take care: "), t))));

function startLoad(sub) {
  if (sub.start) {
    const s = sub.start;
    return el("div", { class: "begin" },
      el("h5", {}, "To begin with"),
      el("p", { class: "begin-load" }, capital(s.said)),
      el("details", { class: "inline" }, el("summary", {}, "How it was worked out"),
        el("ul", {}, s.factors.map((f) => el("li", {}, factor(f)))),
        el("p", { class: "hint" }, `Its best for one is put at ${s.best_kg[0]} kg, from ${s.best_kg[1]} to ${s.best_kg[2]} kg. Single lifters stand well off a typical ratio: let the first set decide.`)));
  }
  if (sub.no_start) return el("p", { class: "hint" }, `No load to begin with: ${sub.no_start.said}.`);
  return null;
}

const factor = (f) => `${capital(plain(f.name))} ${f.begin}${f.means ? `: ${f.means}` : ""}`;

function tree(why) {
  const row = (w) =>
    el("li", {}, el("span", { class: "points" }, w.points.toFixed(1)), ` ${plain(w.name)}: ${w.found}`,
      w.parts?.length ? el("ul", {}, w.parts.map((p) => el("li", {}, el("span", { class: "points" }, p.points.toFixed(1)), ` ${called("muscles", p.name)}: ${p.found}`))) : null);
  const parts = [...why.parts].sort((a, b) => b.points - a.points);
  return el("ul", { class: "tree" }, parts.map(row));
}

function standIn(s) {
  return el("div", { class: "standin" },
    el("p", {}, el("strong", {}, `In place of ${s.phrase}: `), s.how, s.most_load_kg ? ` At most ${s.most_load_kg} kg.` : ""),
    cautions([s.caution]));
}

export const kitWords = (kit) => (kit.length === 0 ? "no kit" : listed(kit.map((k) => called("equipment", k).toLowerCase())));

function card(sub, place, original, whole, sore) {
  return el("li", { class: "card", id: `substitute-${place}`, tabindex: "-1", "data-exercise": sub.id },
    el("div", { class: "card-head" },
      el("span", { class: "place", "aria-hidden": "true" }, place),
      el("h4", {}, sub.name),
      el("p", { class: "score" }, el("strong", {}, Math.round(sub.score)), el("span", {}, " of 100"))),
    el("p", { class: "lead" }, `Keeps ${sub.keeps_percent} % of the muscle work. ${capital(sub.sets_of)}, with ${kitWords(sub.kit)}.`),
    sub.reservation ? el("p", { class: "reserve" }, el("strong", {}, "With a reservation: "), sub.reservation) : null,
    sub.stand_in ? standIn(sub.stand_in) : null,
    cautions(sub.cautions),
    el("div", { class: "pictures" }, pictures(sub, original, whole, sore), bars(original, whole)),
    startLoad(sub),
    sub.cues.length ? el("div", {}, el("h5", {}, "How"), el("ul", { class: "cues" }, sub.cues.map((c) => el("li", {}, c)))) : null,
    el("details", { class: "inline" },
      el("summary", {}, "Why this one"),
      el("ul", {}, sub.reasons.map((r) => el("li", {}, r))),
      sub.why ? [el("p", { class: "hint" }, "Points that make up the score:"), tree(sub.why)] : null),
    el("p", { class: "links" },
      el("a", { href: address({ view: "around", exercise: sub.id }) }, `Around ${sub.name}`),
      el("a", { href: address({ view: "instead", exercise: sub.id }) }, `Instead of ${sub.name}`)));
}

function replyParts(reply, original, wholes) {
  const q = reply.question;
  if (!q) return [];
  const n = reply.substitutes.length;
  const sore = q.sore.length > 0;
  const soreWords = q.sore.map((s) =>
    `${called("regions", s.region).toLowerCase()} ${s.level}${s.aggravator ? ` (${plain(s.aggravator)})` : ""}, loaded ${s.original_grade} of 4`);
  const head = [
    el("h3", { tabindex: "-1" }, n > 0 ? `Instead of ${q.exercise.name}` : `Nothing passes in place of ${q.exercise.name}`),
    el("p", { class: "lead" },
      `${sore ? `Sore: ${listed(soreWords)}. ` : ""}Spine load ${plain(original.spine)}. For ${q.aim}, with ${q.gym.assumed ? "any kit" : state.gym ? `the kit of ${gymName(q.gym.id).replace(/^The/, "the")}` : "your kit"}. ${count(reply.passed, "exercise passes", "exercises pass")} every gate.`),
    care(reply.cautions),
    shareLine(),
    reply.notes.length ? el("ul", { class: "notes" }, reply.notes.map((t) => el("li", {}, `${capital(t)}.`))) : null,
  ];
  const list = n === 0 ? null : [
    legend(q.exercise.name),
    glance(reply, original),
    el("ol", { class: "cards" }, reply.substitutes.map((s, i) => card(s, i + 1, original, wholes[i], sore))),
  ];
  return [head, list, pair(reply), helps(reply), kitOpens(reply), makeshift(reply), refused(reply)];
}

function pair(reply) {
  if (!reply.pair) return null;
  return el("section", { class: "more" },
    el("h4", {}, "Two together"),
    el("p", {}, `No single one keeps enough. ${listed(reply.pair.exercises.map((e) => e.name))} together keep ${reply.pair.keeps_percent} % of the muscle work.`));
}

function helps(reply) {
  if (reply.also_helps.length === 0) return null;
  return el("section", { class: "more" },
    el("h4", {}, "Also helps, beside the swap and not in its place"),
    el("ul", {}, reply.also_helps.map((h) =>
      el("li", {}, el("strong", {}, h.name), `, ${h.sets_of}, with ${kitWords(h.kit)}. ${capital(h.why)}.`, cautions(h.cautions)))));
}

function kitOpens(reply) {
  if (reply.nearest_kit.length === 0) return null;
  return el("section", { class: "more" },
    el("h4", {}, "With one more piece of kit"),
    el("ul", {}, reply.nearest_kit.map((k) =>
      el("li", {}, el("strong", {}, capital(k.phrase)), ` would open ${listed(k.opens.map((e) => e.name))}.`))));
}

function makeshift(reply) {
  if (reply.improvised.length === 0) return null;
  return el("section", { class: "more" },
    el("h4", {}, "With a makeshift set-up"),
    el("ul", {}, reply.improvised.map((m) =>
      el("li", {}, el("strong", {}, m.name), `, ${Math.round(m.score)} of 100, keeps ${m.keeps_percent} %, spine load ${plain(m.spine)}, ${m.sets_of}.`, standIn(m.stand_in), cautions(m.cautions)))));
}

function refused(reply) {
  if (reply.refused.length === 0) return null;
  const all = reply.refused.reduce((sum, r) => sum + r.count, 0);
  return el("details", { class: "more refused" },
    el("summary", {}, `Refused: ${all} exercises, and why`),
    el("ul", {}, reply.refused.map((r) =>
      el("li", {}, el("strong", {}, `${r.count} by ${plain(r.gate)}`), `: asked that ${r.asks}.`,
        el("ul", {}, r.examples.map((e) => el("li", {}, `${e.exercise.name}: ${e.reason}`)))))));
}
