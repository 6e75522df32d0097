// What the server knows along a size: where the box fits, how many boards it takes and what these cost; asked for when a
// hand comes near a handle or a slider.

import { askTold } from "../server.js";

const MOST = 30; // tracks that are remembered: as many boxes as a maker goes back and forth between
const PAUSE = 150; // ms that a hand stays near before the server is asked: passing by is no question

export class Tracks {
  constructor(desk) {
    Object.assign(this, { desk, known: new Map(), under: null, asked: null, near: null, told: new Set() });
    desk.subscribe(() => this.#hear());
  }

  /** `told()` hears when more is known. */
  listen(told) {
    this.told.add(told);
  }

  /** What is known along a key: `{step, bands: [[from, to, boards or null, their price], ...], currency, exact}` (mm), or null. */
  of(key) {
    return this.known.get(this.#name(key)) || null;
  }

  /** A hand came near a key's handle or slider; `size()` tells where it stands now, mm. */
  come(key, size) {
    this.near = { key, size };
    this.#soon();
  }

  /** The hand left it. */
  go(key) {
    if (this.near?.key === key) this.near = null;
  }

  #soon() {
    clearTimeout(this.timer);
    // not while things change: a drag, and the verdict after it, have the processors
    this.timer = setTimeout(() => { if (this.near && this.desk.full) this.#want(this.near); }, PAUSE);
  }

  /** A change came: what is asked of a box that is no longer set is given up; what is asked of the size that is held stays true. */
  #hear() {
    if (this.asked && this.#name(this.asked.key) !== this.asked.name) this.giveUp();
    if (this.near && !this.asked) this.#soon();
  }

  /** Ask what lies along a key; what is under way for another box or size is given up. */
  async #want({ key, size }) {
    const [name, mm] = [this.#name(key), size()];
    const { bands, exact } = this.known.get(name) || {};
    const beyond = exact && (mm < bands[0][0] || mm > bands.at(-1)[1]);
    if ((exact && !beyond) || (this.asked?.name === name && !beyond)) return;
    this.giveUp();
    this.asked = { key, name };
    const mine = (this.under = new AbortController());
    const take = (track) => {
      if (mine.signal.aborted) return;
      this.known.delete(name);
      this.known.set(name, track);
      if (this.known.size > MOST) this.known.delete(this.known.keys().next().value);
      for (const told of this.told) told();
    };
    try {
      const whole = await askTold("track", { ...this.desk.request, key, present: mm }, mine.signal, ({ part }) => { if (part) take(part); });
      take(JSON.parse(await whole.text()));
    } catch {
      // without it a handle works as well
    }
    if (this.under === mine) this.asked = null;
  }

  giveUp() {
    this.under?.abort();
    this.asked = null;
  }

  /** A track is of all settings but its own size. */
  #name(key) {
    const { changes, ...from } = this.desk.request;
    const { [key]: _, ...others } = changes;
    return JSON.stringify([key, from, Object.entries(others).sort()]);
  }
}

/** The bands of a track, as `{low, high, boards, price, kind}`, seen from a size (mm): "no", "least" where it is cheapest, "same", "more". */
export function bandsFrom(track, mm) {
  const now = bandAt(track, mm)[3] ?? Infinity;
  const least = Math.min(...track.bands.map((band) => band[3] ?? Infinity));
  const kindOf = (price) => (price === null ? "no" : price <= least ? "least" : price > now ? "more" : "same");
  return track.bands.map(([low, high, boards, price]) => ({ low, high, boards, price, kind: kindOf(price) }));
}

/** What is known of a size (mm), in words: "8 boards, 23.84 USD", or that it does not fit; empty where nothing is. */
export function knownAt(track, mm) {
  const band = bandAt(track, mm);
  if (!band) return "";
  const [, , boards, price] = band;
  if (boards === null) return "does not fit";
  const least = track.exact && track.bands.every((one) => one[3] === null || one[3] >= price);
  return `${boards} boards, ${price.toFixed(2)} ${track.currency}${least ? ", cheapest" : ""}`;
}

/** The band that a size (mm) lies in or nearest to, or null. */
export function bandAt(track, mm) {
  const away = ([from, to]) => Math.max(from - mm, mm - to, 0);
  return track ? track.bands.reduce((best, one) => (away(one) < away(best) ? one : best)) : null;
}
