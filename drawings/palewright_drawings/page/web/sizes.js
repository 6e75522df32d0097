// The largest boxes of a budget: the search, what it offers, a side to drag along it, and what it left open.

import { put, putAttribute } from "./elements.js";
import { Job } from "./jobs.js";
import { lengthText } from "./lengths.js";
import { comparedRows, offerList, settingsOf, SIDES, sizeText, volumeText } from "./offers.js";

const at = (id) => document.getElementById(id);
const FREE = new Set(["box.width", "box.depth", "box.height", "product.units", "product.title"]); // a size brings its own
const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

/**
 * Wires the search. `judged()` waits for the box as it is set; `now()` gives wishes, values and units
 * of the box that is shown. Returns what looks again whether the sizes are of the settings as they are now.
 */
export function wireSizes(judged, now, wishes) {
  const job = new Job(at("frontier-job"), "the search");
  let last = null; // the sizes that are shown, and the settings that they are of
  const pick = (size, gesture = "") => load(last, size, wishes, gesture);
  const show = (sizes) => drawSizes((last = sizes), now().units, pick);
  at("frontier").addEventListener("submit", async (event) => {
    event.preventDefault();
    const mine = { budget: { [at("budget").value]: at("count").valueAsNumber }, loaded: {} };
    clear();
    last = null;
    const settle = async () => {
      const { request } = await judged();
      Object.assign(mine, now());
      return { ...request, ...mine.budget };
    };
    const told = (found) => show(Object.assign(mine, { found }));
    const answer = await job.run("frontier", settle, "No box here is larger than another in every side. Press one to load it.", told);
    if (answer) told(JSON.parse(await answer.text()));
    if (answer && !mine.found.sizes.length) job.say("No box of the size search's ranges.");
  });
  wireHold(() => last, pick, wishes);
  return () => {
    if (!last) return;
    markFormer(last, wishes.now);
    if (last.shownIn !== now().units) show(last);
  };
}

/** Drags one side along the sizes that were found: the budget holds, the other sides follow. */
function wireHold(last, pick, wishes) {
  const slider = at("hold-at");
  const line = () => alongSide(last().found.sizes, at("hold-side").value);
  const show = () => {
    const sizes = line();
    putAttribute(slider, "max", String(sizes.length - 1));
    tellHold(sizes[slider.valueAsNumber], last().shownIn);
  };
  at("hold-side").addEventListener("change", show);
  slider.addEventListener("input", () => {
    const size = line()[slider.valueAsNumber];
    tellHold(size, last().shownIn);
    pick(size, "frontier");
  });
  for (const event of ["change", "blur"]) slider.addEventListener(event, () => wishes.endGesture());
}

/** The sizes from the least to the greatest in one side; of those alike the one that holds most. */
function alongSide(sizes, name) {
  const best = new Map();
  for (const size of sizes) {
    const at = size[`${name}_mm`];
    if (!best.has(at) || best.get(at).volume_l < size.volume_l) best.set(at, size);
  }
  return [...best.entries()].sort(([a], [b]) => a - b).map(([, size]) => size);
}

function tellHold(size, units) {
  const text = sizeText(size, units);
  put(at("hold-told"), { textContent: text });
  putAttribute(at("hold-at"), "aria-valuetext", text);
}

/** Loads a size: into the settings as they are, or where these have changed into those that it is of. */
function load(sizes, size, wishes, gesture) {
  const former = isFormer(sizes, wishes.now);
  const { variant, file, changes: then } = sizes.wishes;
  sizes.loaded = settingsOf(size);
  const undone = Object.fromEntries(sizes.keys.filter((key) => !(key in sizes.loaded)).map((key) => [key, then[key]]));
  if (former) wishes.begin(variant, { ...then, ...sizes.loaded }, file);
  else wishes.set({ ...undone, ...sizes.loaded }, gesture);
}

/** Whether the settings, but for the size that was loaded, are others than those of the search. */
function isFormer({ wishes: then, loaded }, now) {
  if (now.variant !== then.variant || now.file !== then.file) return true;
  const same = (key) => now.changes[key] === then.changes[key] || (key in loaded && now.changes[key] === loaded[key]);
  return !Object.keys({ ...now.changes, ...then.changes }).every((key) => FREE.has(key) || same(key));
}

function markFormer(sizes, now) {
  const former = isFormer(sizes, now);
  const text = `These sizes are of other settings, those of “${sizes.title}” when they were searched. Search again, or press one to go back to those settings.`;
  put(at("former"), { textContent: former ? text : "", hidden: !former });
  at("sizes").classList.toggle("former", former);
}

function clear() {
  at("sizes").replaceChildren();
  at("compared").replaceChildren();
  at("hold").hidden = at("former").hidden = at("left").hidden = true;
}

function drawSizes(sizes, units, pick) {
  const found = sizes.found.sizes;
  sizes.shownIn = units;
  sizes.keys = [...new Set(found.flatMap((size) => size.settings.map(({ key }) => key)))];
  const compare = (chosen) => at("compared").replaceChildren(...comparedRows(chosen, units));
  at("compared").replaceChildren();
  at("sizes").replaceChildren(...(found.length ? offerList(found, units, pick, compare) : []));
  at("hold").hidden = found.length < 2;
  if (found.length > 1) at("hold-side").dispatchEvent(new Event("change"));
  const left = leftText(sizes.found, units);
  put(at("left"), { textContent: left, hidden: !left });
}

const sidesText = (one, units) => SIDES.map((side) => lengthText(one[`${side}_mm`], units)).join(" × ");

/** How much no box of so many boards exceeds, once the search is through; "" before, or where there is none. */
function boundText(found, units) {
  if (found.places !== undefined || !found.sizes.length) return "";
  const boards = counted(found.boards, "board");
  if (found.proven) return `Proven: of the sizes and looks sought, no box of ${boards} holds more.`;
  return `Of the sizes and looks sought, no box of ${boards} holds more than ${volumeText({ volume_l: found.bound_l }, units)}: whether one comes near is open.`;
}

/** What is sure, and what the search did not reach, left undecided or left out, in words. */
export function leftText(found, units) {
  const lines = [boundText(found, units)].filter(Boolean);
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
