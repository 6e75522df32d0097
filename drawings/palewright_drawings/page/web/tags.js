// Labels over the picture with leaders to the boards: clearances at the corners, letters of parts, what was found.

import { make, put, renew } from "./elements.js";
import { coverage, leaderEnd, placeLabels } from "./label_places.js";
import { draw } from "./plan_lists.js";

const LINE = 19; // px from one line of a label to the next
const PAD = [7, 3];
const MORE = { width: 120, height: 46 }; // px that the count of labels without room takes at the lower left
const LONGEST = [230, 165, 110]; // px of a line, as many ways to break a text
const RANKS = ["fault", "warning", "note", "gap", "part"];

const dotAt = ([x, y]) => `M${(x - 2.5).toFixed(1)} ${y.toFixed(1)}a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0`;

/** A text in lines of at most so many px, and the size of its label; `long(start, end)` measures it. */
function linesOf(text, long, most) {
  const lines = [];
  let [start, end, wide] = [0, 0, 0];
  const close = () => { lines.push(text.slice(start, end)); wide = Math.max(wide, long(start, start + lines.at(-1).trimEnd().length)); start = end; };
  for (const { index, 0: word } of text.matchAll(/\S+\s*/g)) {
    if (index > start && long(start, index + word.trimEnd().length) > most) close();
    end = index + word.length;
  }
  close();
  return { lines, width: wide + 2 * PAD[0], height: LINE * lines.length + 2 * PAD[1] };
}

export class Tags {
  /**
   * `picture` is an SVG over the canvas, `more` the place that tells of labels without room; `viewer` says where
   * points and boards are in the picture.
   */
  constructor(picture, more, viewer) {
    Object.assign(this, { picture, more, viewer, tags: [], width: 0 });
  }

  /** Show tags: `{text, said, at: [x, y, z], board, kind, corner}`; `said` is the text where no leader says of what. */
  show(tags) {
    const same = JSON.stringify(tags);
    if (same === this.same) return;
    this.same = same;
    const rank = ({ kind, corner }) => 2 * RANKS.indexOf(kind) + Number(Boolean(corner));
    this.tags = [...tags].sort((a, b) => rank(a) - rank(b)).map((tag) => {
      const [halo, line] = ["halo", "leader"].map((name) => draw("path", { class: name })); // seen on any wood
      const back = draw("rect", { rx: 4 });
      const text = draw("text", { "text-anchor": "middle", "dominant-baseline": "central" }, tag.text);
      return { ...tag, lines: [halo, line], back, words: text, group: draw("g", { class: `tag ${tag.kind}` }, halo, line, back, text) };
    });
    renew(this.picture, this.tags.map((tag) => tag.group));
    this.width = 0;
    this.place();
  }

  /** Put all labels where their boards are now. */
  place() {
    const { clientWidth: width, clientHeight: height } = this.picture;
    if (!this.tags.length || !width) return this.#tell([]);
    if (width !== this.width) this.#wrap(width);
    const inside = ([x, y]) => x > 0 && y > 0 && x < width && y < height;
    for (const tag of this.tags) {
      const from = this.viewer.where(tag.at, tag.board);
      tag.from = from && inside(from) ? from : null;
    }
    const seen = this.tags.filter((tag) => tag.from);
    const kept = { x: 0, y: height - MORE.height, ...MORE };
    const places = placeLabels(seen, { width, height, kept }, coverage([...this.viewer.bodies(), ...this.#buttons()], width, height));
    this.tags.forEach((tag) => { tag.last = places[seen.indexOf(tag)] || null; });
    for (const tag of this.tags) this.#set(tag);
    this.#tell(this.tags.filter((tag) => !tag.last));
  }

  /** What lies over the picture's top, as corners in it, px: a label under it is not seen. */
  #buttons() {
    const { left, top } = this.picture.getBoundingClientRect();
    const boxes = [...document.querySelectorAll(".views > *")].map((one) => one.getBoundingClientRect());
    return boxes.map((box) => [box.left, box.right].flatMap((x) => [box.top, box.bottom].map((y) => [x - left, y - top])));
  }

  /** The ways to break each text into lines, for a picture so wide. */
  #wrap(width) {
    this.width = width;
    for (const tag of this.tags) {
      tag.group.style.display = "";
      tag.words.replaceChildren(tag.text);
      const long = (start, end) => tag.words.getSubStringLength(start, end - start);
      const ways = LONGEST.map((most) => linesOf(tag.text, long, Math.min(most, 0.6 * width)));
      tag.shapes = ways.filter((way, i) => !i || way.lines.length > ways[i - 1].lines.length);
      tag.last = tag.shape = null;
    }
  }

  #set(tag) {
    const { group, lines, back, words, from, last } = tag;
    group.style.display = last ? "" : "none";
    if (!last) return;
    if (tag.shape !== last.shape) {
      tag.shape = last.shape;
      words.replaceChildren(...tag.shapes[tag.shape].lines.map((one) => draw("tspan", {}, one)));
    }
    const { x, y, width, height } = last;
    const [ex, ey] = leaderEnd(last, from);
    for (const line of lines) line.setAttribute("d", `M${from[0].toFixed(1)} ${from[1].toFixed(1)}L${ex.toFixed(1)} ${ey.toFixed(1)}${dotAt(from)}`);
    for (const [name, value] of Object.entries({ x, y, width, height })) back.setAttribute(name, value.toFixed(1));
    [...words.children].forEach((one, i) => {
      one.setAttribute("x", (x + width / 2).toFixed(1));
      one.setAttribute("y", (y + PAD[1] + (i + 0.5) * LINE).toFixed(1));
    });
  }

  /** Say how many labels have no room, and which in a list that opens. */
  #tell(left) {
    put(this.more, { hidden: !left.length });
    const [heading, list] = this.more.children;
    put(heading, { textContent: `${left.length} more` });
    const texts = left.map((tag) => tag.said || tag.text);
    if (texts.join("\n") === this.told) return;
    this.told = texts.join("\n");
    list.replaceChildren(...texts.map((text) => make("li", { textContent: text })));
  }
}
