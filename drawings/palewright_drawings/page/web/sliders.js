// A slider of a length: one scale for all values, and a hand that never takes more than a step at once.

import { make, put, putAttribute } from "./elements.js";
import { lengthText, shopStep } from "./lengths.js";
import { bandsFrom } from "./stage/tracks.js";

const PAUSE = 700; // ms after which the next stroke of a key is a step of its own
const DIGIT = 9; // px of a digit in a band, with room beside it
const NEAR = 14; // px from the knob's middle that are still the knob

export class LengthSlider {
  #units;
  #moved;
  #ended;
  #mm = 0;
  drawn = 0; // what the box that is shown has, mm

  /** `moved(text)` hears of each value on the way, `ended()` of the end of a gesture; `units()` says inch or metric. */
  constructor({ key, label, low, high, reach }, units, moved, ended) {
    Object.assign(this, { low, high, reach });
    this.#units = units;
    this.#moved = moved;
    this.#ended = ended;
    this.input = make("input", { type: "range", min: low, max: reach, step: "any", tabIndex: 0 });
    this.input.setAttribute("aria-label", `${label}, slider`);
    this.input.dataset.key = key;
    this.known = make("span", { className: "known" });
    this.track = make("span", { className: "track" }, this.known, this.input);
    this.input.addEventListener("input", () => this.#go(this.input.valueAsNumber));
    for (const event of ["change", "blur"]) this.input.addEventListener(event, this.#ended);
    this.track.addEventListener("pointerdown", (event) => this.#hold(event));
    this.#nudges();
  }

  /** Show a value (mm) that was set elsewhere. */
  show(mm, text) {
    this.#mm = mm;
    put(this.input, { valueAsNumber: Math.min(mm, this.reach) });
    putAttribute(this.input, "aria-valuetext", text);
  }

  /** The value that it stands at, mm. */
  get mm() {
    return this.#mm;
  }

  /** Say what is known of where it stands, behind its value. */
  tell(known) {
    const { ariaValueText: said } = this.input;
    const [value] = (said ?? "").split(" · ");
    putAttribute(this.input, "aria-valuetext", known ? `${value} · ${known}` : value);
  }

  /** Paint what is known along it, or nothing. */
  paint(track) {
    const share = (mm) => (Math.min(Math.max(mm, this.low), this.reach) - this.low) / (this.reach - this.low);
    const bands = track ? bandsFrom(track, this.drawn) : [];
    const { clientWidth: wide } = this.known; // px
    this.known.replaceChildren(...bands.map(({ low, high, boards, kind }) => {
      const [from, to] = [low - track.step / 2, high + track.step / 2].map(share);
      const band = make("i", { className: kind, textContent: (to - from) * wide > DIGIT * String(boards ?? 0).length ? boards ?? "" : "" });
      Object.assign(band.style, { left: `${100 * from}%`, width: `${100 * (to - from)}%` });
      return band;
    }));
  }

  #go(mm) {
    const step = shopStep(this.#units());
    this.#mm = Math.min(this.high, Math.max(this.low, Math.round(mm / step) * step));
    const text = lengthText(this.#mm, this.#units());
    this.input.valueAsNumber = Math.min(this.#mm, this.reach);
    this.input.setAttribute("aria-valuetext", text);
    this.#moved(text);
  }

  /** Follows the hand from where the knob is: on a long scale it is geared down to a step a pixel. */
  #hold(event) {
    if (event.button) return;
    event.preventDefault();
    this.input.focus({ preventScroll: true });
    this.track.setPointerCapture(event.pointerId);
    const { left, width } = this.track.getBoundingClientRect();
    const scale = (this.reach - this.low) / width;
    const pixel = Math.min(scale, shopStep(this.#units()));
    const from = { x: event.clientX, mm: this.#mm };
    let dragged = false;
    const move = ({ clientX: x }) => {
      dragged ||= x !== from.x;
      if (dragged) this.#go(from.mm + (x - from.x) * pixel);
    };
    const end = () => {
      for (const [name, act] of [["pointermove", move], ["pointerup", up], ["pointercancel", end]]) this.track.removeEventListener(name, act);
      this.#ended();
    };
    const up = () => {
      const knob = left + (Math.min(from.mm, this.reach) - this.low) / scale;
      if (!dragged && Math.abs(from.x - knob) > NEAR) this.#go(this.low + (from.x - left) * scale);
      end();
    };
    for (const [name, act] of [["pointermove", move], ["pointerup", up], ["pointercancel", end]]) this.track.addEventListener(name, act);
  }

  /** Strokes of one arrow key are one step back, until a pause or another key. */
  #nudges() {
    let last = "";
    let pause = 0;
    this.input.addEventListener("keydown", (event) => {
      clearTimeout(pause); // a key that is held down pauses nowhere
      if (event.key !== last) this.#ended();
      last = event.key;
      // arrow keys go by the shop's step, with Shift by eight of them
      const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
      if (!way) return;
      event.preventDefault();
      this.#go(this.#mm + way * shopStep(this.#units()) * (event.shiftKey ? 8 : 1));
    });
    this.input.addEventListener("keyup", () => {
      clearTimeout(pause);
      pause = setTimeout(this.#ended, PAUSE);
    });
  }
}
