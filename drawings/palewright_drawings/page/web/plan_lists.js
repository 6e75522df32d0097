// The cut plan: board layouts to scale and the saw settings, and where the chosen boards are in them.

import { make } from "./elements.js";
import { lengthText } from "./lengths.js";

const SVG = "http://www.w3.org/2000/svg";

/** A new element of a drawing. */
export function draw(tag, attributes = {}, ...inside) {
  const found = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) found.setAttribute(name, value);
  found.append(...inside);
  return found;
}

const numbersText = ([first, last]) => (first === last ? `board ${first}` : `boards ${first} to ${last}`);

/** Board layouts; `pick(mark)` is called when a piece is clicked. */
export function layoutDrawings(layouts, units, pick) {
  const longest = Math.max(...layouts.map((layout) => layout.stock.length_mm));
  return layouts.map((layout) => {
    const { length_mm: long, width_mm: wide, name } = layout.stock;
    const start = -layout.trim_mm; // pieces count from where the end is squared
    const picture = draw("svg", { viewBox: `${start - 4} -4 ${longest + 8} ${wide + 8}`, role: "img" });
    const names = layout.pieces.map((piece) => piece.part).join(", ");
    picture.append(
      draw("title", {}, `${layout.count} × ${name}, ${lengthText(long, units)}: ${names}`),
      draw("rect", { class: "board", x: start, width: long, height: wide }),
    );
    for (const piece of layout.pieces) {
      const { x_mm: x, y_mm: y, length_mm: w, width_mm: h, part } = piece;
      const shape = draw("polygon", { class: "piece", points: piece.outline.join(" ") });
      shape.dataset.part = part;
      shape.addEventListener("click", () => pick(part));
      const size = Math.min(64, h * 0.8, w * 0.8);
      picture.append(shape, draw("text", { x: x + w / 2, y: y + h / 2, "font-size": size, class: "letter" }, part));
    }
    const caption = `${layout.count} × ${name}, ${lengthText(long, units)} · ${numbersText(layout.numbers)}`;
    return make("figure", {}, make("figcaption", { textContent: caption }), picture);
  });
}

/** The saw settings, stock by stock and step by step, in working order. */
export function sawLists(stocks) {
  const short = stocks.some((stock) => stock.steps.some((step) => step.lines.some((line) => line.places.includes("!"))));
  const lists = stocks.flatMap((stock) => [
    ...(stock.stock ? [make("h3", { textContent: stock.stock })] : []),
    ...stock.steps.flatMap((step) => [make(stock.stock ? "h4" : "h3", { textContent: step.heading }), sawTable(step)]),
    ...(stock.ready ? [make("p", { className: "small", textContent: stock.ready })] : []),
  ]);
  if (short) lists.push(make("p", { className: "small", textContent: "! too short to be fed or held by hand: clamp it, or use a sled." }));
  return lists;
}

function sawTable(step) {
  const gives = step.lines.some((line) => line.made); // cuts that leave blocks and strips only need no such column
  const row = (kind, texts) => make("tr", {}, ...texts.slice(0, gives ? 5 : 4).map((text) => make(kind, { textContent: text, ...(kind === "th" && { scope: "col" }) })));
  const rows = step.lines.map((line) => {
    const found = row("td", [line.number, line.size, line.cuts, line.places, line.made]);
    found.dataset.parts = [...line.made.matchAll(/\d+ ([^\s,]+)/g)].map(([, mark]) => mark).join(" ");
    return found;
  });
  const head = row("th", ["no.", "set to", "cuts", "boards", "gives"]);
  return make("table", { className: "saw" }, make("thead", {}, head), make("tbody", {}, ...rows));
}

/** Marks the chosen boards: all pieces of their parts, and their own places in the layouts. */
export function markChosen(layouts, saw, marks, origins) {
  const own = new Set(origins.map(({ layout, place }) => `${layout}/${place}`));
  [...layouts.querySelectorAll("svg")].forEach((picture, i) => {
    [...picture.querySelectorAll(".piece")].forEach((piece, j) => {
      piece.classList.toggle("held", marks.has(piece.dataset.part));
      piece.classList.toggle("own", own.has(`${i}/${j}`));
    });
  });
  for (const row of saw.querySelectorAll("tbody tr"))
    row.classList.toggle("held", row.dataset.parts.split(" ").some((mark) => marks.has(mark)));
}
