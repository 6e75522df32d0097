// What the maker takes away: the packet, one of its files, the settings, a picture.

import { make } from "./elements.js";
import { Job } from "./jobs.js";
import { agreed, asked } from "./questions.js";
import { ask } from "./server.js";

const at = (id) => document.getElementById(id);
const spoken = (name) => name.replaceAll("-", " ");

/** Gives a file to the browser to keep. */
export function hand(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

/** Saves the settings as a variant file; an opened one keeps its name. */
export async function save(request, name) {
  hand(await (await ask("save", request)).blob(), request.file ? `${name}.toml` : `${name}-own.toml`);
}

/**
 * Wires the packet's button, the list of files, paper and the picture. `judged()` waits until the box as it
 * is set is judged, and gives its request, name and verdict; `named` asks what a changed box is called.
 * Returns what ends jobs whose settings changed.
 */
export function wireDownloads(known, judged, named) {
  const jobs = [wirePacket(judged, named), wireSheet(judged), wireFiles(known.files, judged)];
  wirePaper();
  wirePictures(known.pictures, judged);
  return () => jobs.forEach((job) => job.outdate("Stopped: the settings have changed. Press again for the box as it is now."));
}

const FOR = [["me", "For me"], ["buyer", "For a buyer"]];
const WHOSE = "For me: all of it, with costs and jigs. For a buyer: without what is yours alone.";

/**
 * The box to make files of. One that does not fit, or for a buyer has warnings, is asked about, and null if it is
 * better not made.
 */
async function taken(judged, buyer = false) {
  const box = await judged();
  const faulty = "Boards cut from these files will not go together as they are. What is wrong stands under Findings.";
  const warned = buyer && box.warnings.length ? `Warnings stand: ${box.warnings.join(", ")}. A buyer cannot ask you at the saw.` : "";
  const request = { ...box.request, ...(buyer && { to_sell: true }) };
  if (box.passed && !warned) return { ...box, request };
  const lines = [box.cases, box.fault && `First of all, ${box.fault}.`, box.passed ? warned : faulty];
  const agrees = await agreed(box.verdict, lines, "Download it all the same", "Go back");
  return agrees ? { ...box, request: { ...request, ...(buyer && { despite_faults: true }) } } : null;
}

/** Makes something of a box; returns it with the box's name, or null. */
async function made(job, task, more, box, done) {
  let name = "";
  const settle = async () => {
    const found = await box();
    name = found?.name;
    return found && { ...found.request, ...more };
  };
  const content = await job.run(task, settle, done);
  return content && { content, name };
}

function wirePacket(judged, named) {
  const job = new Job(at("packet-job"), "the packet");
  at("packet").addEventListener("click", async () => {
    if (job.busy) return; // what it waits for or makes is the box that is shown
    const whose = await named("Download the packet", [WHOSE], FOR);
    if (!whose) return;
    const buyer = whose === "buyer";
    const found = await made(job, "packet", {}, () => taken(judged, buyer), "The packet is downloaded.");
    if (found) hand(found.content, `${found.name}.zip`);
  });
  return job;
}

/** The one file for the phone at the saw. */
function wireSheet(judged) {
  const job = new Job(at("sheet-job"), "the saw sheet");
  at("sheet").addEventListener("click", async () => {
    if (job.busy) return;
    const found = await made(job, "file", { kind: "workshop" }, () => taken(judged), "The saw sheet is downloaded: send it to the phone and open it there.");
    if (found) hand(found.content, `${found.name}-workshop.html`);
  });
  return job;
}

function wireFiles(files, judged) {
  const list = at("file");
  for (const { kind, where, purpose } of files)
    list.append(make("option", { value: kind, textContent: `${where.replace("/*", "/")} · ${purpose}` }));
  const job = new Job(at("file-job"), "the file");
  at("files").addEventListener("submit", async (event) => {
    event.preventDefault();
    const { where, kind } = files.find((one) => one.kind === list.value);
    const buyer = at("file-buyer").checked;
    const found = await made(job, "file", { kind }, () => taken(judged, buyer), "The file is downloaded.");
    if (!found) return;
    const { content, name } = found;
    hand(content, content.type === "application/zip" ? `${name}-${kind}.zip` : `${name}-${where}`);
  });
  return job;
}

/** Paper shows no money, unless it is asked for here. */
function wirePaper() {
  at("print").addEventListener("click", async () => {
    const whose = await asked("Print this box", ["For me: with what it costs. For a buyer: without."], FOR);
    if (!whose) return;
    document.body.dataset.paper = whose.answer;
    window.print();
    delete document.body.dataset.paper;
  });
}

function wirePictures(pictures, judged) {
  const form = at("picture");
  at("picture-missing").hidden = pictures.installed;
  form.hidden = !pictures.installed;
  const options = (id, names, word) => {
    for (const name of names) at(id).append(make("option", { value: name, textContent: word(name) }));
  };
  options("scene", Object.keys(pictures.scenes), (name) => `${spoken(name)}: ${pictures.scenes[name]}`);
  options("from", pictures.views, spoken);
  options("coat", Object.keys(pictures.finishes), spoken);
  options("timber", ["own", ...Object.keys(pictures.woods)], (name) => (name === "own" ? "its own wood" : spoken(name)));
  const job = new Job(at("picture-job"), "the picture");
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const [scene, view, finish, wood] = ["scene", "from", "coat", "timber"].map((id) => at(id).value);
    const [pixels, quick] = [Number(at("pixels").value), at("pixels").value === "600"];
    const found = await made(job, "picture", { scene, view, finish, wood, pixels, quick }, judged, "The picture is ready.");
    if (found) showPicture(found.content, `${found.name}-${scene}-${view}.png`, `${found.name}, ${spoken(scene)}, ${spoken(finish)}`);
  });
}

function showPicture(found, file, words) {
  const place = at("pictured");
  const old = place.querySelector("img");
  if (old) URL.revokeObjectURL(old.src);
  const picture = make("img", { src: URL.createObjectURL(found), alt: `Rendered picture: ${words}` });
  const keep = make("button", { type: "button", textContent: "Download the picture" });
  keep.addEventListener("click", () => hand(found, file));
  place.replaceChildren(make("figure", {}, picture, make("figcaption", { textContent: words })), keep);
}
