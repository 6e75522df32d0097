// Labels over the picture with leaders to the boards: clearances at the corners, what was found.

import { renew } from "./elements.js";
import { draw } from "./plan_lists.js";

const GAP = 27; // px between the middles of two labels that stand over each other
const EDGE = 8;

export class Tags {
  /** `picture` is an SVG over the canvas; `where(point, board)` gives pixels of a point in mm. */
  constructor(picture, where) {
    this.picture = picture;
    this.where = where;
    this.tags = [];
  }

  /** Show tags: `{text, at: [x, y, z], board, kind}`. */
  show(tags) {
    const same = JSON.stringify(tags);
    if (same === this.same) return;
    this.same = same;
    this.tags = tags.map((tag) => {
      const line = draw("path", { class: "leader" });
      const back = draw("rect", { rx: 4, height: 24 });
      const text = draw("text", { "text-anchor": "middle", "dominant-baseline": "central" }, tag.text);
      return { ...tag, line, back, text, group: draw("g", { class: `tag ${tag.kind}` }, line, back, text) };
    });
    renew(this.picture, this.tags.map((tag) => tag.group));
    for (const tag of this.tags) tag.wide = tag.text.getComputedTextLength() + 14;
    this.place();
  }

  /** Put all labels where their boards are now. */
  place() {
    if (!this.tags.length) return;
    const { clientWidth: width, clientHeight: height } = this.picture;
    const set = [];
    const placed = this.tags.map((tag) => ({ tag, from: this.where(tag.at, tag.board) }));
    placed.sort((a, b) => a.from[1] - b.from[1]);
    for (const { tag, from } of placed) {
      const half = tag.wide / 2;
      // outwards from the middle of the picture, where the ground is plain
      const away = Math.sign(from[0] - width / 2) || 1;
      const x = Math.min(width - half - EDGE, Math.max(half + EDGE, from[0] + away * (half + 26)));
      let y = Math.min(height - 20, Math.max(20, from[1] - 34));
      for (const other of set) if (Math.abs(other.x - x) < other.half + half && Math.abs(other.y - y) < GAP) y = other.y + GAP;
      set.push({ x, y, half });
      tag.line.setAttribute("d", `M${from[0].toFixed(1)} ${from[1].toFixed(1)}L${x.toFixed(1)} ${y.toFixed(1)}`);
      for (const [name, value] of [["x", x - half], ["y", y - 12], ["width", tag.wide]]) tag.back.setAttribute(name, value.toFixed(1));
      tag.text.setAttribute("x", x.toFixed(1));
      tag.text.setAttribute("y", y.toFixed(1));
    }
  }
}
