// The page: what the maker sets goes to the server, what comes back is shown everywhere at once.

import { Controls } from "./controls.js";
import { make, renew } from "./elements.js";
import { findingList, layoutDrawings, partRows, sizeChart, sizeRows } from "./lists.js";
import { afterRest, ask, newestOnly, start } from "./server.js";
import { Viewer } from "./viewer.js";
import { Wishes, wishesOf } from "./wishes.js";

const REST = 120; // ms without a change before the slower work is asked for
const at = (id) => document.getElementById(id);
const shown = { design: null, full: null, plan: null, kept: null, chosen: new Set(), asked: 0 };

const wishes = new Wishes(() => send());
const viewer = madeViewer();
let controls;

function madeViewer() {
  try {
    return new Viewer(at("canvas"), (name) => choose(name ? [name] : []));
  } catch (error) {
    // without WebGL all but the picture still works
    at("canvas").hidden = true;
    const nothing = () => {};
    return { show: nothing, mark: nothing, choose: nothing, explode: nothing, cutOpen: nothing };
  }
}

const askDesign = newestOnly("design", showDesign, complain);
const askVerdict = afterRest("verdict", REST, (found) => { shown.full = found; showFindings(); }, () => {});
const askPlan = afterRest("cut", REST, showPlan, (error) => planState(`No plan: ${error.message}`));

function send() {
  const asked = { variant: wishes.now.variant, changes: wishes.now.changes, ...(wishes.now.text && { text: wishes.now.text }) };
  shown.asked = performance.now();
  shown.full = null;
  askDesign(asked);
  askVerdict(null);
  askPlan(null);
  at("layouts").classList.add("busy");
  at("undo").disabled = !wishes.past.length;
  at("redo").disabled = !wishes.future.length;
  at("variant").value = wishes.now.text ? "" : wishes.now.variant;
  at("link").disabled = !wishes.link;
  clearTimeout(send.timer);
  send.timer = setTimeout(() => history.replaceState(null, "", wishes.link ? `#${wishes.link}` : location.pathname), 300);
}

function showDesign(design, request, newest) {
  // the slower work waits for the picture: else it would take its processor time
  if (newest) for (const soon of [askVerdict, askPlan]) soon(request);
  shown.design = design;
  at("complaint").hidden = true;
  at("title").textContent = design.title;
  document.title = `${design.title}: palewright`;
  at("units").value = design.units;
  viewer.show(design);
  controls.show(design.values, request.changes, design.units);
  choose([...shown.chosen].filter((name) => design.boards.some((board) => board.name === name)));
  showFindings();
  showFacts();
  // from the last change to its picture, for the tests
  requestAnimationFrame(() => { document.body.dataset.took = (performance.now() - shown.asked).toFixed(1); });
}

function complain(error) {
  const told = at("complaint");
  const placed = error.key && controls.complain(error.key, error.message);
  told.textContent = error.status ? `${error.key ? `${error.key}: ` : ""}${error.message}` : "The server does not answer; is palewright page still running?";
  told.hidden = false;
  verdict("Cannot be built like this", "bad");
  if (placed) at(`set-${error.key}`).closest("details").open = true;
}

function verdict(text, kind) {
  const band = at("verdict");
  if (band.textContent !== text) band.textContent = text;
  band.className = kind;
}

const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

function showFindings() {
  const found = shown.full || shown.design;
  if (!found) return;
  const of = (severity) => found.findings.filter((one) => one.severity === severity).length;
  const more = [["fault", of("fault")], ["warning", of("warning")]].filter(([, count]) => count).map(([word, count]) => counted(count, word));
  const lumber = shown.full ? "in thin, nominal, thick and mixed lumber" : "in nominal lumber, others follow";
  const fits = found.passed ? "Fits" : "Does not fit";
  verdict([fits, ...more].join(" · "), found.passed ? "good" : "bad");
  at("cases").textContent = `${fits} ${lumber}.`;
  const list = findingList(found.findings, (key, value) => wishes.set({ [key]: value }), choose);
  renew(at("findings"), list.length ? list : [make("li", { textContent: "Nothing found." })]);
  const marks = new Set();
  if (at("marks").checked)
    for (const one of found.findings)
      if (one.severity === "fault") for (const name of one.boards) marks.add(name);
  viewer.mark(marks);
}

function facts() {
  const { design, plan } = shown;
  const boards = plan ? `${plan.boards}${plan.proven ? ", proven least" : `, at least ${plan.lower_bound}`}` : "…";
  return [
    ["outside", design.facts.size.replaceAll(" x ", " × ")], ["boards to buy", boards], ["wood used", plan ? `${Math.round(plan.yield * 100)} %` : "…"],
    ["pieces", design.facts.boards], ["screws", design.facts.screws], ["empty weight", design.facts.mass],
    ["saw settings", plan ? plan.setups.count : "…"], ["costs", plan ? `${plan.price.cost} ${plan.price.currency}` : "…"], ["ask", plan ? `${plan.price.ask} ${plan.price.currency}` : "…"],
  ];
}

function showFacts() {
  const rows = facts().map(([name, value], i) => {
    const row = make("tr", {}, make("th", { scope: "row", textContent: name }), make("td", { textContent: value }));
    if (shown.kept) row.append(make("td", { textContent: shown.kept[i][1] }));
    return row;
  });
  at("kept-heading").hidden = !shown.kept;
  at("facts").tBodies[0].replaceChildren(...rows);
}

function showPlan(plan) {
  shown.plan = plan;
  at("layouts").classList.remove("busy");
  planState(`${counted(plan.boards, "board")}, ${plan.proven ? "and no plan needs fewer" : `at least ${plan.lower_bound} are needed`}.`);
  showFacts();
  showLayouts();
}

function planState(text) {
  at("plan-state").textContent = text;
}

function showLayouts() {
  if (!shown.plan || !shown.design) return;
  const marks = new Set(shown.design.boards.filter((board) => shown.chosen.has(board.name)).map((board) => board.mark));
  at("layouts").replaceChildren(...layoutDrawings(shown.plan.layouts, marks, shown.design.units));
}

function choose(names) {
  shown.chosen = new Set(names);
  viewer.choose(names);
  renew(at("parts").tBodies[0], partRows(shown.design.parts, shown.chosen, toggle));
  showLayouts();
  const card = at("picked");
  const boards = shown.design.boards.filter((board) => shown.chosen.has(board.name));
  card.hidden = !boards.length;
  if (!boards.length) return;
  const [one] = boards;
  const heading = boards.length === 1 ? one.name : `${boards.length} boards: ${boards.map((board) => board.name).join(", ")}`;
  const close = make("button", { type: "button", className: "quiet", textContent: "Let go" });
  close.addEventListener("click", () => choose([]));
  const alike = new Set(boards.map((board) => board.mark)).size === 1;
  card.replaceChildren(make("p", {}, make("strong", { textContent: heading })),
    make("p", { textContent: alike ? `Part ${one.mark} · ${one.size} · ends ${one.angles} · from ${one.stock}` : "" }), close);
}

const toggle = (names) => choose(names.every((name) => shown.chosen.has(name)) ? [] : names);

function say(text) {
  at("said").textContent = text;
  at("said").hidden = false;
  clearTimeout(say.timer);
  say.timer = setTimeout(() => { at("said").hidden = true; }, 5000);
}

function hand(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

const request = () => ({ variant: wishes.now.variant, changes: wishes.now.changes, ...(wishes.now.text && { text: wishes.now.text }) });

async function save() {
  try {
    hand(await (await ask("save", request())).blob(), `${shown.design.name}-own.toml`);
  } catch (error) {
    say(error.message);
  }
}

let packing = null;
async function packet() {
  if (packing) return packing.abort();
  packing = new AbortController();
  at("packet").textContent = "Stop the packet";
  say("Writing the packet: this takes some seconds.");
  try {
    hand(await (await ask("packet", request(), packing.signal)).blob(), `${shown.design.name}.zip`);
    say("The packet is ready.");
  } catch (error) {
    say(packing.signal.aborted ? "Stopped; nothing was written." : error.message);
  }
  packing = null;
  at("packet").textContent = "Download the packet";
}

let searching = null;
async function search(event) {
  event.preventDefault();
  searching?.abort();
  const mine = (searching = new AbortController());
  at("stop").hidden = false;
  at("frontier-state").textContent = "Searching …";
  try {
    const found = await (await ask("frontier", { ...request(), boards: at("count").valueAsNumber }, mine.signal)).json();
    at("frontier-state").textContent = found.sizes.length ? "None of these is beaten in every direction. Press one to load it." : "No box of the size search's ranges.";
    at("sizes").hidden = !found.sizes.length;
    const load = (values) => wishes.set(values);
    at("sizes").tBodies[0].replaceChildren(...sizeRows(found, shown.design.units, load));
    at("chart").replaceChildren(...(found.sizes.length ? [sizeChart(found, shown.design.units, load)] : []));
  } catch (error) {
    at("frontier-state").textContent = mine.signal.aborted ? "Stopped." : error.message;
  }
  if (searching === mine) at("stop").hidden = true;
}

function listen() {
  at("variant").addEventListener("change", (event) => wishes.begin(event.target.value));
  at("open").addEventListener("change", async ({ target }) => {
    const [file] = target.files;
    target.value = "";
    if (!file) return;
    if (file.size > 256 * 1024) return say("That file is larger than 256 KiB: no variant file.");
    wishes.begin("", await file.text());
  });
  at("undo").addEventListener("click", () => wishes.undo());
  at("redo").addEventListener("click", () => wishes.redo());
  at("units").addEventListener("change", (event) => wishes.set({ "product.units": event.target.value }));
  at("save").addEventListener("click", save);
  at("packet").addEventListener("click", packet);
  at("link").addEventListener("click", async () => {
    const link = `${location.origin}/#${wishes.link}`;
    await navigator.clipboard.writeText(link).then(() => say("Link copied."), () => say(link));
  });
  at("explode").addEventListener("input", (event) => viewer.explode(event.target.valueAsNumber));
  at("section").addEventListener("input", (event) => viewer.cutOpen(event.target.valueAsNumber));
  at("marks").addEventListener("change", showFindings);
  at("keep").addEventListener("click", () => { shown.kept = facts(); showFacts(); });
  at("frontier").addEventListener("submit", search);
  at("stop").addEventListener("click", () => searching?.abort());
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") choose([]);
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text]")) return;
    const way = event.key.toLowerCase() === "y" || (event.shiftKey && event.key.toLowerCase() === "z") ? "redo" : event.key.toLowerCase() === "z" ? "undo" : "";
    if (way) event.preventDefault(), wishes[way]();
  });
}

async function begin() {
  const known = await start();
  at("version").textContent = known.version;
  at("variant").append(make("option", { value: "", textContent: "your file", hidden: true }),
    ...known.variants.map((one) => make("option", { value: one.variant, textContent: one.title })));
  controls = new Controls(at("controls"), known.groups, wishes);
  listen();
  const linked = wishesOf(location.hash);
  if (linked) wishes.begin(linked.variant, "", linked.changes);
  else wishes.begin("stoop-tub");
}

begin();
