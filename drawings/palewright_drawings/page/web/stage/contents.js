// What stands in a box: soil with what grows in it, or the stand and trunk of a tree.

import { BoxGeometry, CylinderGeometry, Group, Matrix4, Mesh, MeshStandardMaterial } from "three";
import { dispose } from "./meshes.js";

const [SOIL, TRUNK, STAND] = ["#3f2f23", "#6a5038", "#4a6b4f"];
const LEAF = 45; // mm that a leaf or a blossom reaches from where it is put, at most
const STUMP = 1.3; // how far a trunk without its tree reaches, in heights of the box

function part(geometry, colour, z, clear = 1) {
  const found = new Mesh(geometry, new MeshStandardMaterial({ color: colour, roughness: 0.9, transparent: clear < 1, opacity: clear }));
  found.position.z = z;
  found.castShadow = clear === 1;
  found.receiveShadow = true;
  return found;
}

export class Contents extends Group {
  /**
   * Show a box's soil, stand and trunk; `grown` adds soil and what grew, a tree on its own stand.
   *
   * A section cuts the soil (`userData.prism`, as a board's); stand and tree stay whole, as a shaft does in a drawing's section.
   */
  stand({ soil, obstacles, values }, grown) {
    this.tree = values.box.kind === "tree";
    this.soil = soil;
    const height = values.box.height.mm;
    const same = JSON.stringify([soil, obstacles, height, grown, Boolean(this.plants)]);
    if (same !== this.same) {
      this.same = same;
      for (const one of [...this.children]) if (one !== this.plants) dispose(one);
      const seen = grown && this.plants ? [] : obstacles;
      for (const one of seen) this.add(upright(one, one.name === "trunk" ? Math.min(one.top, STUMP * height) : one.top));
      if (grown && soil.width > 0) this.add(earth(soil));
    }
    this.#fit(grown);
  }

  /** Take what grew in a box; it moves with the soil until other plants come. */
  plant(plants, design) {
    if (this.plants) dispose(this.plants);
    this.plants = plants;
    this.far = null;
    if (!plants) return;
    this.planted = design.soil;
    this.add(plants);
    this.stand(design, true);
  }

  /** How far what stands in the box reaches: points `[away from the upright axis, height]`, mm. */
  reaches(grown) {
    const found = this.children.flatMap(({ geometry, position: { z } }) => {
      if (!geometry?.parameters.radiusTop) return [];
      const { radiusTop: radius, height } = geometry.parameters;
      return [[radius, z - height / 2], [radius, z + height / 2]];
    });
    if (!grown || !this.plants) return found;
    this.far ||= this.plants.children.flatMap(({ count, instanceMatrix: { array } }) =>
      [...Array(count > 1 ? count : 0).keys()].map((i) => {
        const [x, y, z] = array.subarray(16 * i + 12, 16 * i + 15);
        return [Math.hypot(x, y) + LEAF, z + LEAF];
      }));
    const { x, z } = { x: this.plants.scale.x, z: this.plants.position.z };
    return found.concat(this.far.map(([radius, height]) => [radius * x, height + z]));
  }

  #fit(grown) {
    if (!this.plants) return;
    const [was, now] = [this.planted, this.soil];
    this.plants.visible = grown;
    this.plants.scale.set(now.width / was.width || 1, now.depth / was.depth || 1, 1);
    this.plants.position.z = now.top - was.top;
  }
}

/** A stand or a trunk where it may be, clear to see through. */
function upright({ name, radius, bottom }, top) {
  const found = part(new CylinderGeometry(radius, radius, top - bottom, 32), name === "trunk" ? TRUNK : STAND, (top + bottom) / 2, 0.7);
  found.rotation.x = Math.PI / 2;
  return found;
}

function earth({ width, depth, bottom, top }) {
  const found = part(new BoxGeometry(width, depth, top - bottom), SOIL, (top + bottom) / 2);
  const sides = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([x, y]) => [(x * width) / 2, (y * depth) / 2]);
  found.userData.prism = { outline: sides, thickness: top - bottom, colour: SOIL };
  found.userData.home = new Matrix4().makeTranslation(0, 0, bottom);
  return found;
}
