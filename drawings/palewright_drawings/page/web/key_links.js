// Keys of settings in a text, such as panel.lip, as buttons that open their controls.

import { make } from "./elements.js";

/** A text as nodes; `opens(key)` says whether there is such a control, `open(key)` goes to it. */
export function keyed(text, opens, open) {
  return text.split(/\b([a-z]+\.[a-z_]+)\b/).map((part, i) => {
    if (i % 2 === 0 || !opens(part)) return part;
    return make("button", { type: "button", className: "key", textContent: part, onclick: () => open(part) });
  });
}
