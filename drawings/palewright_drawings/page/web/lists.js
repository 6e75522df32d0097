// What stands beside the picture: findings, parts, sizes; each a plain element.

import { make } from "./elements.js";
import { lengthText } from "./lengths.js";
import { draw } from "./plan_lists.js";

const WORDS = { fault: "Fault", warning: "Warning", note: "Note" };

/** The findings; `change` is called with a remedy's key and value, `show` with the finding. */
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
      button.addEventListener("click", () => show(finding));
      buttons.append(button);
    }
    item.append(buttons);
    return item;
  });
}

/** The rows of the parts list; each row's button shows its boards. */
export function partRows(parts, show) {
  return parts.map((part) => {
    const button = make("button", { type: "button", className: "mark", textContent: part.mark });
    button.setAttribute("aria-label", `part ${part.mark}, ${part.role}: show`);
    button.addEventListener("click", () => show(part.boards));
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

/** Sizes that N boards make, width against height, larger dots hold more; a click loads one. */
export function sizeChart(frontier, units, load) {
  const [wide, high] = [480, 260];
  const range = (key) => {
    const all = frontier.sizes.map((size) => size[key]);
    return [...new Set([Math.min(...all), Math.max(...all)])];
  };
  const ends = (key) => [range(key)[0] - 12, Math.max(range(key).at(-1) + 12, range(key)[0] + 100)];
  const [left, right] = ends("width_mm");
  const [bottom, top] = ends("height_mm");
  const x = (mm) => 70 + ((mm - left) / (right - left)) * (wide - 90);
  const y = (mm) => high - 45 - ((mm - bottom) / (top - bottom)) * (high - 65);
  const picture = draw("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", class: "chart" });
  picture.append(draw("title", {}, "Width against height of the sizes in the table below"));
  picture.append(draw("path", { class: "axis", d: `M70 12V${high - 45}H${wide - 8}` }));
  const mark = (at, text, anchor) => picture.append(draw("text", { x: at[0], y: at[1], "text-anchor": anchor }, text));
  for (const mm of range("width_mm")) mark([x(mm), high - 24], lengthText(mm, units), "middle");
  for (const mm of range("height_mm")) mark([64, y(mm) + 5], lengthText(mm, units), "end");
  mark([(70 + wide) / 2, high - 6], "width", "middle");
  mark([76, 14], "height", "start");
  const most = Math.max(...frontier.sizes.map((size) => size.volume_l));
  for (const size of frontier.sizes) {
    const dot = draw("circle", { cx: x(size.width_mm), cy: y(size.height_mm), r: 5 + 9 * (size.volume_l / most) ** 2 });
    dot.addEventListener("click", () => load(size));
    picture.append(dot);
  }
  return picture;
}

/** The settings that make a size: its sides, and where they differ from `values` its frame and walls. */
export function sizeChanges(size, units, values) {
  const found = Object.fromEntries(["width", "depth", "height"].map((key) => [`box.${key}`, lengthText(size[`${key}_mm`], units)]));
  for (const side of ["stile", "rail"])
    if (Math.abs(size[`${side}_mm`] - values.panel[`${side}_width`].mm) > 0.01) found[`panel.${side}_width`] = `${size[`${side}_mm`]} mm`;
  if (size.wall !== values.wall.layout) found["wall.layout"] = size.wall;
  return found;
}

/** Sizes that N boards make, each a button that loads it. */
export function sizeRows(frontier, units, load) {
  const best = Math.max(...frontier.sizes.map((size) => size.volume_l));
  return frontier.sizes.map((size) => {
    const sides = ["width", "depth", "height"].map((key) => lengthText(size[`${key}_mm`], units));
    const button = make("button", { type: "button", textContent: sides.join(" × ") });
    button.addEventListener("click", () => load(size));
    const volume = `${size.volume_l.toFixed(1)} l${size.volume_l === best ? " · largest" : ""}`;
    const used = `${size.boards} · ${Math.round(100 * size.yield)} % used`;
    return make("tr", {}, make("td", {}, button), make("td", { textContent: volume }), make("td", { textContent: used }));
  });
}
