// The largest boxes of N boards: the search, its chart and table, and what it left open.

import { put } from "./elements.js";
import { Job } from "./jobs.js";
import { lengthText } from "./lengths.js";
import { sizeChanges, sizeChart, sizeRows } from "./lists.js";

const at = (id) => document.getElementById(id);
const FREE = new Set(["box.width", "box.depth", "box.height", "product.units"]); // a size brings its own
const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

/**
 * Wires the search. `judged()` waits for the box as it is set; `now()` gives wishes, values and units
 * of the box that is shown. Returns what looks again whether the sizes are of the settings as they are now.
 */
export function wireSizes(judged, now, wishes) {
  const job = new Job(at("frontier-job"), "the search");
  let last = null; // the sizes that are shown, and the settings that they are of
  const show = (sizes) => drawSizes((last = sizes), now().units, (size) => load(last, size, now(), wishes));
  at("frontier").addEventListener("submit", async (event) => {
    event.preventDefault();
    const mine = { boards: at("count").valueAsNumber, loaded: {} };
    clear();
    last = null;
    const settle = async () => {
      const { request } = await judged();
      Object.assign(mine, now());
      return { ...request, boards: mine.boards };
    };
    const told = (found) => show(Object.assign(mine, { found }));
    const answer = await job.run("frontier", settle, "Each is larger than any other here in width, depth or height. Press one to load it.", told);
    if (answer) told(JSON.parse(await answer.text()));
    if (answer && !mine.found.sizes.length) job.say("No box of the size search's ranges.");
  });
  return () => {
    if (!last) return;
    markFormer(last, wishes.now);
    if (last.shownIn !== now().units) show(last);
  };
}

/** Loads a size: into the settings as they are, or where these have changed into those that it is of. */
function load(sizes, size, { values, units }, wishes) {
  const former = isFormer(sizes, wishes.now);
  const changes = sizeChanges(size, units, former ? sizes.values : values);
  sizes.loaded = changes;
  const { variant, file, changes: then } = sizes.wishes;
  if (former) wishes.begin(variant, { ...then, ...changes }, file);
  else wishes.set(changes);
}

/** Whether the settings, but for the size that was loaded, are others than those of the search. */
function isFormer({ wishes: then, loaded }, now) {
  if (now.variant !== then.variant || now.file !== then.file) return true;
  const keys = Object.keys({ ...now.changes, ...then.changes });
  const same = (key) => now.changes[key] === then.changes[key] || (key in loaded && now.changes[key] === loaded[key]);
  return !keys.every((key) => FREE.has(key) || same(key));
}

function markFormer(sizes, now) {
  const former = isFormer(sizes, now);
  const text = `These sizes are of other settings, those of “${sizes.title}” when they were searched. Search again, or press one to go back to those settings.`;
  put(at("former"), { textContent: former ? text : "", hidden: !former });
  for (const id of ["chart", "sizes"]) at(id).classList.toggle("former", former);
}

function clear() {
  at("chart").replaceChildren();
  at("sizes").hidden = at("former").hidden = at("left").hidden = true;
}

function drawSizes(sizes, units, pick) {
  const { found } = sizes;
  sizes.shownIn = units;
  const any = found.sizes.length > 0;
  at("sizes").hidden = !any;
  at("sizes").tBodies[0].replaceChildren(...(any ? sizeRows(found, units, pick) : []));
  at("chart").replaceChildren(...(any ? [sizeChart(found, units, pick, at("chart").clientWidth)] : []));
  const left = leftText(found, units);
  put(at("left"), { textContent: left, hidden: !left });
}

const sidesText = (one, units) => ["width", "depth", "height"].map((side) => lengthText(one[`${side}_mm`], units)).join(" × ");

/** What the search did not reach, left undecided or left out, in words. */
export function leftText(found, units) {
  const lines = [];
  if (found.unreached.length) {
    const places = found.places ? ` of ${found.places}` : "";
    lines.push(`${found.unreached.length}${places} widths and depths not looked at: a larger box may be among them.`);
  }
  if (found.open.length) {
    const volume = (one) => one.width_mm * one.depth_mm * one.height_mm;
    const most = found.open.reduce((a, b) => (volume(b) > volume(a) ? b : a));
    const needs = most.upper_bound === undefined ? "" : `, which takes at least ${most.lower_bound} boards (a plan of ${most.upper_bound} is known)`;
    lines.push(`${counted(found.open.length, "size")} left undecided, the largest ${sidesText(most, units)}${needs}.`);
  }
  if (found.refused.length) {
    const codes = [...new Set(found.refused.map((one) => one.code))].sort().join(", ");
    lines.push(`${counted(found.refused.length, "size")} left out: not fitting together (${codes}), such as ${sidesText(found.refused[0], units)}.`);
  }
  return lines.join(" ");
}
