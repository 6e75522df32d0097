// The boxes of a budget: small boxes drawn to one scale, each to be loaded, three of them side by side.

import { make } from "./elements.js";
import { lengthText } from "./lengths.js";
import { draw } from "./plan_lists.js";

const MOST = 3; // side by side
const FRAME = { width: 132, height: 104 }; // px, of one small box
const SLANT = [0.5, 0.3]; // how far a depth goes to the right and up, as shares of it
const LITRES = 28.316846592; // of a cubic foot, exact
const POUND = 0.45359237; // kg, exact

export const SIDES = ["width", "depth", "height"];
const side = (size, name) => size[`${name}_mm`];

/** A size as `16 × 16 × 17 in`. */
export function sizeText(size, units) {
  const texts = SIDES.map((name) => lengthText(side(size, name), units));
  return `${texts.map((text) => text.replace(/ \w+$/, "")).join(" × ")} ${units === "inch" ? "in" : "mm"}`;
}

/** A volume as a shop of these units says it. */
export const volumeText = ({ volume_l: litres }, units) => (units === "inch" ? `${(litres / LITRES).toFixed(2)} ft³` : `${litres.toFixed(1)} l`);
const weightText = ({ weight_kg: kg }, units) => (units === "inch" ? `${Math.round(kg / POUND)} lb` : `${kg.toFixed(1)} kg`);
const lookText = ({ look }) => (look === "slimmer" ? "slimmer" : "as drawn");

const warnedText = ({ warnings }) => warnings.map(({ title }) => title).join("; ");

/** What is to be known of a size, as pairs of name and text. */
function told(size, units, best) {
  return [
    ["volume outside", volumeText(size, units) + (size.volume_l === best ? ", largest" : "")],
    ["boards", `${size.boards}, ${Math.round(100 * size.yield)} % used`],
    ["price of the boards", size.cost ? size.cost.toFixed(2) : "–"],
    ["weight", weightText(size, units)],
    ["look", lookText(size)],
    ["warnings", warnedText(size) || "none"],
    ...(size.minutes ? [["minutes of work", String(Math.round(size.minutes))]] : []),
  ];
}

/** How many px a mm is, so that the largest of all sizes has room in its frame. */
function scaleOf(sizes) {
  const wide = Math.max(...sizes.map((size) => side(size, "width") + SLANT[0] * side(size, "depth")));
  const high = Math.max(...sizes.map((size) => side(size, "height") + SLANT[1] * side(size, "depth")));
  return Math.min((FRAME.width - 6) / wide, (FRAME.height - 6) / high);
}

/** One box in a slanted view, standing on the frame's lower edge. */
function boxDrawing(size, scale) {
  const [w, d, h] = SIDES.map((name) => side(size, name) * scale);
  const [right, up] = [SLANT[0] * d, SLANT[1] * d];
  const [x, y] = [(FRAME.width - w - right) / 2, FRAME.height - 3];
  const face = (name, ...points) => draw("polygon", { class: name, points: points.map(([a, b]) => `${(x + a).toFixed(1)},${(y - b).toFixed(1)}`).join(" ") });
  return draw("svg", { viewBox: `0 0 ${FRAME.width} ${FRAME.height}`, "aria-hidden": "true", class: "small-box" },
    face("front", [0, 0], [w, 0], [w, h], [0, h]),
    face("end", [w, 0], [w + right, up], [w + right, h + up], [w, h]),
    face("rim", [0, h], [w, h], [w + right, h + up], [right, h + up]));
}

/** The offers; `load(size)` is called with the one that is pressed, `compare(sizes)` with those that are ticked. */
export function offerList(sizes, units, load, compare) {
  const best = Math.max(...sizes.map((size) => size.volume_l));
  const scale = scaleOf(sizes);
  const chosen = [];
  const ticks = [];
  const rows = sizes.map((size) => {
    const text = sizeText(size, units);
    const words = [volumeText(size, units) + (size.volume_l === best ? " · largest" : ""), `${size.boards} boards · ${lookText(size)}`];
    if (size.warnings.length) words.push(`warning: ${warnedText(size)}`);
    const button = make("button", { type: "button", className: "offer" }, boxDrawing(size, scale), make("b", { textContent: text }), ...words.map((word) => make("span", { textContent: word })));
    button.addEventListener("click", () => load(size));
    const tick = make("input", { type: "checkbox" });
    tick.setAttribute("aria-label", `compare ${text}, ${lookText(size)}`);
    ticks.push(tick);
    tick.addEventListener("change", () => {
      if (tick.checked) chosen.push(size);
      else chosen.splice(chosen.indexOf(size), 1);
      for (const one of ticks) one.disabled = !one.checked && chosen.length === MOST;
      compare(chosen);
    });
    return make("li", {}, button, make("label", { className: "tick" }, tick, " compare"));
  });
  return rows;
}

/** Rows of the table of sizes side by side. */
export function comparedRows(sizes, units) {
  if (!sizes.length) return [];
  const best = Math.max(...sizes.map((size) => size.volume_l));
  const columns = sizes.map((size) => [["size", sizeText(size, units)], ...told(size, units, best)]);
  return columns[0].map(([name], i) => make("tr", {}, make("th", { scope: "row", textContent: name }), ...columns.map((column) => make(i ? "td" : "th", { textContent: column[i]?.[1] ?? "", ...(i === 0 && { scope: "col" }) }))));
}

/** The settings that make a size: those that came with it, in its own words. */
export const settingsOf = (size) => Object.fromEntries(size.settings.map(({ key, value }) => [key, /^(true|false|\d+)$/.test(value) ? JSON.parse(value) : value]));
