// Where labels stand over a picture: wholly inside, apart from each other, where they hide least.

const CELL = 8; // px of the grid that knows what the picture covers
const STEPS = 24; // places across the picture that are tried first
const EDGE = 6;
const APART = 5;
const MOST_HIDDEN = 0.1; // share of a label that may lie over the picture, else it has no room

const turnOf = ([ax, ay], [bx, by], [cx, cy]) => (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);

/** The convex hull of points. */
function hullOf(points) {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (some) => {
    const found = [];
    for (const point of some) {
      while (found.length > 1 && turnOf(found.at(-2), found.at(-1), point) <= 0) found.pop();
      found.push(point);
    }
    return found.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** What convex bodies cover: returns `(x, y, width, height) -> px²`; `bodies` are lists of points in px. */
export function coverage(bodies, width, height) {
  const [columns, rows] = [Math.ceil(width / CELL), Math.ceil(height / CELL)];
  const full = new Uint8Array(columns * rows);
  for (const hull of bodies.map(hullOf)) {
    for (let row = 0; row < rows; row++) {
      const y = (row + 0.5) * CELL;
      let [left, right] = [Infinity, -Infinity];
      hull.forEach(([ax, ay], i) => {
        const [bx, by] = hull[(i + 1) % hull.length];
        if (ay <= y === by <= y) return;
        const x = ax + ((y - ay) / (by - ay)) * (bx - ax);
        [left, right] = [Math.min(left, x), Math.max(right, x)];
      });
      if (left < right) full.fill(1, row * columns + Math.max(0, Math.floor(left / CELL)), row * columns + Math.min(columns, Math.ceil(right / CELL)));
    }
  }
  const sums = new Int32Array((columns + 1) * (rows + 1));
  const at = (column, row) => row * (columns + 1) + column;
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++)
      sums[at(column + 1, row + 1)] = full[row * columns + column] + sums[at(column, row + 1)] + sums[at(column + 1, row)] - sums[at(column, row)];
  return (x, y, w, h) => {
    const [l, t] = [Math.max(0, Math.floor(x / CELL)), Math.max(0, Math.floor(y / CELL))];
    const [r, b] = [Math.min(columns, Math.ceil((x + w) / CELL)), Math.min(rows, Math.ceil((y + h) / CELL))];
    return (sums[at(r, b)] - sums[at(l, b)] - sums[at(r, t)] + sums[at(l, t)]) * CELL * CELL;
  };
}

const meet = (a, b, apart) =>
  a.x < b.x + b.width + apart && b.x < a.x + a.width + apart && a.y < b.y + b.height + apart && b.y < a.y + a.height + apart;
const holds = (box, [x, y]) => x > box.x - 4 && x < box.x + box.width + 4 && y > box.y - 4 && y < box.y + box.height + 4;
const cross = ([a, b], [c, d]) => turnOf(a, b, c) * turnOf(a, b, d) < 0 && turnOf(c, d, a) * turnOf(c, d, b) < 0;
const passes = (line, { x, y, width, height }) =>
  holds({ x, y, width, height }, line[1]) || cross(line, [[x, y], [x + width, y + height]]) || cross(line, [[x + width, y], [x, y + height]]);

/** The point of a label that its leader goes to. */
export function leaderEnd({ x, y, width, height }, [px, py]) {
  return [Math.min(x + width, Math.max(x, px)), Math.min(y + height, Math.max(y, py))];
}

/**
 * Places for labels, the most important first: `{x, y, width, height, shape}` each, or null where one has no room.
 *
 * `labels` are `{from: [x, y], shapes, last}` in px: `shapes` the `{width, height}` that its text can be broken
 * into, `last` where it stood before, if it did; `view` is `{width, height, kept}` with a rectangle that stays free; `covered` is what `coverage` returns.
 */
export function placeLabels(labels, view, covered) {
  const found = labels.map(() => null);
  // each in its turn, then each once more, now that it knows of all others
  for (let round = 0; round < 2; round++)
    labels.forEach((label, i) => { found[i] = bestPlace(label, labels, found.map((one, j) => (j === i ? null : one)), view, covered); });
  return found;
}

/** The best place of a grid, then of a finer one round it. */
function bestPlace(label, labels, others, view, covered) {
  const found = { box: null, price: Infinity };
  const look = (x, y, { width, height }, shape) => {
    const box = { x, y, width, height, shape };
    // what is cheap to find comes first: it rules out most places
    let price = wayPrice(box, label);
    if (price >= found.price || meet(box, view.kept, 0)) return;
    price += hidingPrice(box, covered);
    if (price >= found.price) return;
    price += clashes(box, label, labels, others);
    if (price < found.price) Object.assign(found, { box, price });
  };
  for (const finer of [1, 2, 4]) {
    const { box } = found;
    if (!box && finer > 1) break;
    const step = view.width / STEPS / finer;
    label.shapes.forEach((one, shape) => {
      const [right, bottom] = [view.width - one.width - EDGE, view.height - one.height - EDGE];
      const xs = box ? around(box.x, step, right) : along(step, right);
      const ys = box ? around(box.y, step, bottom) : along(step, bottom);
      if (!box || box.shape === shape) for (const y of ys) for (const x of xs) look(x, y, one, shape);
    });
  }
  return found.box;
}

const along = (step, end) => (end < EDGE ? [] : [...Array(Math.ceil((end - EDGE) / step)).keys()].map((i) => EDGE + i * step).concat(end));
const around = (middle, step, end) => [middle - step, middle, middle + step].filter((one) => one >= EDGE && one <= end);

/** What a place costs by its leader's length and by being far from where the label was. */
function wayPrice({ x, y, width, height }, { from: [px, py], last }) {
  const [dx, dy] = [Math.max(x - px, 0, px - x - width), Math.max(y - py, 0, py - y - height)];
  const moved = last ? Math.min(1.5, Math.hypot(x - last.x, y - last.y) / 60) : 0;
  return Math.hypot(dx, dy) / 50 + moved + (dx < 4 && dy < 4 ? 4 : 0);
}

/** What a place costs by hiding the picture; infinite where it hides too much. */
function hidingPrice({ x, y, width, height }, covered) {
  const hidden = covered(x, y, width, height);
  return hidden > MOST_HIDDEN * width * height ? Infinity : hidden / 150;
}

/** What it costs beside the others: none may overlap, leaders should not cross nor run below labels. */
function clashes(box, { from }, labels, others) {
  const line = [from, leaderEnd(box, from)];
  let sum = 0;
  for (let i = 0; i < others.length; i++) {
    const other = others[i];
    if (!other) continue;
    if (meet(box, other, APART)) return Infinity;
    const second = [labels[i].from, leaderEnd(other, labels[i].from)];
    sum += 4 * holds(box, labels[i].from) + 3 * cross(line, second) + 3 * passes(line, other) + 3 * passes(second, box);
  }
  return sum;
}
