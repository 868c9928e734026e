// The smallest change to a week: what became of each row, what it clears, what is left.

import { capital, count, el, listed, plain } from "./dom.js";

const WHAT = {
  kept: "as it was", cut: "fewer sets", moved: "another day", swapped: "another exercise", dropped: "left out", added: "put on",
};

const said = (row) => (row ? `${row.day_name}: ${row.exercise.name}, ${row.sets} x ${row.work}${!row.load ? "" : row.load === "body" ? ", with the body" : ` at ${row.load}`}` : "nothing");

/** A cell of a table, quoted where it must be. */
const cell = (value) => {
  const text = value === undefined || value === null ? "" : String(value);
  return /[",\n;]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
};

const COLUMNS = [
  ["day", "day"], ["exercise", "exercise"], ["sets", "sets"], ["reps", "reps"], ["load", "load"], ["unit", "unit"],
  ["rir", "rir"], ["weeks-on", "weeks_on"], ["weeks-flat", "weeks_flat"], ["note", "note"],
];

/** Rows of JSON as the text of a table. */
export function asTable(rows) {
  const used = COLUMNS.filter(([, member]) => rows.some((r) => r[member] !== undefined && r[member] !== null));
  return [used.map(([name]) => name).join(","), ...rows.map((r) => used.map(([, member]) => cell(r[member])).join(","))].join("\n") + "\n";
}

/** The answer; `use(csv)` puts the mended week in place of the old one. */
export function mendParts(reply, { use }) {
  const notes = reply.notes.length ? el("ul", { class: "notes" }, reply.notes.map((t) => el("li", {}, `${capital(t)}.`))) : null;
  const m = reply.mend;
  if (!m) return [el("h5", { tabindex: "-1" }, "No change was found"), notes];
  const changed = m.rows.filter((r) => r.what !== "kept");
  const row = (r) =>
    el("tr", {}, el("th", { scope: "row" }, r.line ? `Line ${r.line}` : "New", el("small", {}, ` ${WHAT[r.what] || plain(r.what)}`)),
      el("td", {}, said(r.before)),
      el("td", {}, said(r.after), r.no_load ? el("small", {}, ` No load: ${r.no_load}.`) : null));
  return [
    el("h5", { tabindex: "-1" }, changed.length === 0 ? "Nothing needs to change" : `${count(changed.length, "row")} changed`),
    el("p", {}, `Spine load ${m.before.points} to ${m.after.points} points, sets ${m.before.sets} to ${m.after.sets}. ${m.proven ? "No smaller change does it." : `The search was cut short; a smaller change may exist.`}`),
    changed.length === 0 ? null : el("div", { class: "wide-table", tabindex: "0", role: "group", "aria-label": "Rows before and after" },
      el("table", { class: "mended" }, el("caption", {}, "Rows before and after"),
        el("thead", {}, el("tr", {}, ["Row", "Before", "After"].map((h) => el("th", { scope: "col" }, h)))),
        el("tbody", {}, changed.map(row)))),
    m.reordered.length ? el("p", {}, `In another order now: ${listed(m.reordered)}.`) : null,
    told("Cleared", m.cleared), told("Still there", m.left),
    m.given_up.length ? el("div", {}, el("p", {}, el("strong", {}, "Could not be met together")),
      el("ul", {}, m.given_up.map((g) => el("li", {}, `Given up: ${g.gave_up}${g.beside.length ? `, beside ${listed(g.beside)}` : ""}.`)))) : null,
    notes,
    changed.length === 0 ? null : el("button", { type: "button", class: "quiet", onclick: () => use(asTable(m.week)) }, "Put the mended week in the table"),
  ];
}

function told(title, findings) {
  if (findings.length === 0) return null;
  return el("details", { class: "inline" }, el("summary", {}, `${title}: ${findings.length}`),
    el("ul", {}, findings.map((f) => el("li", {}, `${capital(f.words)}.`))));
}
