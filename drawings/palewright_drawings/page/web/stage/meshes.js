// Meshes that the server packs: flocks of copies of a few solids, as the path-traced pictures have them.

import { BufferAttribute, BufferGeometry, Color, DoubleSide, FrontSide, Group, InstancedMesh, Matrix4, MeshStandardMaterial, SRGBColorSpace } from "three";
import { drawn } from "./prisms.js";

const UNLIKE = 0.28; // by so much the brightness of copies differs: judged by eye
const THROUGH = 0.06; // of its colour a leaf glows in its own shade, as light passes through it

/** The group of what was packed (see `packed_meshes.py`): `bytes` an ArrayBuffer. */
export function unpacked(bytes) {
  const long = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, long)));
  const from = 4 + long;
  const array = (Type, [at, count]) => new Type(bytes, from + at, count);
  const found = new Group();
  for (const { name, places, solids } of head) {
    const matrices = array(Float32Array, places);
    for (const solid of solids) found.add(flock(name, solid, matrices, array));
  }
  return found;
}

function flock(name, solid, matrices, array) {
  const count = matrices.length / 12;
  const mesh = new InstancedMesh(geometry(solid, array), material(solid), count);
  const place = new Matrix4();
  for (let i = 0; i < count; i++) {
    mesh.setMatrixAt(i, place.set(...matrices.subarray(12 * i, 12 * i + 12), 0, 0, 0, 1));
    if (count > 1) mesh.setColorAt(i, new Color().setScalar(1 - UNLIKE / 2 + UNLIKE * drawn(`${name}${i}`)));
  }
  mesh.castShadow = mesh.receiveShadow = true;
  mesh.frustumCulled = false; // its copies reach far beyond the one that would be looked at
  return mesh;
}

function geometry(solid, array) {
  const points = Float32Array.from(array(Uint16Array, solid.points), (one, i) => solid.low[i % 3] + one * solid.step[i % 3]);
  let found = new BufferGeometry();
  found.setAttribute("position", new BufferAttribute(points, 3));
  if (solid.colours) {
    const tone = new Color();
    const colours = Array.from(array(Uint8Array, solid.colours), (one) => one / 255);
    for (let i = 0; i < colours.length; i += 3) tone.setRGB(...colours.slice(i, i + 3), SRGBColorSpace).toArray(colours, i);
    found.setAttribute("color", new BufferAttribute(new Float32Array(colours), 3));
  }
  found.setIndex(new BufferAttribute(array(solid.wide ? Uint32Array : Uint16Array, solid.triangles), 1));
  if (!solid.smooth) found = found.toNonIndexed();
  found.computeVertexNormals();
  return found;
}

function material({ colour, colours, rough, metal, both }) {
  const own = new Color().setRGB(...colour, SRGBColorSpace);
  return new MeshStandardMaterial({
    color: colours ? "#fff" : own, vertexColors: Boolean(colours), roughness: Math.max(0.5, rough), metalness: metal ? 0.35 : 0,
    side: both ? DoubleSide : FrontSide, emissive: both ? own.clone().multiplyScalar(THROUGH) : "#000",
  });
}

/** Gives back what a group holds of the graphics card. */
export function dispose(group) {
  group.traverse((one) => {
    one.geometry?.dispose();
    one.material?.dispose();
    one.dispose?.();
  });
  group.removeFromParent();
}
