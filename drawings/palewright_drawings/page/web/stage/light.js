// Sun and sky: one sun with a shadow while the picture moves; at rest, sample by sample, a sun and a sky of many places.

import { DirectionalLight, HemisphereLight, Vector3 } from "three";

const UP = new Vector3(0, 0, 1);
const SUN = { aside: -0.22, above: 0.72, strength: 3.0 }; // rad from the eye's direction: the front is lit from every side
const DISC = 0.075; // rad: a sun so wide that a shadow's edge is soft at a box's size; the true one has 0.0047
const SKY = { moving: 1.9, still: 0.75, patch: 2.4 }; // strength of the even sky, and of the one patch of a sample
// even over the square for any count (Roberts 2018, the R2 sequence)
const [ACROSS, ALONG] = [0.7548776662, 0.569840291];

export class Light {
  constructor(scene) {
    this.sun = lamp("#ffeed6", 2048);
    this.patch = lamp("#dfe8ff", 1024);
    this.sky = new HemisphereLight("#e9efff", "#9a8a74", SKY.moving);
    this.sky.position.copy(UP);
    scene.add(this.sun, this.sun.target, this.patch, this.patch.target, this.sky);
  }

  /** For one picture: `middle` (mm) and `reach` (mm) hold all that throws a shadow, `around` is where the eye is (rad). */
  live(middle, reach, around) {
    this.#aim(this.sun, sunFrom(around), middle, reach);
    this.sun.intensity = SUN.strength;
    this.sun.shadow.radius = 4;
    this.sky.intensity = SKY.moving;
    this.patch.visible = false;
  }

  /** For the sample of a number. */
  sample(number, middle, reach, around) {
    const [u, v] = spread(number);
    const from = sunFrom(around);
    const side = new Vector3().crossVectors(from, UP).normalize();
    const over = new Vector3().crossVectors(side, from);
    const [turn, out] = [2 * Math.PI * ((0.5 + 0.618034 * number) % 1), DISC * Math.sqrt(v)];
    from.addScaledVector(side, out * Math.cos(turn)).addScaledVector(over, out * Math.sin(turn)).normalize();
    this.#aim(this.sun, from, middle, reach);
    this.sun.shadow.radius = 1;
    const high = 0.05 + 0.95 * v; // even over the dome
    const level = Math.sqrt(1 - high * high);
    this.#aim(this.patch, new Vector3(level * Math.cos(2 * Math.PI * u), level * Math.sin(2 * Math.PI * u), high), middle, reach);
    this.patch.visible = true;
    this.patch.intensity = SKY.patch;
    this.patch.color.setRGB(0.93 - 0.15 * high, 0.92 - 0.05 * high, 1);
    this.sky.intensity = SKY.still;
  }

  #aim(one, from, middle, reach) {
    one.target.position.copy(middle);
    one.position.copy(middle).addScaledVector(from, 3 * reach);
    const seen = one.shadow.camera;
    Object.assign(seen, { left: -reach, right: reach, top: reach, bottom: -reach, near: 0.5 * reach, far: 6 * reach });
    seen.updateProjectionMatrix();
    one.shadow.normalBias = (5.6 * reach) / one.shadow.mapSize.x; // some texels, mm
    one.updateMatrixWorld();
    one.target.updateMatrixWorld();
  }
}

/** A place in the unit square for the sample of a number. */
export const spread = (number) => [(0.5 + ACROSS * (number + 1)) % 1, (0.5 + ALONG * (number + 1)) % 1];

function sunFrom(around) {
  const turn = around + SUN.aside;
  return new Vector3(Math.cos(SUN.above) * Math.sin(turn), -Math.cos(SUN.above) * Math.cos(turn), Math.sin(SUN.above));
}

function lamp(colour, dots) {
  const found = new DirectionalLight(colour);
  found.castShadow = true;
  found.shadow.mapSize.set(dots, dots);
  found.shadow.bias = -0.0007;
  found.shadow.camera.up.copy(UP);
  return found;
}
