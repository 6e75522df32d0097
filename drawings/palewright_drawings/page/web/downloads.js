// What the maker takes away: the packet, one of its files, the settings, a picture.

import { make } from "./elements.js";
import { Job } from "./jobs.js";
import { ask } from "./server.js";

const at = (id) => document.getElementById(id);
const spoken = (name) => name.replaceAll("-", " ");

/** Gives a file to the browser to keep. */
export function hand(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

/** Saves the settings as a variant file. */
export async function save(request, name) {
  hand(await (await ask("save", request)).blob(), `${name}-own.toml`);
}

/** Wires the packet's button, the list of files and the picture; `now()` gives request and name. */
export function wireDownloads(known, now) {
  wirePacket(now);
  wireFiles(known.files, now);
  wirePictures(known.pictures, now);
}

function wirePacket(now) {
  const job = new Job(at("packet-job"), "the packet");
  at("packet").addEventListener("click", async () => {
    if (job.busy) return;
    const { request, name } = now();
    const found = await job.run("packet", request, "The packet is downloaded.");
    if (found) hand(found, `${name}.zip`);
  });
}

function wireFiles(files, now) {
  const list = at("file");
  for (const { kind, where, purpose } of files)
    list.append(make("option", { value: kind, textContent: `${where.replace("/*", "/")} · ${purpose}` }));
  const job = new Job(at("file-job"), "the file");
  at("files").addEventListener("submit", async (event) => {
    event.preventDefault();
    const { where, kind } = files.find((one) => one.kind === list.value);
    const { request, name } = now();
    const found = await job.run("file", { ...request, kind }, "The file is downloaded.");
    if (found) hand(found, found.type === "application/zip" ? `${name}-${kind}.zip` : `${name}-${where}`);
  });
}

function wirePictures(pictures, now) {
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
    const { request, name } = now();
    const [scene, view, finish, wood] = ["scene", "from", "coat", "timber"].map((id) => at(id).value);
    const [pixels, quick] = [Number(at("pixels").value), at("pixels").value === "600"];
    const found = await job.run("picture", { ...request, scene, view, finish, wood, pixels, quick }, "The picture is ready.");
    if (found) showPicture(found, `${name}-${scene}-${view}.png`, `${name}, ${spoken(scene)}, ${spoken(finish)}`);
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
