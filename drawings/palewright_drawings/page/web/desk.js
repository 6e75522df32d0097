// What the stage may know of the page and ask of it: nothing else of the page is its business.

import { requestOf } from "./wishes.js";

/** The settings and the box that is shown; `told(desk)` of each listener hears of every change of either. */
export class Desk {
  #wishes;
  #told = new Set();

  constructor(wishes) {
    this.#wishes = wishes;
    this.design = null; // the snapshot that is drawn, `values` and `units` in it
    this.full = null; // the verdict in all lumber, once it is there
    this.plan = null; // the boards and the price, once they are there
    this.state = "begins"; // "busy", "shown", "refused" (the design is the one before), "away" (no server)
    this.why = ""; // in words, where it is refused
    this.tracks = null; // what is known along a size
  }

  /** What the maker set over the variant, by key. */
  get changes() {
    return this.#wishes.now.changes;
  }

  /** Whether all that the server works out by itself of the box is there. */
  get settled() {
    return this.state === "shown" && Boolean(this.full && (this.plan?.price.settled || this.plan?.unsettled));
  }

  /** What the server is asked of all that is set. */
  get request() {
    return requestOf(this.#wishes.now);
  }

  /** A length of the box that is drawn: `{mm, text}`. */
  size(key) {
    const [table, name] = key.split(".");
    return this.design.values[table][name];
  }

  /** Set a key while it is dragged: `text` as typed, with its unit. All until `end()` is one step back. */
  change(key, text) {
    this.#wishes.set({ [key]: text }, key);
  }

  /** The hand lets go. */
  end() {
    this.#wishes.endGesture();
  }

  /** Returns what ends it. */
  subscribe(told) {
    this.#told.add(told);
    return () => this.#told.delete(told);
  }

  /** For the page alone: takes over what is known now. */
  tell(known) {
    Object.assign(this, known);
    for (const told of this.#told) told(this);
  }
}
