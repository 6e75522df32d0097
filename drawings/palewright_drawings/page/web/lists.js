// What stands beside the picture: findings, parts, sizes; each a plain element.

import { make } from "./elements.js";

const WORDS = { fault: "Fault", warning: "Warning", note: "Note" };

/** A value as a variant file says it: yes or no and counts are no text. */
const typed = (value) => (/^(true|false|\d+)$/.test(value) ? JSON.parse(value) : value);

/** The findings; `linked` makes nodes of a text, `change` is called with a remedy's values by key, `show` with the finding. */
export function findingList(findings, linked, change, show) {
  return findings.map((finding) => {
    const item = make("li", { className: finding.severity });
    const cased = finding.case && finding.case !== "nominal" ? ` · ${finding.case} lumber` : "";
    item.append(
      make("p", { className: "kind", textContent: `${WORDS[finding.severity]} ${finding.code}${cased}` }),
      make("p", {}, ...linked(finding.message)),
      make("p", { className: "remedy" }, ...linked(finding.remedy)),
    );
    const buttons = make("div", { className: "row" });
    if (finding.changes) {
      const said = finding.changes.map(({ key, value }) => `${key.split(".")[1].replaceAll("_", " ")} to ${value}`);
      const onclick = () => change(Object.fromEntries(finding.changes.map(({ key, value }) => [key, typed(value)])));
      buttons.append(make("button", { type: "button", textContent: `Set ${said.join(", ")}`, onclick }));
    }
    if (finding.boards.length) {
      const textContent = `Show ${finding.boards.length > 1 ? `${finding.boards.length} boards` : "the board"}`;
      buttons.append(make("button", { type: "button", className: "quiet", textContent, onclick: () => show(finding) }));
    }
    item.append(buttons);
    return item;
  });
}

/** The rows of the parts list; each row's button shows its boards. */
export function partRows(parts, show) {
  return parts.map((part) => {
    const button = make("button", { type: "button", className: "mark", textContent: part.mark, onclick: () => show(part.boards) });
    button.setAttribute("aria-label", `part ${part.mark}, ${part.role}: show`);
    const row = make("tr");
    row.append(make("td", {}, button));
    for (const text of [part.count, part.role, part.length, part.width, part.angles])
      row.append(make("td", { textContent: text }));
    return row;
  });
}

/** Marks the rows of chosen boards. */
export function markParts(rows, parts, chosen) {
  parts.forEach((part, i) => {
    const held = part.boards.some((name) => chosen.has(name));
    rows[i].className = held ? "held" : "";
    rows[i].querySelector("button").setAttribute("aria-pressed", String(held));
  });
}
