// What the maker has set: a variant, changes laid over it, and the way back.

const MOST_STEPS = 200;

export class Wishes {
  constructor(changed) {
    this.changed = changed;
    this.now = { variant: "", text: "", changes: {} };
    this.past = [];
    this.future = [];
    this.gesture = "";
    this.begun = null; // until a design of it was seen
  }

  /** Begin from a variant or an opened file. */
  begin(variant, text = "", changes = {}) {
    this.#keep("");
    this.begun = this.now = { variant, text, changes };
    this.changed();
  }

  /** Whether nothing was set since a beginning of which no design was seen yet. */
  get fresh() {
    return this.now === this.begun;
  }

  /** Go back to before what was begun last, without a way forth. */
  giveUp() {
    this.now = this.past.pop();
    this.begun = null;
    this.gesture = "";
    this.changed();
  }

  /** Begin from a variant where nothing that was set so far can be shown. */
  startOver(variant) {
    this.past = [];
    this.future = [];
    this.now = { variant: "", text: "", changes: {} };
    this.begin(variant);
  }

  /** Set some keys; moves of one gesture are one step back. */
  set(values, gesture = "") {
    this.#keep(gesture);
    this.now = { ...this.now, changes: { ...this.now.changes, ...values } };
    this.changed();
  }

  /** Take one key back to what the variant says. */
  drop(key) {
    this.#keep("");
    const { [key]: _, ...changes } = this.now.changes;
    this.now = { ...this.now, changes };
    this.changed();
  }

  endGesture() {
    this.gesture = "";
  }

  undo() {
    this.#step(this.past, this.future);
  }

  redo() {
    this.#step(this.future, this.past);
  }

  #step(from, to) {
    if (!from.length) return;
    to.push(this.now);
    this.now = from.pop();
    this.gesture = "";
    this.changed();
  }

  #keep(gesture) {
    if ((this.now.variant || this.now.text) && !(gesture && gesture === this.gesture)) {
      this.past.push(this.now);
      if (this.past.length > MOST_STEPS) this.past.shift();
      this.future = [];
    }
    this.gesture = gesture;
  }

  /** The settings as the part of an address behind #; an opened file has no link. */
  get link() {
    if (this.now.text) return "";
    return new URLSearchParams({ variant: this.now.variant, ...mapped(this.now.changes) }).toString();
  }
}

const mapped = (changes) =>
  Object.fromEntries(Object.entries(changes).map(([key, value]) => [key, JSON.stringify(value)]));

/** The variant and changes of an address's part behind #, or null where it holds no settings. */
export function wishesOf(hash) {
  if (!hash.includes("=")) return null; // a place in the page
  const { variant = "", ...said } = Object.fromEntries(new URLSearchParams(hash.replace(/^#/, "")));
  return { variant, changes: Object.fromEntries(Object.entries(said).map(([key, value]) => [key, plain(value)])) };
}

/** A value of a link; what was written by hand without quotes is a text. */
function plain(value) {
  try {
    return JSON.parse(value);
  } catch {
    return value;
  }
}
