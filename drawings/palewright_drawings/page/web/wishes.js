// What the maker has set: a variant, changes laid over it, and the way back.

const MOST_STEPS = 200;
const STEPS = "palewright-steps";
const KEPT_STEPS = 40; // over a reload
const MOST_KEPT = 1e6; // letters: opened files are in each step
const NOTHING = { variant: "", file: null, changes: {} };

export class Wishes {
  constructor(changed) {
    this.changed = changed;
    this.now = NOTHING;
    this.past = [];
    this.future = [];
    this.gesture = "";
    this.begun = null; // until a design of it was seen
    this.kept = null; // what another box was set to, that is kept to compare
  }

  /** Begin from a shipped variant, or from an opened file: its `name` and `text`. */
  begin(variant, changes = {}, file = null) {
    this.#keep("");
    this.begun = this.now = { variant, file, changes };
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
    this.now = NOTHING;
    this.begin(variant);
  }

  /** Set some keys, or with undefined take them back to what the variant says; moves of one gesture are one step back. */
  set(values, gesture = "") {
    this.#keep(gesture);
    const changes = Object.entries({ ...this.now.changes, ...values }).filter(([, value]) => value !== undefined);
    this.now = { ...this.now, changes: Object.fromEntries(changes) };
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
    if (this.now !== NOTHING && !(gesture && gesture === this.gesture)) {
      this.past.push(this.now);
      if (this.past.length > MOST_STEPS) this.past.shift();
      this.future = [];
    }
    this.gesture = gesture;
  }

  /** Keeps the steps back in this window, so that a reload finds them: as many as have room. */
  remember() {
    const said = JSON.stringify({ link: this.link, now: this.now, past: this.past.slice(-KEPT_STEPS), kept: this.kept });
    try {
      sessionStorage.setItem(STEPS, said.length < MOST_KEPT ? said : "");
    } catch {
      // a browser that keeps nothing: a reload has no steps back
    }
  }

  /** Takes up the steps of before a reload, where they lead to this address; returns whether they do. */
  recall(hash) {
    if (this.now !== NOTHING) return false;
    try {
      const { link, now, past, kept } = JSON.parse(sessionStorage.getItem(STEPS));
      if (`#${link}` !== hash) return false;
      // a box that is kept as it stands there is the same one again
      Object.assign(this, { now, past, kept: JSON.stringify(kept) === JSON.stringify(now) ? now : kept });
    } catch {
      return false;
    }
    this.begun = this.now;
    this.changed();
    return true;
  }

  /** The settings as the part of an address behind #, an opened file's text among them. */
  get link() {
    const { variant, file, changes } = this.now;
    return new URLSearchParams({ ...(file ? { file: file.name, text: file.text } : { variant }), ...mapped(changes) }).toString();
  }
}

const mapped = (changes) =>
  Object.fromEntries(Object.entries(changes).map(([key, value]) => [key, JSON.stringify(value)]));

/** The variant and changes of an address's part behind #, or null where it holds no settings. */
export function wishesOf(hash) {
  if (!hash.includes("=")) return null; // a place in the page
  const { variant = "", file: name = "", text, ...said } = Object.fromEntries(new URLSearchParams(hash.replace(/^#/, "")));
  const file = text === undefined ? null : { name, text };
  return { variant, file, changes: Object.fromEntries(Object.entries(said).map(([key, value]) => [key, plain(value)])) };
}

/** A value of a link; what was written by hand without quotes is a text. */
function plain(value) {
  try {
    return JSON.parse(value);
  } catch {
    return value;
  }
}

/** What the server is asked of the settings. */
export const requestOf = ({ variant, file, changes }) => ({ variant, changes, ...(file && { text: file.text, file: file.name }) });
