// What the server knows along a size: where the box fits and how many boards it takes; asked for when a hand comes near.

import { askTold } from "../server.js";

const MOST = 30; // tracks that are remembered: as many boxes as a maker goes back and forth between

export class Tracks {
  /** `told()` hears when more is known. */
  constructor(desk, told) {
    Object.assign(this, { desk, told, known: new Map(), under: null, asked: "" });
  }

  /** What is known along a key: `{step, bands: [[from, to, boards or null], ...], exact}` (mm), or null. */
  of(key) {
    return this.known.get(this.#name(key)) || null;
  }

  /** Ask what lies along a key that is `mm` now; what is under way for another box or size is given up. */
  async want(key, mm) {
    const name = this.#name(key);
    const { bands, exact } = this.known.get(name) || {};
    const beyond = exact && (mm < bands[0][0] || mm > bands.at(-1)[1]);
    if ((exact && !beyond) || (this.asked === name && !beyond)) return;
    this.giveUp();
    this.asked = name;
    const mine = (this.under = new AbortController());
    const take = (track) => {
      if (mine.signal.aborted) return;
      this.known.delete(name);
      this.known.set(name, track);
      if (this.known.size > MOST) this.known.delete(this.known.keys().next().value);
      this.told();
    };
    try {
      const whole = await askTold("track", { ...this.desk.request, key, present: mm }, mine.signal, ({ part }) => { if (part) take(part); });
      take(JSON.parse(await whole.text()));
    } catch {
      // without it a handle works as well
    }
    if (this.under === mine) this.asked = "";
  }

  giveUp() {
    this.under?.abort();
    this.asked = "";
  }

  /** Give up what is asked of a box that is no longer set; what is asked of the size that is held stays true. */
  outdated(key) {
    if (this.asked && this.asked !== this.#name(key)) this.giveUp();
  }

  /** A track is of all settings but its own size. */
  #name(key) {
    const { changes, ...from } = this.desk.request;
    const { [key]: _, ...others } = changes;
    return JSON.stringify([key, from, Object.entries(others).sort()]);
  }
}

/** The band that a size (mm) lies in or nearest to, or null. */
export function bandAt(track, mm) {
  const away = ([from, to]) => Math.max(from - mm, mm - to, 0);
  return track ? track.bands.reduce((best, one) => (away(one) < away(best) ? one : best)) : null;
}
