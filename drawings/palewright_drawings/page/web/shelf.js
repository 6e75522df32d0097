// The shelf: designs by name, kept in this browser on this computer, with their versions; and a batch of them, priced.

import { asked } from "./questions.js";
import { make, renew } from "./elements.js";
import { Job } from "./jobs.js";
import { layoutDrawings } from "./plan_lists.js";
import { requestOf, wishesOf } from "./wishes.js";

const PLACE = "palewright-shelf";
const MOST_VERSIONS = 8; // of one design: the oldest goes
const THUMB = { width: 176, height: 132 }; // px
const at = (id) => document.getElementById(id);

/** What is kept: `[{name, versions: [{when, link, picture, told}]}]`, the newest version first. */
function kept() {
  try {
    const found = JSON.parse(localStorage.getItem(PLACE) ?? "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
}

/** Keeps it all; returns whether the browser has room for it. */
function keep(designs) {
  try {
    localStorage.setItem(PLACE, JSON.stringify(designs));
    return true;
  } catch {
    return false;
  }
}

/** A small picture of a canvas, without what is empty about its middle. */
function thumbOf(canvas) {
  if (!canvas) return "";
  const to = make("canvas", THUMB);
  const scale = Math.max(THUMB.width / canvas.width, THUMB.height / canvas.height);
  const [w, h] = [canvas.width * scale, canvas.height * scale];
  to.getContext("2d").drawImage(canvas, (THUMB.width - w) / 2, (THUMB.height - h) / 2, w, h);
  return to.toDataURL("image/png");
}

const pictures = new Map(); // addresses of pictures that are shown, by what was kept

/** The address of a kept picture; the page's own policy allows none that holds the picture itself. */
function shownPicture(kept) {
  if (!pictures.has(kept)) {
    const bytes = Uint8Array.from(atob(kept.slice(kept.indexOf(",") + 1)), (sign) => sign.charCodeAt(0));
    pictures.set(kept, URL.createObjectURL(new Blob([bytes], { type: "image/png" })));
  }
  return pictures.get(kept);
}

/**
 * Wires the shelf. `now()` gives `{title, link, told, canvas}` of the box that is shown, or null; `named` asks what a
 * changed box is called, `begin(wishes)` opens one, `say` tells in a line.
 */
export function wireShelf(now, named, begin, say) {
  const counts = new Map(); // how many of each are wanted, by name
  const job = new Job(at("batch-job"), "the batch");
  const show = () => {
    const designs = kept();
    renew(at("shelf"), designs.map((design) => shelfRow(design, counts, { begin, show })));
    at("batch").hidden = !designs.length;
    at("shelf-empty").hidden = designs.length > 0;
  };
  at("shelve").addEventListener("click", async () => {
    if (!now()) return say("Nothing to keep: this cannot be built.");
    if (!(await named("Keep on the shelf", [], [["keep", "Keep"]]))) return;
    const box = await now.settled();
    if (!box) return say("Nothing to keep: this cannot be built.");
    const designs = kept();
    const version = { when: Date.now(), link: box.link, picture: thumbOf(box.canvas()), told: box.told };
    const before = designs.find((one) => one.name === box.title);
    if (before) before.versions = [version, ...before.versions.filter((one) => one.link !== box.link)].slice(0, MOST_VERSIONS);
    else designs.unshift({ name: box.title, versions: [version] });
    say(keep(designs) ? `Kept on the shelf: ${box.title}.` : "Not kept: this browser has no more room, or keeps nothing.");
    show();
  });
  at("batch").addEventListener("submit", async (event) => {
    event.preventDefault();
    const boxes = kept().filter(({ name }) => counts.get(name) > 0).map(({ name, versions: [{ link }] }) => ({ ...requestOf(wishesOf(link)), count: counts.get(name) }));
    if (!boxes.length) return say("Say how many of each first.");
    at("batched").replaceChildren();
    const answer = await job.run("batch", async () => ({ boxes }), "The batch is cut and priced together.");
    if (answer) showBatch(JSON.parse(await answer.text()));
  });
  window.addEventListener("storage", (event) => event.key === PLACE && show()); // another window kept something
  show();
}

function shelfRow({ name, versions }, counts, { begin, show }) {
  const [newest] = versions;
  const open = make("button", { type: "button", className: "offer" });
  open.setAttribute("aria-label", `open ${name}`);
  open.append(...(newest.picture ? [make("img", { src: shownPicture(newest.picture), alt: "", ...THUMB })] : []), make("b", { textContent: name }), make("span", { textContent: newest.told }));
  open.addEventListener("click", () => begin(wishesOf(newest.link)));
  const count = make("input", { type: "number", min: 0, max: 100, value: counts.get(name) ?? 0 });
  count.setAttribute("aria-label", `how many ${name}`);
  count.addEventListener("input", () => counts.set(name, count.valueAsNumber || 0));
  const remove = make("button", { type: "button", className: "quiet", textContent: "Remove" });
  remove.setAttribute("aria-label", `remove ${name}`);
  remove.addEventListener("click", async () => {
    if (!(await asked(`Remove “${name}” from the shelf?`, ["Its versions go too. A saved file stays."], [["yes", "Remove"]]))) return;
    keep(kept().filter((one) => one.name !== name));
    show();
  });
  const row = make("li", {}, open, make("div", { className: "row" }, count, remove));
  if (versions.length > 1) {
    const list = make("select");
    list.setAttribute("aria-label", `versions of ${name}`);
    list.append(make("option", { value: "", textContent: `${versions.length} versions` }), ...versions.map(({ when, told }, i) => make("option", { value: String(i), textContent: `${new Date(when).toLocaleString()}: ${told}` })));
    list.addEventListener("change", () => list.value && begin(wishesOf(versions[Number(list.value)].link)));
    row.append(list);
  }
  return row;
}

/** What a batch takes and costs: a line a design, the whole, and its board layouts. */
function showBatch(found) {
  const line = (kind, texts) => make("tr", {}, ...texts.map((textContent, i) => make(i && kind === "td" ? "td" : "th", { textContent, scope: kind === "th" ? "col" : "row" })));
  const rows = found.boxes.map((box) => line("td", [box.title, String(box.count), box.each, box.ask]));
  const table = make("table", {}, make("thead", {}, line("th", ["box", "pieces", `costs each, ${found.currency}`, "ask"])), make("tbody", {}, ...rows));
  const sure = found.proven ? "no plan needs fewer" : "fewer may do";
  const words = `${found.boards} boards (${sure}), ${found.settings} saw settings, ${found.hours} hours of work, costs ${found.cost} ${found.currency} in all.`;
  at("batched").replaceChildren(make("p", { className: "strong-words", textContent: words }), make("div", { className: "wide" }, table), ...layoutDrawings(found.layouts, found.units, () => {}));
}
