// Heads of screws in the boards' faces: a star in a countersunk head, coated, or painted over.

import { CircleGeometry, Color, DynamicDrawUsage, Group, InstancedMesh, Matrix4, MeshStandardMaterial, Quaternion, SRGBColorSpace, Vector3 } from "three";

const COATS = { rated: "#735c42", "hot-dip": "#999b9b", stainless: "#bdb8b0", zinc: "#b8bdc2", plain: "#706e6b" }; // as in the path-traced pictures
const [STAR, POINTS, WAIST] = [0.5, 6, 0.72]; // the recess as a share of the head, its points, its waist (ISO 10664, from memory)
const PROUD = [0.12, 0.2]; // mm that head and recess stand before the face: no surface shares a plane with another
const PAINT = 0.9; // a finish that covers so much goes over the heads as well

const recess = () => {
  const found = new CircleGeometry(0.5, 4 * POINTS);
  const { position } = found.attributes;
  for (let i = 1; i < position.count; i++) {
    const turn = (2 * Math.PI * (i - 1)) / (4 * POINTS);
    const out = STAR * ((1 + WAIST) / 2 + ((1 - WAIST) / 2) * Math.cos(POINTS * turn));
    position.setXY(i, position.getX(i) * out, position.getY(i) * out);
  }
  return found;
};

export class Heads extends Group {
  constructor() {
    super();
    this.made = [new CircleGeometry(0.5, 20), recess()].map((geometry) => ({ geometry, material: new MeshStandardMaterial({ roughness: 0.5 }), mesh: null }));
    this.screws = [];
  }

  /** Take screws as the server tells them: `board`, `at` and `axis` of each head, `wide` (mm). */
  show(screws, coating) {
    this.screws = screws;
    this.coating = coating;
    for (const one of this.made) {
      if (one.mesh?.count === screws.length) continue;
      one.mesh?.removeFromParent();
      one.mesh?.dispose();
      one.mesh = new InstancedMesh(one.geometry, one.material, screws.length);
      one.mesh.instanceMatrix.setUsage(DynamicDrawUsage);
      one.mesh.receiveShadow = true;
      one.mesh.frustumCulled = false;
      this.add(one.mesh);
    }
  }

  /** Colour them under a finish. */
  paint({ colour, cover } = { cover: 0 }) {
    const tone = new Color();
    if (cover >= PAINT) tone.setRGB(...colour, SRGBColorSpace);
    else tone.set(COATS[this.coating] || COATS.rated);
    this.made[0].material.color.copy(tone);
    this.made[1].material.color.copy(tone).multiplyScalar(cover >= PAINT ? 0.7 : 0.3);
  }

  /** Put each where its board is; `away(name)` says by how much a board was pulled, null where its board is not shown. */
  place(away) {
    const [place, turn, out] = [new Matrix4(), new Quaternion(), new Vector3()];
    const front = new Vector3(0, 0, 1);
    this.screws.forEach(({ board, at, axis, wide }, i) => {
      out.set(...axis).negate();
      turn.setFromUnitVectors(front, out);
      const moved = away(board);
      const scale = new Vector3(wide, wide, 1).multiplyScalar(moved ? 1 : 0);
      this.made.forEach(({ mesh }, k) => {
        const point = new Vector3(...at).addScaledVector(out, PROUD[k]);
        mesh.setMatrixAt(i, place.compose(moved ? point.add(moved) : point, turn, scale));
      });
    });
    for (const { mesh } of this.made) if (mesh) mesh.instanceMatrix.needsUpdate = true;
  }
}
