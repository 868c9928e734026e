// The link to what is asked, to hand on. It has the question whole, and no warning sign.

import { el, freshId, say } from "./dom.js";

/** A button that copies the address; where the browser forbids that, the address to be copied. */
export function shareLine() {
  const id = freshId("link");
  const field = el("input", { id, type: "text", readonly: true, value: location.href });
  const byHand = el("div", { class: "field", hidden: true }, el("label", { for: id }, "The link to this question"), field);
  const button = el("button", {
    type: "button", class: "quiet",
    onclick: async () => {
      field.value = location.href;
      try {
        await navigator.clipboard.writeText(location.href);
        button.textContent = "Link copied";
        say("Link copied");
      } catch {
        byHand.hidden = false;
        field.focus();
        field.select();
        say("Copy the marked link");
      }
    },
  }, "Copy the link to this question");
  return el("div", { class: "share-line" }, button, byHand);
}
