// How boards look: their wood's colour under a finish, and a grain along each board.

import { CanvasTexture, Color, RepeatWrapping, SRGBColorSpace } from "three";

const GRAIN = [700, 90]; // mm that one tile of the grain covers, along and across
const TILE = [256, 128]; // its pixels
const textures = new Map();

const mixed = (a, b, share) => a.map((one, i) => one * (1 - share) + b[i] * share);

/** A number from 0 to 1 that follows from a text alone. */
export function drawn(text) {
  let sum = 2166136261;
  for (const sign of text) sum = Math.imul(sum ^ sign.charCodeAt(0), 16777619);
  return ((sum ^ (sum >>> 15)) >>> 0) / 4294967296;
}

/** The sRGB colour of a board: `looks` as the server tells them, `coat` a finish or "weathered". */
export function woodColour(board, looks, coat) {
  const own = [1, 3, 5].map((i) => parseInt(board.colour.slice(i, i + 2), 16) / 255);
  const old = looks.woods.weathered;
  if (coat === "weathered") return new Color().setRGB(...mixed(old.early, own, 0.2), SRGBColorSpace);
  const { colour, cover, tint } = looks.finishes[coat] || { colour: own, cover: 0, tint: 0 };
  const stained = own.map((one, i) => one * (1 - tint + tint * colour[i]));
  return new Color().setRGB(...mixed(stained, colour, cover), SRGBColorSpace);
}

/** The grain as a texture that darkens what it lies on; `strength` from 0 to 1. */
export function grain(strength) {
  const key = strength.toFixed(2);
  if (!textures.has(key)) textures.set(key, drawnGrain(strength));
  return textures.get(key);
}

function drawnGrain(strength) {
  const [wide, high] = TILE;
  const canvas = Object.assign(document.createElement("canvas"), { width: wide, height: high });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, wide, high);
  for (let i = 0; i < 46; i++) {
    const [y, dark, thick] = [drawn(`y${i}`) * high, drawn(`d${i}`), 0.6 + 2.2 * drawn(`t${i}`)];
    pen.strokeStyle = `rgba(84, 52, 22, ${(0.05 + 0.16 * dark) * strength})`;
    pen.lineWidth = thick;
    pen.beginPath();
    // whole waves in a tile, so that one tile meets the next
    for (let x = -2; x <= wide + 2; x += 6) pen.lineTo(x, y + 2.4 * Math.sin((2 * Math.PI * x) / wide + 6 * dark));
    pen.stroke();
  }
  const found = new CanvasTexture(canvas);
  found.wrapS = found.wrapT = RepeatWrapping;
  found.colorSpace = SRGBColorSpace;
  found.anisotropy = 4;
  return found;
}

/** Lays the grain along a board: its x is the grain; each board shows another piece of the tile. */
export function layGrain(geometry, name) {
  const uv = geometry.attributes.uv;
  const [right, up] = [drawn(name), drawn(`${name}!`)];
  for (let i = 0; i < uv.count; i++) uv.setXY(i, uv.getX(i) / GRAIN[0] + right, uv.getY(i) / GRAIN[1] + up);
  uv.needsUpdate = true;
}
