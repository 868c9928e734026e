// Pictures that are quicker than reading, each with its words beside it: a scale with the original
// as a ring and the substitute as a disc, and bars of muscle work with the original as an outline.

import { draw, el } from "./dom.js";

/** The picture of a scale of five steps: `from` and `to` are steps from 0; either may be absent. */
export function scalePicture(from, to, pitch = 34) {
  const x = (step) => 12 + step * pitch;
  const parts = [draw("line", { x1: x(0), y1: 14, x2: x(4), y2: 14, class: "rail" })];
  for (let step = 0; step <= 4; step += 1) parts.push(draw("line", { x1: x(step), y1: 9, x2: x(step), y2: 19, class: "rail" }));
  const both = from !== undefined && to !== undefined;
  if (both && from !== to) {
    const way = to > from ? 1 : -1;
    const tip = x(to) - way * 8;
    parts.push(draw("path", { d: `M${x(from) + way * 7} 14 H${tip} m${-way * 6} -5 L${tip} 14 l${-way * 6} 5`, class: to > from ? "way up" : "way" }));
  }
  if (from !== undefined) parts.push(draw("circle", { cx: x(from), cy: 14, r: both && from === to ? 9 : 7, class: "was" }));
  if (to !== undefined) parts.push(draw("circle", { cx: x(to), cy: 14, r: both && from === to ? 4.5 : 7, class: both && to > from ? "now up" : "now" }));
  return draw("svg", { viewBox: `0 0 ${24 + 4 * pitch} 28`, class: "scale-picture", "aria-hidden": "true" }, parts);
}

/** A scale with its name, and the same as `words`. */
export function scale({ name, from, to, words, note = "" }) {
  return el("div", { class: "scale" },
    el("span", { class: "scale-name" }, name, note ? el("em", {}, ` ${note}`) : null),
    scalePicture(from, to),
    el("span", { class: "scale-words" }, words));
}

/** A share of 100 as a bar. */
export const shareBar = (percent) =>
  draw("svg", { viewBox: "0 0 100 12", class: "share", preserveAspectRatio: "none", "aria-hidden": "true" },
    draw("rect", { x: 0.5, y: 0.5, width: 99, height: 11, class: "bar-was" }),
    draw("rect", { x: 0.5, y: 0.5, width: Math.max(0, percent - 0.5), height: 11, class: "bar-now" }));

/** Bars of muscle work, original against substitute, as a table that is also a picture. */
export function muscleBars({ muscles, nameOf, original, substitute }) {
  const row = (id) => {
    const was = original[id] || 0;
    const now = substitute[id] || 0;
    const percent = (share) => `${Math.round(share * 100)} %`;
    return el("tr", {},
      el("th", { scope: "row" }, nameOf(id)),
      el("td", { class: "bar-cell" },
        draw("svg", { viewBox: "0 0 120 18", class: "bars", preserveAspectRatio: "none", "aria-hidden": "true" },
          now > 0 ? draw("rect", { x: 1, y: 3, width: now * 118, height: 12, class: was > 0 ? "bar-now" : "bar-new" }) : null,
          was > 0 ? draw("rect", { x: 1, y: 1.5, width: was * 118, height: 15, class: "bar-was" }) : null)),
      el("td", { class: "number" }, percent(was)),
      el("td", { class: "number" }, percent(now)));
  };
  return el("table", { class: "muscles" },
    el("caption", {}, "Muscle work: outline the original, solid this one"),
    el("thead", {}, el("tr", {},
      el("th", { scope: "col" }, "Muscle"), el("td", { class: "bar-cell" }),
      el("th", { scope: "col" }, "was"), el("th", { scope: "col" }, "now"))),
    el("tbody", {}, muscles.map(row)));
}

/** What the ring and the disc are. */
export function legend(original) {
  return el("p", { class: "key" },
    draw("svg", { viewBox: "0 0 18 18", class: "dot", "aria-hidden": "true" }, draw("circle", { cx: 9, cy: 9, r: 6, class: "was" })),
    el("span", { class: "unseen" }, "Ring:"), ` ${original}`,
    draw("svg", { viewBox: "0 0 18 18", class: "dot", "aria-hidden": "true" }, draw("circle", { cx: 9, cy: 9, r: 6, class: "now" })),
    el("span", { class: "unseen" }, "; disc:"), " the substitute; left is less load");
}
