// A question that has to be answered before anything else is done.

import { make } from "./elements.js";

let count = 0;

/**
 * Asks in a dialog: a heading, what is to be known, answers as pairs of a word and a text, and a way back; `field` asks
 * for a text besides: `{label, value}`. Returns `{answer, text}`, or null; Escape says null.
 */
export function asked(heading, lines, answers, { back = "Go back", field = null } = {}) {
  const id = `question-${(count += 1)}`;
  const title = make("h2", { id, textContent: heading });
  const no = make("button", { type: "button", textContent: back });
  const buttons = answers.map(([value, textContent]) => make("button", { value, textContent }));
  const paragraphs = lines.filter(Boolean).map((textContent) => make("p", { textContent }));
  const entry = field && make("input", { type: "text", id: `${id}-text`, value: field.value, maxLength: 200, autocomplete: "off" });
  const told = entry ? [make("label", { htmlFor: entry.id, textContent: field.label }), entry] : [];
  const form = make("form", { method: "dialog" }, ...told, make("div", { className: "row" }, ...buttons, no));
  const dialog = make("dialog", {}, title, ...paragraphs, form);
  dialog.setAttribute("aria-labelledby", id);
  document.body.append(dialog);
  return new Promise((done) => {
    no.addEventListener("click", () => dialog.close(""));
    dialog.addEventListener("close", () => {
      dialog.remove();
      done(dialog.returnValue ? { answer: dialog.returnValue, text: entry?.value.trim() ?? "" } : null);
    });
    dialog.showModal();
    if (entry) entry.select();
    else no.focus();
  });
}

/** Asks what is answered by yes or no. */
export const agreed = async (heading, lines, yes, no) => (await asked(heading, lines, [["yes", yes]], { back: no })) !== null;
