// Boards as prisms with eased edges, each with its place in a log.

import { BufferAttribute, BufferGeometry, ShapeUtils, Vector2 } from "three";

const EASE = 1.1; // mm that a planed board's edges are taken off: judged by eye
const SHARPEST = 0.3; // an edge of a needle's point is eased no farther than so: its corner would run away

/** A number from 0 to 1 that follows from a text alone. */
export function drawn(text) {
  let sum = 2166136261;
  for (const sign of text) sum = Math.imul(sum ^ sign.charCodeAt(0), 16777619);
  return ((sum ^ (sum >>> 15)) >>> 0) / 4294967296;
}

/**
 * The log that a board comes from, for the shader: where its pith runs (y, z in mm) and a number to draw from.
 *
 * Flat-sawn, as fence boards are: the pith lies below or above the face, seldom in the board (as in the path-traced pictures).
 */
export function logOf(name, width, thickness) {
  const [side, away, aside] = [":side", ":away", ":aside"].map((what) => drawn(name + what));
  const far = 18 + 77 * away;
  return [(0.1 + 0.8 * aside) * width, side < 0.5 ? -far : thickness + far, 1 + Math.floor(997 * drawn(name))];
}

const counterClockwise = (outline) => {
  const area = outline.reduce((sum, [x, y], i) => {
    const [u, v] = outline[(i + 1) % outline.length];
    return sum + x * v - u * y;
  }, 0);
  return area < 0 ? [...outline].reverse() : outline;
};

/** An outline moved inward on all sides. */
function inset(outline, by) {
  const count = outline.length;
  const normal = ([x, y], [u, v]) => {
    const long = Math.hypot(u - x, v - y) || 1;
    return [(y - v) / long, (u - x) / long];
  };
  return outline.map((point, i) => {
    const [a, b] = normal(outline[(i + count - 1) % count], point);
    const [c, d] = normal(point, outline[(i + 1) % count]);
    const share = by / Math.max(SHARPEST, 1 + a * c + b * d);
    return [point[0] + share * (a + c), point[1] + share * (b + d)];
  });
}

/** The prism of an outline (mm) with eased edges; `log` as `logOf` gives it. */
export function prism(outline, thickness, log, ease = EASE) {
  const outer = counterClockwise(outline);
  const inner = inset(outer, ease);
  const rings = [[inner, 0], [outer, ease], [outer, thickness - ease], [inner, thickness]];
  const count = outer.length;
  const at = (ring, i) => [...rings[ring][0][i % count], rings[ring][1]];
  const corners = [];
  for (let ring = 0; ring < 3; ring++)
    for (let i = 0; i < count; i++)
      corners.push(at(ring, i), at(ring, i + 1), at(ring + 1, i + 1), at(ring, i), at(ring + 1, i + 1), at(ring + 1, i));
  for (const [a, b, c] of ShapeUtils.triangulateShape(inner.map(([x, y]) => new Vector2(x, y)), []))
    corners.push(at(3, a), at(3, b), at(3, c), at(0, c), at(0, b), at(0, a));
  const found = new BufferGeometry();
  found.setAttribute("position", new BufferAttribute(new Float32Array(corners.flat()), 3));
  found.setAttribute("sawn", new BufferAttribute(new Float32Array(corners.flatMap(() => log)), 3));
  found.computeVertexNormals();
  return found;
}

/** The edges of a prism as pairs of points. */
export function edges(outline, thickness) {
  const count = outline.length;
  const ends = outline.flatMap((point, i) => {
    const next = outline[(i + 1) % count];
    return [[...point, 0], [...next, 0], [...point, thickness], [...next, thickness], [...point, 0], [...point, thickness]];
  });
  const found = new BufferGeometry();
  found.setAttribute("position", new BufferAttribute(new Float32Array(ends.flat()), 3));
  return found;
}
