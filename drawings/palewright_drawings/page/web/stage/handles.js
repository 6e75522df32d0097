// Sizes on the box itself: dimension lines that are dragged, moved by keys or typed at, and what the model knows along them.

import { Vector3 } from "three";
import { make, put, putAttribute } from "../elements.js";
import { INCH, lengthText, withUnit } from "../lengths.js";
import { draw } from "../plan_lists.js";
import { bandAt, bandsFrom, knownAt } from "./tracks.js";

export const OUT = 58; // mm that a dimension line lies off the box
const PAUSE = 700; // ms after which the next stroke of a key is a step of its own, as at the sliders
const MOST = [0, 2438.4]; // mm between which some size is allowed at all; the server says what fits
const SIZES = { "box.width": "Width", "box.depth": "Depth", "box.height": "Height" };
const SIDES = ["left", "right"];
const WAYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 4, PageDown: -4 };
const BAND = 0.3; // steps that a band reaches beyond its sizes: between two bands is a gap
const TIC = 9; // mm of the end marks of a line
const PILL = [44, 20]; // px that a label needs on either side, to stay in the picture
const ASIDE = 0.15; // of the box's width: how far from its rail's middle the foot is told
const CLEAR = [34, 26]; // px between the middles of grip and label that leave 24 px of the grip free

const BEYOND = { cap: ["cap.overhang", "Overhang of the cap"], rail: ["box.foot", "Foot of the box"] }; // what else a board of a role shows

/** The key that sets the width of a board, or nothing. */
function keyOf({ role, panel }) {
  if (panel === "trellis") return "trellis.strip_width";
  const side = SIDES.includes(panel) ? "side_" : "";
  return { cap: "cap.width", brace: "face.brace_width", slat: "floor.slat_width", stile: `panel.${side}stile_width`, rail: `panel.${side}rail_width` }[role] || "";
}

/** The grid of a handle, mm: as the server's tracks have it. */
export const stepOf = (units) => (units === "inch" ? INCH / 4 : 5);

/** Where on the line through `at` along `way` (unit) a line of sight (`origin`, `direction`) passes nearest, mm from `at`. */
export function nearestOn(at, way, { origin, direction }) {
  const to = at.clone().sub(origin);
  const [lean, along, ahead] = [way.dot(direction), way.dot(to), direction.dot(to)];
  return (lean * ahead - along) / Math.max(1e-6, 1 - lean * lean);
}

export class Handles {
  /** Over a picture in `place`; the viewer says where things are, the desk takes what is set. */
  constructor(place, viewer, desk) {
    Object.assign(this, { place, viewer, desk, held: null, asked: {} });
    this.picture = draw("svg", { id: "sizes-drawn", "aria-hidden": "true" });
    this.legend = make("p", { className: "legend", hidden: true },
      ...[["least", "cheapest"], ["same", "no dearer than now"], ["more", "dearer"], ["no", "does not fit"]].map(([kind, text]) => make("span", { className: kind, textContent: text })));
    const group = make("div", { className: "handles" });
    group.setAttribute("role", "group");
    group.setAttribute("aria-label", "Sizes on the box");
    this.all = [...Object.entries(SIZES), ["", ""], ["", ""]].map(([key, name]) => this.#made(key, name, group));
    [this.picked, this.beyond] = this.all.slice(-2);
    place.append(this.picture, group, this.legend);
    desk.subscribe(() => this.#hear());
    desk.tracks.listen(() => this.draw());
  }

  #made(key, name, group) {
    const grip = make("button", { type: "button", className: "grip" });
    grip.setAttribute("role", "slider");
    const pill = make("button", { type: "button", className: "pill" });
    const field = make("input", { type: "text", className: "pill", hidden: true, autocomplete: "off", spellcheck: false });
    const one = { key, grip, pill, field, near: false, board: "" };
    this.#call(one, key, `${name} of the box`);
    group.append(pill, field, grip);
    pill.addEventListener("click", () => this.#type(one));
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === "Escape") {
        event.preventDefault(); // else the stroke would press the label, too, that gets the focus
        this.#typed(one, event.key === "Enter");
      }
      event.stopPropagation(); // Escape and Ctrl-Z are the field's
    });
    field.addEventListener("blur", () => this.#typed(one, true));
    grip.addEventListener("pointerdown", (event) => this.#grab(one, event));
    grip.addEventListener("pointermove", (event) => this.#drag(one, event));
    for (const end of ["pointerup", "pointercancel"]) grip.addEventListener(end, () => this.#let(one));
    grip.addEventListener("keydown", (event) => this.#key(one, event));
    grip.addEventListener("keyup", () => { one.pause = setTimeout(() => this.desk.end(), PAUSE); });
    const near = (is) => () => {
      one.near = is;
      if (is) this.#come(one);
      else this.desk.tracks.go(one.key);
      this.draw();
    };
    for (const event of ["pointerenter", "focus"]) grip.addEventListener(event, near(true));
    for (const event of ["pointerleave", "blur"]) grip.addEventListener(event, near(false));
    return one;
  }

  /** Say what a handle is of. */
  #call(one, key, name) {
    one.key = key;
    putAttribute(one.grip, "aria-label", name);
    putAttribute(one.field, "aria-label", `${name}, typed`);
    for (const part of [one.grip, one.pill]) put(part, { hidden: !key });
    if (!key) put(one.field, { hidden: true });
  }

  /**
   * Boards were picked: where all play one role, the width of the first has a handle; those of the front lead the sides'.
   * A cap has one for its overhang besides, the lowest rail one for the foot.
   */
  pick(boards) {
    const alike = new Set(boards.map(({ role }) => role)).size === 1;
    const board = boards.find(({ panel }) => !SIDES.includes(panel)) || boards[0];
    const key = alike ? keyOf(board) : "";
    this.picked.board = key && board.name;
    this.#call(this.picked, key, key ? `Width of the ${board.role}` : "");
    const [more = "", name = ""] = (key && BEYOND[board.role]) || [];
    const lowest = more && boards.filter(({ panel }) => panel === board.panel).map((one) => [this.#lowEdge(one.name).z, one.name]).sort(([a], [b]) => a - b)[0];
    const is = more && (board.role !== "rail" || Math.abs(lowest[0] - this.desk.size(more).mm) < 1);
    this.beyond.board = is ? lowest[1] : "";
    this.#call(this.beyond, is ? more : "", is ? name : "");
    this.draw();
  }

  #come(one) {
    this.desk.tracks.come(one.key, () => this.#drawnSize(one));
  }

  /** A change came: what was set elsewhere is shown, what is held stays with the hand. */
  #hear() {
    const { desk } = this;
    if (desk.state === "shown") this.asked = this.held ? { [this.held.key]: this.asked[this.held.key] } : {};
    this.draw();
  }

  /** The size (mm) of what is drawn: a width that follows from others is read from its board. */
  #drawnSize({ key, board }) {
    return this.desk.size(key)?.mm ?? this.viewer.across(board).width;
  }

  /** The middle of the lower edge of a board that stands upright, mm. */
  #lowEdge(name) {
    const { edge, way, width } = this.viewer.across(name);
    const other = edge.clone().addScaledVector(way, width);
    return other.z < edge.z ? other : edge.clone();
  }

  /** The size (mm) that a handle is set to, drawn already or not. */
  #size(one) {
    return this.asked[one.key] ?? this.#drawnSize(one);
  }

  /** A dimension line where it is seen best (mm): `from`, `to`, the `way` it grows, `aside` of it, where its `label` stands if not there. */
  #line(one) {
    const { key } = one;
    const size = this.#size(one);
    if (key === "box.foot") {
      // towards an end of the rail and labelled beyond it: the rail's own width is told at its middle
      const aside = this.viewer.across(one.board).along.clone().negate();
      const ground = this.#lowEdge(one.board).setZ(0).addScaledVector(aside, ASIDE * this.desk.size("box.width").mm);
      return { from: ground, to: ground.clone().setZ(size), way: new Vector3(0, 0, 1), aside };
    }
    if (one.board) {
      const { edge, way, along } = this.viewer.across(one.board);
      if (key === "cap.overhang") {
        const face = edge.clone().addScaledVector(way, this.#drawnSize(one));
        return { from: face, to: face.clone().addScaledVector(way, -size), way: way.clone().negate(), aside: along, label: way.clone().negate() };
      }
      return { from: edge, to: edge.clone().addScaledVector(way, size), way, aside: along };
    }
    const [width, depth] = ["box.width", "box.depth"].map((name) => this.desk.size(name).mm);
    const { around } = this.viewer.orbit;
    const right = Math.sin(around) < 0 ? 1 : -1; // the side that is turned away
    const front = Math.cos(around) < 0 ? 1 : -1; // y of the face that is turned to the eye
    if (key === "box.width") {
      const y = front * (depth / 2 + OUT);
      return line([(-right * width) / 2, y, 0], [right, 0, 0], size, [0, front, 0]);
    }
    const x = -right * (width / 2 + OUT);
    if (key === "box.depth") return line([x, (-front * depth) / 2, 0], [0, front, 0], size, [-right, 0, 0]);
    return line([x + (right * OUT) / 2, -front * (depth / 2 + OUT / 2), 0], [0, 0, 1], size, [-right, 0, 0]);
  }

  #grab(one, event) {
    if (event.button) return;
    one.grip.setPointerCapture(event.pointerId);
    const { to, way } = this.#line(one);
    const { units } = this.desk.design;
    const [ax, ay] = this.viewer.pixels(to.clone());
    const [bx, by] = this.viewer.pixels(to.clone().addScaledVector(way, 10));
    const pixel = 10 / Math.max(1e-6, Math.hypot(bx - ax, by - ay)); // mm
    const gear = Math.min(1, stepOf(units) / pixel);
    this.held = { key: one.key, way, to, gear, at: 0, size: this.#size(one), x: event.clientX, y: event.clientY };
    this.held.at = this.#pointed(event);
    this.viewer.hold(one.board ? null : way);
    this.#come(one);
    this.draw();
  }

  /** Where the pointer is along the held line, mm; the face across stays in the picture, so what is measured moves with it. */
  #pointed(event) {
    const { to, way } = this.held;
    return nearestOn(to, way, this.viewer.sight(event.clientX, event.clientY).ray) - this.viewer.aimed.dot(way);
  }

  #drag(one, event) {
    const { held } = this;
    if (held?.key !== one.key) return;
    const now = this.#pointed(event);
    const pixels = Math.hypot(event.clientX - held.x, event.clientY - held.y);
    // a pixel is never more than a step, though the line runs away from the eye
    const most = pixels * stepOf(this.desk.design.units);
    held.size += Math.min(most, Math.max(-most, held.gear * (now - held.at)));
    Object.assign(held, { at: now, x: event.clientX, y: event.clientY });
    this.#set(one, held.size);
  }

  #let(one) {
    if (this.held?.key !== one.key) return;
    this.held = null;
    this.desk.end();
    this.viewer.letGo();
    this.draw();
  }

  /** Set a size to the grid's nearest. */
  #set(one, mm) {
    const { key } = one;
    const { units } = this.desk.design;
    const step = stepOf(units);
    const size = Math.round(Math.min(MOST[1], Math.max(step, mm)) / step) * step;
    if (Math.abs(size - this.#size(one)) < 1e-6) return;
    this.asked[key] = size;
    this.desk.change(key, lengthText(size, units));
    this.draw();
  }

  #key(one, event) {
    clearTimeout(one.pause); // a key that is held down pauses nowhere
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (/^[\d.]$/.test(event.key)) {
      event.preventDefault();
      return this.#type(one, event.key);
    }
    if (event.key !== one.last) this.desk.end();
    one.last = event.key;
    const way = WAYS[event.key];
    if (!way) return;
    event.preventDefault();
    this.viewer.hold(one.board ? null : this.#line(one).way);
    this.#set(one, this.#size(one) + way * (event.shiftKey ? 4 : 1) * stepOf(this.desk.design.units));
  }

  /** Open the field at a dimension line. */
  #type(one, begun = "") {
    put(one.field, { hidden: false, value: begun || one.pill.textContent });
    put(one.pill, { hidden: true });
    one.field.focus();
    if (!begun) one.field.select();
  }

  #typed(one, taken) {
    if (one.field.hidden) return;
    const text = withUnit(one.field.value, this.desk.design.units);
    const back = document.activeElement === one.field;
    put(one.field, { hidden: true });
    put(one.pill, { hidden: false });
    if (back) one.pill.focus();
    if (!taken || text === one.pill.textContent) return;
    this.viewer.hold(one.board ? null : this.#line(one).way);
    this.desk.change(one.key, text);
    this.desk.end();
  }

  /** Put all where the box is now. */
  draw() {
    const { viewer, desk } = this;
    const seen = Boolean(desk.design && viewer.ready && viewer.apart < 0.05);
    this.place.classList.toggle("sized", seen);
    if (!seen) return;
    const { clientWidth: width, clientHeight: height } = this.picture;
    const [drawn, over] = [[], []];
    let tracked = null;
    for (const one of this.all) {
      if (!one.key || (one.board && !viewer.boards.has(one.board))) continue;
      const { from, to, way, aside, label = aside } = this.#line(one);
      const on = this.held ? this.held.key === one.key : one.near;
      const track = on ? desk.tracks.of(one.key) : null;
      if (track) {
        tracked = bandAt(track, this.#drawnSize(one));
        for (const [band, text] of this.#bands(track, this.#drawnSize(one), from, way)) {
          drawn.push(band);
          if (text) over.push(text);
        }
      }
      const ends = [from, to].flatMap((end) => [-TIC, TIC].map((by) => end.clone().addScaledVector(aside, by)));
      const path = [[from, to], ends.slice(0, 2), ends.slice(2)].map((pair) => this.#path(pair)).join("");
      drawn.push(draw("path", { class: "halo", d: path }), draw("path", { class: on ? "sized on" : "sized", d: path }));
      this.#place(one, from, to, label, [width, height], on);
      this.#say(one, track);
    }
    this.picture.replaceChildren(...drawn, ...over);
    put(this.legend, { hidden: !tracked });
    if (tracked) put(this.legend.children[1], { textContent: tracked[2] === null ? "fits" : `no dearer than ${tracked[2]} boards` });
  }

  /** The bands of a track, where the face would stand, each with its boards where there is room. */
  #bands(track, drawn, from, way) {
    const there = (mm) => from.clone().addScaledVector(way, mm);
    return bandsFrom(track, drawn).map(({ low, high, boards, kind }) => {
      const pair = [low - BAND * track.step, high + BAND * track.step].map(there);
      const [[ax, ay], [bx, by]] = pair.map((one) => this.viewer.pixels(one.clone()));
      const band = draw("path", { class: `band ${kind}`, d: this.#path(pair) });
      if (boards === null || Math.hypot(bx - ax, by - ay) < 15) return [band];
      const text = { x: ((ax + bx) / 2).toFixed(1), y: ((ay + by) / 2).toFixed(1), class: "boards", "text-anchor": "middle", "dominant-baseline": "central" };
      return [band, draw("text", text, String(boards))];
    });
  }

  #path(points) {
    return points.map((point, i) => `${i ? "L" : "M"}${this.viewer.pixels(point.clone()).map((one) => one.toFixed(1)).join(" ")}`).join("");
  }

  #place({ grip, pill, field }, from, to, aside, [width, height], on) {
    const [gx, gy] = this.viewer.pixels(to.clone());
    grip.style.translate = `${gx.toFixed(1)}px ${gy.toFixed(1)}px`;
    grip.classList.toggle("on", on);
    const middle = from.clone().add(to).multiplyScalar(0.5);
    const [mx, my] = this.viewer.pixels(middle.clone());
    const [ox, oy] = this.viewer.pixels(middle.addScaledVector(aside, 10));
    const far = Math.hypot(ox - mx, oy - my) || 1;
    const off = on ? 44 : 26; // px: clear of the line, or of its track
    const aims = [mx + (off * (ox - mx)) / far, my + (0.8 * off * (oy - my)) / far];
    // of a narrow board the grip is near: the pill moves off it the way it stands
    const [dx, dy] = [aims[0] - gx, aims[1] - gy];
    const clear = Math.max(1, Math.min(CLEAR[0] / (Math.abs(dx) || 1e-6), CLEAR[1] / (Math.abs(dy) || 1e-6)));
    const x = Math.min(width - PILL[0], Math.max(PILL[0], gx + clear * dx));
    const y = Math.min(height - PILL[1], Math.max(PILL[1], gy + clear * dy));
    for (const one of [pill, field]) one.style.translate = `${x.toFixed(1)}px ${y.toFixed(1)}px`;
    const inside = gx > 0 && gy > 0 && gx < width && gy < height;
    grip.style.visibility = inside ? "" : "hidden";
  }

  #say(one, track) {
    const { key, grip, pill, field } = one;
    const { units } = this.desk.design;
    const mm = this.#size(one);
    const text = (!(key in this.asked) && this.desk.size(key)?.text) || lengthText(mm, units);
    if (field.hidden) put(pill, { textContent: text });
    putAttribute(pill, "aria-label", `${text}, type another`);
    const known = knownAt(track, mm);
    const [low, high] = track ? [track.bands[0][0], track.bands.at(-1)[1]] : MOST;
    for (const [name, value] of [["valuenow", mm], ["valuemin", Math.min(low, mm)], ["valuemax", Math.max(high, mm)]])
      putAttribute(grip, `aria-${name}`, String(Math.round(value * 100) / 100));
    putAttribute(grip, "aria-valuetext", [text, known].filter(Boolean).join(", "));
  }
}

function line(from, way, size, aside) {
  const [a, u, t] = [from, way, aside].map((xyz) => new Vector3(...xyz));
  return { from: a, to: a.clone().addScaledVector(u, size), way: u, aside: t };
}
