// Simple stand-ins for what a box is for: soil with a few plants, or a conifer in its stand.

import { BoxGeometry, ConeGeometry, CylinderGeometry, Group, IcosahedronGeometry, Matrix4, Mesh, MeshLambertMaterial } from "three";
import { drawn } from "./woods.js";

const [SOIL, TRUNK, STAND] = ["#3f2f23", "#6a5038", "#4a6b4f"];
const STUMP = 1.3; // how far a trunk without its tree reaches, in heights of the box
const LEAVES = ["#5d7f3d", "#6f9247", "#4c6f3a", "#82a25a"];
const PETALS = ["#d98aa4", "#f0d27a", "#c9b7e4"];
const NEEDLES = ["#2f5a3c", "#376746", "#407550"];

function part(geometry, colour, x, y, z, clear = 1) {
  const found = new Mesh(geometry, new MeshLambertMaterial({ color: colour, flatShading: true, transparent: clear < 1, opacity: clear }));
  found.position.set(x, y, z);
  found.castShadow = clear === 1;
  found.receiveShadow = true;
  return found;
}

/**
 * What stands in a box, as a group; `grown` adds soil and plants, or the tree.
 *
 * A section cuts the soil (`userData.prism`, as a board's) and takes the plants that reach before it
 * (`userData.root`, how far forward they reach, y in mm); stand and tree stay whole, as a shaft does in a drawing's section.
 */
export function standIns({ soil, obstacles, values }, grown) {
  const found = new Group();
  const [stand, trunk] = ["stand", "trunk"].map((name) => obstacles.find((one) => one.name === name));
  if (stand) found.add(upright(stand, stand.top, STAND, grown ? 1 : 0.7));
  if (trunk) {
    const base = trunk.top - 250;
    found.add(upright(trunk, grown ? base + 200 : Math.min(trunk.top, STUMP * values.box.height.mm), TRUNK, grown ? 1 : 0.7));
    if (grown) conifer(found, base, Math.max(4.5 * trunk.radius, 1.35 * stand.radius));
  }
  if (grown && soil.width > 0) planted(found, soil);
  return found;
}

function upright({ radius, bottom }, top, colour, clear) {
  const found = part(new CylinderGeometry(radius, radius, top - bottom, 32), colour, 0, 0, (top + bottom) / 2, clear);
  found.rotation.x = Math.PI / 2;
  return found;
}

/** Four tiers of a conifer, the lowest at `base`, `radius` wide there. */
function conifer(group, base, radius) {
  for (let i = 0; i < 4; i++) {
    const [wide, high] = [radius * (1 - 0.22 * i), radius * 1.25 * (1 - 0.14 * i)];
    const tier = part(new ConeGeometry(wide, high, 11), NEEDLES[i % 3], 0, 0, base + high / 2 + i * radius * 0.62);
    tier.rotation.set(Math.PI / 2, 0.3 * i, 0);
    group.add(tier);
  }
}

/** Soil and tufts of leaves and blossoms, never wider than the soil. */
function planted(group, { width, depth, bottom, top }) {
  const earth = part(new BoxGeometry(width, depth, top - bottom), SOIL, 0, 0, (top + bottom) / 2);
  const sides = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([x, y]) => [(x * width) / 2, (y * depth) / 2]);
  earth.userData.prism = { outline: sides, thickness: top - bottom, colour: SOIL };
  earth.userData.home = new Matrix4().makeTranslation(0, 0, bottom);
  group.add(earth);
  const size = Math.min(depth, width, 360) * 0.24;
  const [along, across] = [width, depth].map((side) => Math.max(2, Math.min(9, Math.round(side / (0.95 * size)))));
  for (let i = 0; i < along; i++)
    for (let j = 0; j < across; j++) {
      const name = `${i}/${j}`;
      const [x, y] = [(i + 0.5) / along - 0.5, (j + 0.5) / across - 0.5];
      const [tall, turn] = [size * (0.8 + 1.1 * drawn(name)), 6.3 * drawn(`${name}t`)];
      const [px, py] = [x * (width - size), y * (depth - size)];
      const plant = new Group();
      plant.userData.root = py - 0.35 * size; // with its bush
      group.add(plant);
      // blades that lean out from one root
      for (let k = 0; k < 5; k++) {
        const blade = part(new ConeGeometry(size * 0.13, tall * 1.25, 4), LEAVES[(i + 2 * j + k) % 4], px, py, top);
        const [way, lean] = [turn + k * 1.257, 0.18 + 0.3 * drawn(`${name}${k}`)];
        blade.geometry.translate(0, tall * 0.6, 0);
        blade.rotation.set(Math.PI / 2, 0, 0);
        blade.rotateX(lean * Math.cos(way));
        blade.rotateZ(lean * Math.sin(way));
        plant.add(blade);
      }
      const bush = part(new IcosahedronGeometry(size * 0.42, 1), LEAVES[(i + j) % 4], px, py, top + size * 0.2);
      plant.add(bush);
      if ((i + j) % 2) continue;
      for (const [dx, dy] of [[0, 0], [0.26, 0.12], [-0.2, 0.2]])
        plant.add(part(new IcosahedronGeometry(size * 0.13, 0), PETALS[(i + 2 * j) % 3], px + dx * size, py + dy * size, top + tall * (0.95 + dx)));
    }
}

/** Gives back what a group holds of the graphics card. */
export function dispose(group) {
  group.traverse((one) => {
    one.geometry?.dispose();
    one.material?.dispose();
  });
  group.removeFromParent();
}
