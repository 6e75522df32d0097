// The faces that a knife leaves on boards: a board is a convex prism, so each is one convex polygon.

import { BufferGeometry, Float32BufferAttribute, Vector3 } from "three";

/**
 * The face on the plane y = `level` of a board, or null where the plane misses it.
 *
 * `board` has its outline and thickness in mm, `place` puts its frame into the box.
 */
export function cutFace(board, place, level) {
  const rings = [0, board.thickness].map((z) =>
    board.outline.map(([x, y]) => new Vector3(x, y, z).applyMatrix4(place)),
  );
  const points = [];
  const cross = (a, b) => {
    const [over, under] = [a.y - level, b.y - level];
    if (over * under < 0) points.push(a.clone().lerp(b, over / (over - under)));
  };
  const count = board.outline.length;
  for (let i = 0; i < count; i++) {
    cross(rings[0][i], rings[0][(i + 1) % count]);
    cross(rings[1][i], rings[1][(i + 1) % count]);
    cross(rings[0][i], rings[1][i]);
  }
  if (points.length < 3) return null;
  const middle = points.reduce((sum, point) => sum.add(point), new Vector3()).divideScalar(points.length);
  const turn = (point) => Math.atan2(point.z - middle.z, point.x - middle.x);
  points.sort((a, b) => turn(a) - turn(b));
  const corners = [];
  for (let i = 1; i + 1 < points.length; i++)
    for (const { x, y, z } of [points[0], points[i], points[i + 1]]) corners.push(x, y, z);
  const face = new BufferGeometry();
  face.setAttribute("position", new Float32BufferAttribute(corners, 3));
  return face;
}
