// Starts the page: reads the words of the base, builds the views and follows the address.

import { byId, el, fill, goTo } from "./dom.js";
import { kitPanel } from "./kit.js";
import { signsSection } from "./signs.js";
import { sorePanel } from "./sore.js";
import { VIEWS, address, begin, follow, state, watch } from "./state.js";
import { aroundView } from "./around.js";
import { swapView } from "./swap.js";
import { showTrouble } from "./trouble.js";
import { weekView } from "./week.js";
import { readWords, words } from "./words.js";

const TITLES = { instead: "What instead", week: "My week", around: "Around one lift", buy: "What to buy" };

/** Panels that several views use stand in the one that is shown. */
let shared = {};
/** The views by name; none before the words of the base are there. */
let views = null;

function place() {
  const view = state.view;
  for (const name of VIEWS) {
    const section = byId(name);
    if (section) section.hidden = name !== view;
  }
  for (const [name, panel] of Object.entries(shared)) byId(view)?.querySelector(`[data-slot="${name}"]`)?.append(panel);
  document.title = `${TITLES[view]} · stead`;
  links();
}

/** The links between views carry what is asked. */
function links() {
  for (const link of document.querySelectorAll("#places a")) {
    const view = link.dataset.view;
    link.setAttribute("href", address({ view }));
    if (view === state.view) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
}

async function start() {
  const slot = byId("start");
  try {
    await readWords();
  } catch (error) {
    showTrouble(slot, error, start);
    slot.append(el("p", {}, "The warning signs above hold all the same."));
    return;
  }
  slot.hidden = true;
  fill(slot);
  begin();
  signsSection();
  shared = { sore: sorePanel(), kit: kitPanel() };
  views = { instead: swapView(), week: weekView(), around: aroundView() };
  byId("base").textContent = `Base ${words.base.name} ${words.base.version}, ${words.base.stamp}.`;
  place();
  history.replaceState(null, "", address());
  views[state.view]?.run(false);
  watch(links);
}

addEventListener("hashchange", () => {
  if (views === null) return;
  const before = state.view;
  if (!follow()) return;
  place();
  // The focus goes with whoever followed a link: to the view, or to its new answer.
  views[state.view]?.run(before === state.view);
  if (before !== state.view) goTo(byId(`${state.view}-title`));
});
byId("skip").addEventListener("click", (event) => {
  event.preventDefault();
  goTo(byId(`${state.view}-title`) || byId("views"));
});

start();
