// "What does my week carry?": a week pasted, dropped or typed; what stands out, the chart, and the
// smallest change that puts it right.

import { ask, newest, overtaken } from "./api.js";
import { byId, capital, count, el, fill, freshId, goTo, listed, say } from "./dom.js";
import { chart, muscles } from "./chart.js";
import { mendParts } from "./mend.js";
import { emergency } from "./signs.js";
import { LINK_LIMIT, address, change, kitAsked, signsAsked, soreAsked, state, watch } from "./state.js";
import { cellList, showTrouble } from "./trouble.js";
import { shareLine } from "./share.js";
import { care } from "./swap.js";
import { called } from "./words.js";

/** Longest text that is sent, characters. */
const LONGEST = 60000;

const LEVELS = [
  ["novice", "under a year or so"],
  ["intermediate", "some years"],
  ["advanced", "many years"],
];

/** Builds the view. */
export function weekView() {
  const view = byId("week");
  const answers = el("div", { class: "answers" });
  const wait = newest();
  const waitMend = newest();
  let answered = false;

  const ids = { text: freshId("week"), file: freshId("file"), mass: freshId("mass"), hint: freshId("hint") };
  const text = el("textarea", {
    id: ids.text, rows: 12, spellcheck: "false", autocomplete: "off", autocapitalize: "none", "aria-describedby": ids.hint,
    placeholder: "day,exercise,sets,reps,load,rir\nMon,back squat,5,5,90,2",
    oninput: () => change({ week: text.value }),
  });
  text.value = state.week;
  const take = (week, from) => {
    text.value = week;
    change({ week });
    say(`${count(lines(week), "row")} taken from ${from}`);
  };
  async function takeFile(file) {
    if (!file) return;
    if (file.size > LONGEST) {
      say("That file is too long for a week");
      fill(answers, el("div", { class: "trouble" }, el("h3", {}, "That file is too long"), el("p", {}, `A week has ${LONGEST} characters at most.`)));
      return;
    }
    try {
      take(await file.text(), file.name);
    } catch {
      fill(answers, el("div", { class: "trouble" }, el("h3", {}, "That file cannot be read"), el("p", {}, "Save it as CSV and try again, or paste its rows.")));
      say("That file cannot be read");
    }
  }
  const file = el("input", { id: ids.file, type: "file", accept: ".csv,.tsv,.txt,text/csv,text/plain", onchange: () => { takeFile(file.files[0]); file.value = ""; } });
  const drop = el("div", { class: "drop" },
    el("label", { for: ids.text }, "The week as a table"),
    el("p", { id: ids.hint, class: "hint" }, "Paste it from a spreadsheet or drop a CSV file here. The first row names the columns: day, exercise, sets, reps and, if you like, load, unit, rir (left in reserve), weeks-on, weeks-flat, note."),
    text,
    el("div", { class: "row" },
      el("div", { class: "file" }, el("label", { for: ids.file, class: "hint" }, "Or choose a file"), file),
      el("button", { type: "button", class: "quiet", onclick: example }, "Take the bowhand's week as an example")));
  for (const kind of ["dragover", "dragenter"]) {
    drop.addEventListener(kind, (event) => {
      event.preventDefault();
      drop.classList.add("over");
    });
  }
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    const dropped = event.dataTransfer.files[0];
    if (dropped) takeFile(dropped);
    else take(event.dataTransfer.getData("text"), "what you dropped");
  });

  async function example() {
    try {
      const reply = await fetch("/page/example-week.csv");
      if (!reply.ok) throw new Error("no example");
      take(await reply.text(), "the example");
    } catch {
      fill(answers, el("div", { class: "trouble" }, el("h3", {}, "The server does not answer"), el("p", {}, "The example could not be fetched. Everything you entered is still here.")));
      say("The server does not answer; the example could not be fetched");
    }
  }

  const group = freshId("level");
  const radios = LEVELS.map(([id, small]) =>
    el("label", { class: "pick" },
      el("input", { type: "radio", name: group, value: id, checked: state.level === id, onchange: () => change({ level: id }) }),
      el("span", {}, el("strong", {}, id), el("small", {}, small))));
  const mass = el("input", { id: ids.mass, type: "text", inputmode: "decimal", autocomplete: "off", value: state.mass, oninput: () => change({ mass: mass.value.trim().replace(",", ".") }) });

  const form = el("form", { class: "question", onsubmit: (event) => { event.preventDefault(); run(true); } },
    drop,
    el("fieldset", { class: "panel" }, el("legend", {}, "How long you have trained"), el("div", { class: "picks" }, radios),
      el("div", { class: "field small" }, el("label", { for: ids.mass }, "Body mass in kg, if you like"), mass)),
    el("div", { class: "slot", "data-slot": "kit" }),
    el("details", { class: "panel" },
      el("summary", {}, el("span", { class: "legend" }, "What is sore"), " ", soreSaid()),
      el("div", { class: "slot", "data-slot": "sore" })),
    el("button", { type: "submit", class: "main" }, "Look at this week"));
  fill(view, el("h2", { id: "week-title", tabindex: "-1" }, "What my week carries"), el("div", { class: "split" }, form, answers));
  welcome();

  function welcome() {
    fill(answers, el("div", { class: "blank" },
      el("p", {}, "Put a week of training in. What it loads day by day, which muscles get how many sets, and what stands out appears here; then the smallest change that puts it right."),
      el("p", {}, "The week goes to this server, is answered and forgotten.")));
  }

  const question = () => ({
    csv: text.value, level: state.level, ...kitAsked(), improvise: state.improvise, sore: soreAsked(), signs: signsAsked(),
    ...(state.mass !== "" && Number.isFinite(Number(state.mass)) ? { body_mass_kg: Number(state.mass) } : {}),
  });

  /** Marks a line of the table. */
  function mark(line) {
    const rows = text.value.split("\n");
    const from = rows.slice(0, line - 1).reduce((sum, row) => sum + row.length + 1, 0);
    text.focus();
    text.setSelectionRange(from, from + (rows[line - 1] || "").length);
    text.scrollTop = (line - 3) * (text.scrollHeight / Math.max(1, rows.length));
    text.scrollIntoView({ block: "nearest" });
  }
  const lineLinks = (numbers) => numbers.map((n) => el("button", { type: "button", class: "line", onclick: () => mark(n) }, `line ${n}`));

  async function run(byHand) {
    if (emergency()) return;
    if (text.value.trim() === "") {
      answered = false;
      if (!byHand) return welcome();
      fill(answers, el("div", { class: "trouble" }, el("h3", {}, "No week yet"), el("p", {}, "Paste a table, drop a file, or take the example.")));
      say("No week yet. Paste a table, drop a file, or take the example.");
      text.focus();
      return;
    }
    const signal = wait.signal();
    waitMend.stop();
    answers.setAttribute("aria-busy", "true");
    try {
      const reply = await ask("/v1/week/audit", question(), signal);
      if (!reply.week || emergency()) return;
      answered = true;
      fill(answers, parts(reply));
      const c = reply.week.counts;
      say(`Spine load: ${verdict(reply.week.verdict)}. ${c.change} to change, ${c.look} to look at, ${c.note} to know`);
      if (byHand) goTo(answers.querySelector("h3"));
    } catch (error) {
      if (overtaken(error)) return;
      answered = false;
      const box = trouble(answers, error, () => run(true));
      if (byHand) goTo(box.querySelector("h3"));
    } finally {
      if (!signal.aborted) answers.removeAttribute("aria-busy");
    }
  }

  function trouble(slot, error, again) {
    const cells = error.cells || [];
    const told = cells.length === 0 ? error : Object.assign(error, { message: `${count(cells.length, "cell is", "cells are")} wrong; each with the way out:` });
    const box = showTrouble(slot, told, again);
    if (cells.length > 0) {
      const list = cellList(cells);
      [...list.children].forEach((item, i) => item.append(" ", lineLinks([cells[i].line])));
      box.append(list);
    }
    return box;
  }

  function parts(reply) {
    const w = reply.week;
    const by = (severity) => w.findings.filter((f) => f.severity === severity);
    const slot = el("div", {});
    return [
      el("h3", { tabindex: "-1" }, `Spine load: ${verdict(w.verdict)}`),
      el("p", { class: "lead" }, `${count(w.sums.hard_sets, "hard set")} on ${count(w.days.length, "day")}, ${w.sums.points} points of spine load. ${listed([count(w.counts.change, "thing", "things") + " to change", `${w.counts.look} to look at`, `${w.counts.note} to know`])}.`),
      care(reply.cautions),
      state.week.length > LINK_LIMIT ? el("p", { class: "hint" }, "This week is too long to be shared by its address.") : shareLine(),
      chart(w),
      el("section", { class: "mend" },
        el("h4", {}, "The smallest change that puts it right"),
        el("p", {}, "Fewer sets, another day or another exercise, as little as will do; muscles keep nearly all of their sets."),
        el("button", { type: "button", class: "main", onclick: (event) => mend(slot, event.currentTarget) }, "Find it"),
        slot),
      findings("To change", by("change")), findings("To look at", by("look")), findings("To know", by("note")),
      muscles(w),
      regions(w), balances(w), exercises(w),
      reply.notes.length ? el("ul", { class: "notes" }, reply.notes.map((t) => el("li", {}, `${capital(t)}.`))) : null,
      el("p", { class: "hint" }, `Reckoned for ${w.person.level}, ${w.person.body_mass_kg} kg${w.person.assumed.length ? `; assumed: ${w.person.assumed.join(", ")}` : ""}. ${capital(w.dose_means)}.`),
    ];
  }

  function findings(title, list) {
    if (list.length === 0) return null;
    return el("section", { class: "more findings" }, el("h4", {}, title),
      el("ul", {}, list.map((f) =>
        el("li", {},
          el("p", {}, el("strong", {}, capital(f.words))),
          f.helps ? el("p", {}, "What helps: ", helps(f.helps)) : null,
          el("p", { class: "hint" }, lineLinks(f.lines), ` The rule: ${f.asks}. It stands on ${basis(f.basis)}.`)))));
  }

  async function mend(slot, button) {
    const signal = waitMend.signal();
    button.disabled = true;
    fill(slot, el("p", { class: "hint" }, "Looking for it."));
    try {
      const reply = await ask("/v1/week/mend", question(), signal);
      if (emergency()) return;
      fill(slot, mendParts(reply, { use: (csv) => { take(csv, "the mended week"); run(true); } }));
      say(reply.mend ? `${count(reply.mend.changed, "row")} changed; spine load ${reply.mend.before.points} to ${reply.mend.after.points} points` : reply.notes.join(". "));
      goTo(slot.querySelector("h5") || slot);
    } catch (error) {
      if (overtaken(error)) return;
      trouble(slot, error, () => mend(slot, button));
    } finally {
      if (!signal.aborted) button.disabled = false;
    }
  }

  watch((what) => {
    if (what.has("week") && text.value !== state.week) text.value = state.week;
    if (what.has("level")) for (const radio of form.querySelectorAll(`input[name="${group}"]`)) radio.checked = radio.value === state.level;
    if (what.has("mass") && document.activeElement !== mass) mass.value = state.mass;
    if (answered && !what.has("view") && state.view === "week" && ["sore", "gym", "have", "limits", "improvise", "level", "signs"].some((n) => what.has(n))) run(false);
  });
  return { run };
}

const lines = (week) => Math.max(0, week.trim().split("\n").length - 1);

const verdict = (word) => (word === "fine" ? "as the level allows" : word);

/** What is sore in a few words, kept in step. */
function soreSaid() {
  const said = el("span", { class: "said" });
  const paint = () => fill(said, state.sore.length === 0 ? "nothing" : listed(state.sore.map((s) => called("regions", s.region).toLowerCase())));
  watch((what) => what.has("sore") && paint());
  paint();
  return said;
}

/** What a figure stands on, in words. */
const basis = (id) => ({ practice: "common practice, no source", memory: "knowledge of the trade, no source" })[id] || called("sources", id);

/** What helps; a call of the command line becomes a link to the same question. */
function helps(text) {
  const call = /^stead swap "([^"]+)" --sore (\S+)$/.exec(text);
  if (!call) return `${text}.`;
  return el("a", { href: address({ view: "instead", exercise: call[1] }) }, `what to do instead of ${call[1]}`);
}

const table = (caption, heads, rows) =>
  el("div", { class: "wide-table", tabindex: "0", role: "group", "aria-label": caption },
    el("table", {}, el("caption", {}, caption),
      el("thead", {}, el("tr", {}, heads.map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, rows.map((cells) =>
        el("tr", {}, cells.map((c, i) => (i === 0 ? el("th", { scope: "row" }, c) : el("td", {}, c))))))));

function regions(w) {
  if (w.regions.length === 0) return null;
  return el("details", { class: "more" }, el("summary", {}, "Joints over the week"),
    table("Hard sets times their grade of 0 to 4", ["Region", "Graded sets", "Sets graded 3 or 4", "Highest grade"],
      w.regions.map((r) => [r.name, r.graded_sets, r.demanding_sets, `${r.highest_grade} of 4`])));
}

function balances(w) {
  if (w.balances.length === 0) return null;
  return el("details", { class: "more" }, el("summary", {}, "Kinds of work side by side"),
    el("ul", {}, w.balances.map((b) => el("li", {}, `${capital(b.left.name)} ${b.left.sets} hard sets, ${b.right.name} ${b.right.sets}`))));
}

function exercises(w) {
  return el("details", { class: "more" }, el("summary", {}, "Exercises by what they load"),
    table("Over the week, most first", ["Exercise", "Days", "Hard sets", "Points", "Loading, with its range"],
      w.exercises.map((e) => [
        el("a", { href: address({ view: "instead", exercise: e.exercise.id }) }, e.exercise.name),
        e.days, e.sums.hard_sets, e.sums.points, `${e.sums.dose.mid} (${e.sums.dose.low} to ${e.sums.dose.high})`])));
}
