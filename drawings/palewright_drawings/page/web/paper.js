// The picture as it goes to paper, since a browser prints no picture of the graphics card.

/** Copies a canvas to another, without the empty ground about what is drawn. */
export function copyDrawn(from, to) {
  const { width, height } = from;
  Object.assign(to, { width, height });
  const pen = to.getContext("2d", { willReadFrequently: true });
  pen.drawImage(from, 0, 0);
  const { data } = pen.getImageData(0, 0, width, height);
  let [left, top, right, bottom] = [width, height, -1, -1];
  for (let y = 0, i = 3; y < height; y++)
    for (let x = 0; x < width; x++, i += 4)
      if (data[i]) {
        left = Math.min(left, x);
        right = Math.max(right, x);
        top = Math.min(top, y);
        bottom = y;
      }
  if (right < 0) return;
  Object.assign(to, { width: right - left + 1, height: bottom - top + 1 });
  pen.drawImage(from, -left, -top);
}
