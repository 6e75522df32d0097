// What stands beside the picture: findings, parts, board layouts, sizes; each a plain element.

import { make } from "./elements.js";
import { lengthText } from "./lengths.js";

const SVG = "http://www.w3.org/2000/svg";
const WORDS = { fault: "Fault", warning: "Warning", note: "Note" };

const draw = (tag, attributes = {}, ...inside) => {
  const found = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) found.setAttribute(name, value);
  found.append(...inside);
  return found;
};

/** The findings; `change` is called with a remedy's key and value, `show` with board names. */
export function findingList(findings, change, show) {
  return findings.map((finding) => {
    const item = make("li", { className: finding.severity });
    const cased = finding.case && finding.case !== "nominal" ? ` · ${finding.case} lumber` : "";
    item.append(
      make("p", { className: "kind", textContent: `${WORDS[finding.severity]} ${finding.code}${cased}` }),
      make("p", { textContent: finding.message }),
      make("p", { className: "remedy", textContent: finding.remedy }),
    );
    const buttons = make("div", { className: "row" });
    if (finding.change) {
      const { key, value } = finding.change;
      const button = make("button", { type: "button", textContent: `Set ${key.split(".")[1].replaceAll("_", " ")} to ${value}` });
      button.addEventListener("click", () => change(key, value));
      buttons.append(button);
    }
    if (finding.boards.length) {
      const button = make("button", { type: "button", className: "quiet", textContent: `Show ${finding.boards.length > 1 ? `${finding.boards.length} boards` : "the board"}` });
      button.addEventListener("click", () => show(finding.boards));
      buttons.append(button);
    }
    item.append(buttons);
    return item;
  });
}

/** The rows of the parts list; each row's button shows its boards. */
export function partRows(parts, chosen, show) {
  return parts.map((part) => {
    const held = part.boards.some((name) => chosen.has(name));
    const button = make("button", { type: "button", className: "mark", textContent: part.mark });
    button.setAttribute("aria-label", `part ${part.mark}, ${part.role}: show`);
    button.setAttribute("aria-pressed", String(held));
    button.addEventListener("click", () => show(part.boards));
    const row = make("tr", { className: held ? "held" : "" });
    row.append(make("td", {}, button));
    for (const text of [part.count, part.role, part.length, part.width, part.angles])
      row.append(make("td", { textContent: text }));
    return row;
  });
}

/** Board layouts to scale; pieces of a chosen part are filled. */
export function layoutDrawings(layouts, marks, units) {
  const longest = Math.max(...layouts.map((layout) => layout.stock.length_mm));
  return layouts.map((layout) => {
    const { length_mm: long, width_mm: wide, name } = layout.stock;
    const picture = draw("svg", { viewBox: `-4 -4 ${longest + 8} ${wide + 8}`, role: "img" });
    const names = layout.pieces.map((piece) => piece.part).join(", ");
    const what = `${layout.count} × ${name}, ${lengthText(long, units)}: ${names}`;
    picture.append(draw("title", {}, what), draw("rect", { class: "board", width: long, height: wide }));
    for (const piece of layout.pieces) {
      const { x_mm: x, y_mm: y, length_mm: w, width_mm: h } = piece;
      const held = marks.has(piece.part) ? "piece held" : "piece";
      picture.append(draw("polygon", { class: held, points: piece.outline.join(" ") }));
      const size = Math.min(64, h * 0.8, w * 0.8);
      picture.append(draw("text", { x: x + w / 2, y: y + h / 2, "font-size": size, class: "letter" }, piece.part));
    }
    return make("figure", {}, make("figcaption", { textContent: `${layout.count} × ${name} · ${lengthText(long, units)}` }), picture);
  });
}

/** Sizes that N boards make, each a button that loads it. */
export function sizeRows(frontier, units, load) {
  const best = Math.max(...frontier.sizes.map((size) => size.volume_l));
  return frontier.sizes.map((size) => {
    const texts = ["width_mm", "depth_mm", "height_mm"].map((key) => lengthText(size[key], units));
    const button = make("button", { type: "button", textContent: texts.join(" × ") });
    button.addEventListener("click", () => load({ "box.width": texts[0], "box.depth": texts[1], "box.height": texts[2] }));
    const volume = `${size.volume_l.toFixed(1)} l${size.volume_l === best ? " · largest" : ""}`;
    return make("tr", {}, make("td", {}, button), make("td", { textContent: volume }));
  });
}
