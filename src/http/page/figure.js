// A lay figure of our own, seen from the front and from behind, on which a person marks what is
// sore. Limbs are tapered beams between joints; a region is a button wherever it is first seen, and
// a press anywhere near counts, so that small joints need no fine aim.

import { capital, draw } from "./dom.js";

const WIDTH = 220;
const HEIGHT = 494;
/** Farthest from a region that a press still counts, in units of the drawing. */
const REACH = 34;

/** Centres of the regions on the left half of each side, with the size of their mark. */
const SPOTS = {
  front: {
    neck: [[110, 84, 13, 11]],
    shoulder: [[66, 117, 18, 18]],
    elbow: [[46, 194, 14, 15]],
    wrist: [[34, 258, 12, 12]],
    hip: [[80, 250, 16, 16]],
    groin: [[97, 280, 11, 15]],
    knee: [[84, 354, 17, 18]],
    ankle: [[82, 434, 12, 12]],
    foot: [[76, 461, 17, 10]],
  },
  back: {
    neck: [[110, 84, 13, 11]],
    shoulder: [[66, 117, 18, 18]],
    "upper-back": [[110, 138, 27, 30]],
    elbow: [[46, 194, 14, 15]],
    "low-back": [[110, 218, 25, 22]],
    hip: [[80, 254, 15, 15]],
    hamstring: [[84, 310, 17, 27]],
    knee: [[84, 354, 13, 13]],
    ankle: [[82, 430, 11, 16]],
    foot: [[80, 461, 13, 9]],
  },
};

/** Regions whose button is on the figure seen from behind. */
const BEHIND = ["upper-back", "low-back", "hamstring"];

const mirrored = (x) => WIDTH - x;

/** A beam that tapers from one round end to another. */
function beam(x1, y1, r1, x2, y2, r2) {
  const angle = Math.atan2(y2 - y1, x2 - x1);
  const lean = Math.acos(Math.max(-1, Math.min(1, (r1 - r2) / Math.hypot(x2 - x1, y2 - y1))));
  const on = (x, y, r, a) => `${(x + r * Math.cos(a)).toFixed(1)} ${(y + r * Math.sin(a)).toFixed(1)}`;
  return `M${on(x1, y1, r1, angle + lean)} A${r1} ${r1} 0 1 1 ${on(x1, y1, r1, angle - lean)}` +
    ` L${on(x2, y2, r2, angle - lean)} A${r2} ${r2} 0 0 1 ${on(x2, y2, r2, angle + lean)} Z`;
}

const TRUNK = "M110 92 C92 96 74 98 62 108 C56 120 66 140 72 160 C78 184 80 202 78 222 C74 240 70 254 72 268" +
  " C84 280 98 288 110 292 C122 288 136 280 148 268 C150 254 146 240 142 222 C140 202 142 184 148 160" +
  " C154 140 164 120 158 108 C146 98 128 96 110 92 Z";

const LIMBS = [
  beam(66, 117, 17, 47, 194, 11.5),
  beam(46, 194, 11.5, 34, 258, 7.5),
  beam(33, 262, 8, 28, 286, 6),
  beam(88, 258, 26, 85, 352, 15.5),
  beam(85, 354, 15.5, 82, 434, 8.5),
  beam(82, 446, 9, 75, 462, 9.5),
];

function body(side) {
  const parts = [];
  for (const path of LIMBS) {
    parts.push(draw("path", { d: path }));
    parts.push(draw("path", { d: path, transform: `translate(${WIDTH} 0) scale(-1 1)` }));
  }
  parts.push(draw("rect", { x: 100, y: 66, width: 20, height: 34, rx: 6 }));
  parts.push(draw("path", { d: TRUNK }));
  parts.push(draw("ellipse", { cx: 110, cy: 42, rx: 23, ry: 29 }));
  const lines = side === "front"
    ? ["M86 146 Q98 156 110 147 Q122 156 134 146", "M110 160 V236", "M82 268 Q100 276 110 290 Q120 276 138 268",
       "M102 44 h.1 M118 44 h.1", "M104 56 Q110 59 116 56"]
    : ["M110 100 V262", "M90 120 Q84 138 94 160", "M130 120 Q136 138 126 160", "M82 270 Q96 284 109 274 M138 270 Q124 284 111 274"];
  return draw("g", { class: "body", "aria-hidden": "true" }, parts, lines.map((d) => draw("path", { d, class: "line" })));
}

/**
 * Draws both sides. `regions` are `{ id, name }`; `press(id)` is called when one is marked or
 * cleared. `show(levels)` paints the marks: a map from region to level.
 */
export function figure({ regions, press }) {
  const name = new Map(regions.map((r) => [r.id, r.name]));
  const buttons = new Map();
  const marks = new Map();

  const side = (which, caption) => {
    const groups = [];
    for (const [id, spots] of Object.entries(SPOTS[which])) {
      if (!name.has(id)) continue;
      const first = which === "front" ? !BEHIND.includes(id) : BEHIND.includes(id);
      const shapes = spots.flatMap(([x, y, rx, ry]) =>
        (x === WIDTH / 2 ? [x] : [x, mirrored(x)]).map((cx) => draw("ellipse", { cx, cy: y, rx, ry, class: "spot" })));
      const group = draw("g", { class: "region", "data-region": id }, draw("title", {}, name.get(id)), shapes);
      if (first) {
        group.setAttribute("role", "button");
        group.setAttribute("tabindex", "0");
        group.setAttribute("aria-pressed", "false");
        group.setAttribute("aria-label", name.get(id));
        group.addEventListener("keydown", (event) => {
          if (event.key !== "Enter" && event.key !== " ") return;
          event.preventDefault();
          press(id);
        });
        buttons.set(id, group);
      } else group.setAttribute("aria-hidden", "true");
      marks.set(id, [...(marks.get(id) || []), group]);
      groups.push(group);
    }
    const drawing = draw("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "group", "aria-label": `Body from the ${caption}`, class: "side" },
      draw("defs", {},
        draw("pattern", { id: `sore-${which}`, width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
          draw("rect", { width: 6, height: 6, class: "sore-ground" }),
          draw("rect", { width: 2.4, height: 6, class: "sore-stripe" }))),
      body(which), groups,
      draw("text", { x: WIDTH / 2, y: HEIGHT - 4, class: "caption", "text-anchor": "middle", "aria-hidden": "true" }, capital(caption)));
    const near = (event) => {
      const box = drawing.getBoundingClientRect();
      const x = ((event.clientX - box.left) / box.width) * WIDTH;
      const y = ((event.clientY - box.top) / box.height) * HEIGHT;
      let best = null;
      for (const [id, spots] of Object.entries(SPOTS[which])) {
        if (!name.has(id)) continue;
        for (const [sx, sy, rx, ry] of spots) {
          const far = Math.min(...[sx, mirrored(sx)].map((cx) =>
            Math.max(0, Math.hypot(x - cx, y - sy) - Math.min(rx, ry))));
          if (far < REACH && (best === null || far < best.far)) best = { id, far };
        }
      }
      return best?.id ?? null;
    };
    drawing.addEventListener("click", (event) => {
      const id = near(event);
      if (id) press(id);
    });
    drawing.addEventListener("pointermove", (event) => {
      const id = event.pointerType === "mouse" ? near(event) : null;
      for (const [other, groups] of marks) for (const g of groups) g.classList.toggle("near", other === id);
    });
    drawing.addEventListener("pointerleave", () => {
      for (const groups of marks.values()) for (const g of groups) g.classList.remove("near");
    });
    return drawing;
  };

  const node = document.createElement("div");
  node.className = "figure";
  node.append(side("front", "front"), side("back", "back"));

  return {
    node,
    show(levels) {
      for (const [id, groups] of marks) {
        for (const group of groups) {
          if (levels.has(id)) group.setAttribute("data-level", levels.get(id));
          else group.removeAttribute("data-level");
        }
      }
      for (const [id, button] of buttons) {
        button.setAttribute("aria-pressed", String(levels.has(id)));
        button.setAttribute("aria-label", levels.has(id) ? `${name.get(id)}, marked sore` : name.get(id));
      }
    },
  };
}
