// A text field with a list that grows as one types, after the ARIA practice of an editable combobox
// with a list: the focus stays in the field, the arrow keys walk the list, Enter takes, Escape
// closes, and a second Escape empties the field.

import { el, fill, freshId, settle } from "./dom.js";

/**
 * Makes the field. `find(text)` gives `[{ id, name, note }]` in time; `take(option)` is called when
 * one is chosen, and `typed(text)` whenever the text changes by hand.
 */
export function combobox({ label, hint, find, take, typed }) {
  const ids = { field: freshId("find"), list: freshId("found"), hint: freshId("hint") };
  const list = el("ul", { id: ids.list, role: "listbox", "aria-label": label, class: "found", hidden: true });
  const status = el("p", { class: "unseen", role: "status" });
  const field = el("input", {
    id: ids.field, type: "text", role: "combobox", autocomplete: "off", autocapitalize: "none", spellcheck: "false",
    "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": ids.list, "aria-describedby": ids.hint,
    enterkeyhint: "search",
  });
  const node = el("div", { class: "field" },
    el("label", { for: ids.field }, label),
    el("div", { class: "combo" }, field, list),
    el("p", { id: ids.hint, class: "hint" }, hint),
    status);

  let options = [];
  let at = -1;
  let asked = 0;

  const isOpen = () => !list.hidden;

  function mark(next) {
    at = next;
    [...list.children].forEach((item, i) => item.setAttribute("aria-selected", String(i === at)));
    const item = list.children[at];
    if (item) {
      field.setAttribute("aria-activedescendant", item.id);
      item.scrollIntoView({ block: "nearest" });
    } else field.removeAttribute("aria-activedescendant");
  }

  function close() {
    asked += 1;
    search.stop();
    list.hidden = true;
    field.setAttribute("aria-expanded", "false");
    mark(-1);
  }

  function choose(option) {
    field.value = option.name;
    close();
    take(option);
  }

  function show(found) {
    options = found;
    fill(list, found.map((option, i) =>
      el("li", {
        id: `${ids.list}-${i}`, role: "option", "aria-selected": "false",
        // A press must not take the focus from the field.
        onpointerdown: (event) => event.preventDefault(),
        onclick: () => choose(option),
      }, el("span", {}, option.name), option.note ? el("span", { class: "note" }, option.note) : null)));
    list.hidden = found.length === 0;
    field.setAttribute("aria-expanded", String(found.length > 0));
    mark(-1);
    const n = found.length;
    status.textContent = n === 0 ? "Nothing found" : `${n} found; arrow keys to choose`;
  }

  async function look() {
    const mine = ++asked;
    const text = field.value.trim();
    if (text === "") {
      close();
      status.textContent = "";
      return;
    }
    const found = await find(text).catch(() => null);
    if (mine !== asked || document.activeElement !== field) return;
    show(found || []);
    status.className = found === null ? "hint" : "unseen";
    if (found === null) status.textContent = "The server does not answer, so nothing can be looked up";
  }
  const search = settle(look, 110);

  field.addEventListener("input", () => {
    typed(field.value);
    search();
  });
  field.addEventListener("blur", close);
  field.addEventListener("keydown", (event) => {
    const last = options.length - 1;
    switch (event.key) {
      case "ArrowDown":
        event.preventDefault();
        if (!isOpen()) look();
        else mark(at >= last ? 0 : at + 1);
        break;
      case "ArrowUp":
        event.preventDefault();
        if (isOpen()) mark(at <= 0 ? last : at - 1);
        break;
      case "Enter":
        if (isOpen() && at >= 0) {
          event.preventDefault();
          choose(options[at]);
        } else close();
        break;
      case "Escape":
        if (isOpen()) {
          event.preventDefault();
          close();
        } else if (field.value !== "") {
          field.value = "";
          typed("");
        }
        break;
      case "Home":
      case "End":
        mark(-1);
        break;
      default:
    }
  });

  return { node, field, show: (text) => { if (document.activeElement !== field || !isOpen()) field.value = text; } };
}
