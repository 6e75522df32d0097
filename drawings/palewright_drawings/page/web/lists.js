// What stands beside the picture: findings, parts, sizes; each a plain element.

import { make } from "./elements.js";
import { lengthText } from "./lengths.js";
import { draw } from "./plan_lists.js";

const LETTER = 9.6; // px that a letter of the chart takes at most, on the average
const DOT = 13; // px, radius of the largest dot
const REACH = 24; // px from a dot within which a finger means it
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
      const button = make("button", { type: "button", textContent: `Set ${said.join(", ")}` });
      button.addEventListener("click", () => change(Object.fromEntries(finding.changes.map(({ key, value }) => [key, typed(value)]))));
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

/**
 * Sizes that N boards make, width against height, larger dots hold more; a click loads the nearest.
 * Drawn as wide (px) as its place, so that its words are of one size on every screen.
 */
export function sizeChart(frontier, units, load, wide) {
  const high = Math.max(220, Math.min(320, Math.round(0.54 * wide)));
  const range = (key) => {
    const all = frontier.sizes.map((size) => size[key]);
    return [...new Set([Math.min(...all), Math.max(...all)])];
  };
  const heights = range("height_mm").map((mm) => lengthText(mm, units));
  const left = 12 + LETTER * Math.max(...heights.map((text) => text.length));
  const [top, bottom] = [28, high - 45];
  const along = (key, from, to) => {
    const [low, most] = [range(key)[0], range(key).at(-1)];
    return (mm) => (most > low ? from + ((mm - low) / (most - low)) * (to - from) : (from + to) / 2);
  };
  const x = along("width_mm", left + 2 * DOT, wide - 2 * DOT);
  const y = along("height_mm", bottom - 1.5 * DOT, top + DOT);
  const picture = draw("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", class: "chart" });
  picture.append(draw("title", {}, "Width against height of the sizes in the table below"));
  picture.append(draw("path", { class: "axis", d: `M${left} ${top - 8}V${bottom}H${wide - 4}` }));
  const mark = (px, py, text, anchor) => picture.append(draw("text", { x: px, y: py, "text-anchor": anchor }, text));
  for (const mm of range("width_mm")) mark(Math.min(x(mm), wide - 2 - (LETTER / 2) * lengthText(mm, units).length), bottom + 20, lengthText(mm, units), "middle");
  range("height_mm").forEach((mm, i) => mark(left - 6, y(mm) + 5, heights[i], "end"));
  mark((left + wide) / 2, high - 5, "width", "middle");
  mark(left, 14, "height", "middle");
  const most = Math.max(...frontier.sizes.map((size) => size.volume_l));
  const dots = frontier.sizes.map((size) => ({ size, cx: x(size.width_mm), cy: y(size.height_mm) }));
  for (const { size, cx, cy } of dots) picture.append(draw("circle", { cx, cy, r: 5 + (DOT - 5) * (size.volume_l / most) ** 2 }));
  picture.addEventListener("click", (event) => {
    const place = picture.getBoundingClientRect();
    const scale = wide / place.width;
    const far = ({ cx, cy }) => Math.hypot((event.clientX - place.x) * scale - cx, (event.clientY - place.y) * scale - cy);
    const nearest = dots.reduce((a, b) => (far(b) < far(a) ? b : a));
    if (far(nearest) <= REACH) load(nearest.size);
  });
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
