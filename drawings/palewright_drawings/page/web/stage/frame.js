// The piece of the world that the picture holds: true scale while a box changes, wider in steps where the box leaves it.

import { Vector3 } from "three";
import { distanceToSee } from "./framing.js";

const WIDER = 1.25; // room for what may still grow, once a box has left the frame
const SMALL = 0.45; // a box that fills less of the frame than this is come nearer to
const AIR = 1.06; // round a box that is seen for the first time: dimension lines lie there
const SIDES = 24; // points of a rim that stands for a turning box
const BANDS = 10; // of height, each with a rim of its own: a trellis is narrower than its box

/** The rims of what turns round the upright axis: `{radius, height}` (mm) a band, of points `[away from the axis, height]`. */
export function rimsOf(points) {
  const top = Math.max(1, ...points.map(([, z]) => z));
  const found = new Map([[0, { radius: 0, height: 0 }]]);
  for (const [radius, height] of points) {
    const band = Math.ceil((BANDS * Math.max(0, height)) / top);
    const held = found.get(band) || { radius: 0, height: 0 };
    found.set(band, { radius: Math.max(held.radius, radius), height: Math.max(held.height, height) });
  }
  return [...found.values()];
}

const LEVELS = [0.25, 0.3, 0.35, 0.4, 0.45, 0.5]; // of the height: where the eye may look, to come nearest
const USUAL = { above: 0.42, half: 0.21, aspect: 1.4 }; // the view that this is weighed for

const bestOf = (some, price) => some.map((one) => [price(one), one]).reduce((a, b) => (b[0] < a[0] ? b : a))[1];
const most = (rims, key) => Math.max(...rims.map((one) => one[key]));

export class Frame {
  constructor() {
    this.shift = new Vector3(); // mm by which the world was pushed so that a face stays where it is
    this.rims = [{ radius: 0, height: 0 }];
    this.side = 0;
    this.level = 0.5;
  }

  /**
   * Take in a box by its rims, and how far (mm) to the `side` things stand; `anew` for another box.
   *
   * Returns whether the frame changed.
   */
  hold(rims, side, anew) {
    const share = Math.max(...["radius", "height"].map((key) => most(rims, key) / most(this.rims, key)));
    if (!anew && share <= 1 && share > SMALL) return false;
    const room = AIR * (!anew && share > 1 && isFinite(share) ? WIDER : 1);
    if (anew) this.shift.set(0, 0, 0);
    this.rims = rims.map(({ radius, height }) => ({ radius: room * radius, height: room * height }));
    this.side = side;
    this.level = bestOf(LEVELS, (level) => { this.level = level; return this.away(USUAL.above, USUAL.half, USUAL.aspect); });
    return true;
  }

  /** How high the frame reaches, mm. */
  get height() {
    return most(this.rims, "height");
  }

  /** The middle of what is held, mm. */
  get middle() {
    return new Vector3(this.shift.x, this.shift.y, this.level * this.height);
  }

  /** How far all of it reaches from its middle, mm. */
  get reach() {
    return Math.hypot(most(this.rims, "radius"), this.height / 2);
  }

  /** How far off the eye stands (mm) for all to be seen from every side, looking down by an angle (rad). */
  away(above, half, aspect) {
    const points = this.rims.flatMap(({ radius, height }) => [...Array(SIDES).keys()].map((i) => {
      const [x, y] = [Math.cos, Math.sin].map((of) => radius * of((2 * Math.PI * i) / SIDES));
      return new Vector3(x + this.shift.x, y + this.shift.y, height);
    }));
    for (const side of [-this.side, this.side]) points.push(new Vector3(side + this.shift.x, this.shift.y, 0));
    return distanceToSee(points, this.middle, { around: 0, above }, half, aspect);
  }
}
