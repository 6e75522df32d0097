// A question that has to be answered before anything else is done.

import { make } from "./elements.js";

let count = 0;

/** Asks in a dialog: a heading, what is to be known, and two answers. Escape says no. */
export function agreed(heading, lines, yes, no) {
  const title = make("h2", { id: `question-${(count += 1)}`, textContent: heading });
  const [go, back] = [yes, no].map((textContent) => make("button", { type: "button", textContent }));
  const paragraphs = lines.filter(Boolean).map((textContent) => make("p", { textContent }));
  const dialog = make("dialog", {}, title, ...paragraphs, make("div", { className: "row" }, back, go));
  dialog.setAttribute("aria-labelledby", title.id);
  document.body.append(dialog);
  return new Promise((answered) => {
    go.addEventListener("click", () => dialog.close("yes"));
    back.addEventListener("click", () => dialog.close());
    dialog.addEventListener("close", () => {
      dialog.remove();
      answered(dialog.returnValue === "yes");
    });
    dialog.showModal();
    back.focus();
  });
}
