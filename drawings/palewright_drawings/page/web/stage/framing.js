// How far from its middle a camera has to stand to see all of what is spread out.

const AIR = 1.04; // a little beside the outermost points

/**
 * The distance (mm) from `middle` at which all points are in view.
 *
 * Points and middle are vectors (mm); `around` and `above` the angles (rad) that the camera looks from, `half`
 * that of half the picture's height, `aspect` the picture's width by its height.
 */
export function distanceToSee(points, middle, { around, above }, half, aspect) {
  const [sin, cos, lift, level] = [Math.sin(around), Math.cos(around), Math.sin(above), Math.cos(above)];
  let away = 0;
  for (const point of points) {
    const [x, y, z] = [point.x - middle.x, point.y - middle.y, point.z - middle.z];
    const near = level * (x * sin - y * cos) + lift * z;
    const aside = Math.abs(x * cos + y * sin) / aspect;
    const over = Math.abs(level * z - lift * (x * sin - y * cos));
    away = Math.max(away, near + (AIR * Math.max(aside, over)) / Math.tan(half));
  }
  return away;
}
