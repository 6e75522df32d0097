// The page: what the maker sets goes to the server, what comes back is shown everywhere at once.

import { Controls } from "./controls.js";
import { Desk } from "./desk.js";
import { save, wireDownloads } from "./downloads.js";
import { amend, make, put, renew, words } from "./elements.js";
import { boardsText, factRows, factsOf, lumberText } from "./facts.js";
import { Kept } from "./kept.js";
import { keyed } from "./key_links.js";
import { lengthText } from "./lengths.js";
import { findingList, markParts, partRows } from "./lists.js";
import { layoutDrawings, markChosen, sawLists } from "./plan_lists.js";
import { openFile } from "./openings.js";
import { copyDrawn } from "./paper.js";
import { asked } from "./questions.js";
import { afterRest, beside, newestOnly, start } from "./server.js";
import { wireShelf } from "./shelf.js";
import { wireSizes } from "./sizes.js";
import { Tracks } from "./stage/tracks.js";
import { Tags } from "./tags.js";
import { Viewer } from "./viewer.js";
import { requestOf, Wishes, wishesOf } from "./wishes.js";

const REST = 120; // ms without a change before the slower work is asked for
const LONG_REST = 250; // and before seconds of work are asked for
const RECONNECT = 2000; // ms after which a server that did not answer is asked again
const MOST_TAGS = 5;
const LETTERED = 0.3; // pulled apart so far, a board of each part has its letter
const FIRST = "stoop-tub"; // where no link says otherwise
const at = (id) => document.getElementById(id);
const shown = { design: null, of: null, full: null, plan: null, rough: null, settled: null, kept: null, chosen: new Set(), finding: null, asked: 0, tries: 0, unjudged: "", refused: "", waiting: [] };

const wishes = new Wishes(() => send());
const desk = new Desk(wishes);
desk.tracks = new Tracks(desk);
let controls;
let known;
let viewer;
let tags;
let outdate = () => {};
let lookAtSizes = () => {};

function madeViewer() {
  try {
    const found = new Viewer(at("canvas"), known.pictures, (name) => choose(name ? [name] : []), () => tags?.place(), desk);
    tags = new Tags(at("tags"), at("more"), found);
    return found;
  } catch (error) {
    // without WebGL all but the picture still works
    at("canvas").hidden = true;
    tags = { show: () => {} };
    return new Proxy({}, { get: () => () => null });
  }
}

const askDesign = newestOnly("design", showDesign, complain);
const askVerdict = afterRest("verdict", REST, (found) => { shown.full = found; showFindings(); showFacts(); tellJudged(); desk.tell({ full: found }); }, noVerdict);
const askFirst = afterRest("first", REST, (plan) => { if (!shown.plan) showPlan({ ...plan, first: true }); }, noPlan);
const askPlan = afterRest("cut", REST, (plan) => { shown.rough = plan; showPlan(shown.settled ? { ...plan, ...shown.settled } : plan); }, noPlan);
const askPrice = afterRest("price", LONG_REST, settle, () => settle({ unsettled: true }));

/** The settled price; where its boards are not those of the box (spare parts) it is laid over the plan of the box. */
function settle(found) {
  shown.settled = found;
  if (found.layouts) showPlan(found);
  else if (shown.rough) showPlan({ ...shown.rough, ...found });
}
const askPlants = afterRest("plants", LONG_REST, (bytes) => viewer.plant(bytes), () => {}, (answer) => answer.arrayBuffer());

/** What grows in the box that is set, where it is to be seen. */
const growAnew = () => askPlants(at("grown").checked && !shown.refused ? request() : null);

/** The other lumber was not judged: one more try by itself, then it is said and a button tries again. */
function noVerdict(error, asked) {
  shown.unjudged = error.status ? error.message : "the server does not answer";
  shown.tries += 1;
  if (shown.tries < 2) askVerdict(asked);
  showFindings();
  tellJudged();
}

/** The box as it is set now, once it is judged, or is known to be not. */
function judged() {
  return new Promise((done) => { shown.waiting.push(done); tellJudged(); });
}

function tellJudged() {
  const failed = shown.unjudged && shown.tries > 1;
  if (!shown.full && !shown.refused && !failed) return;
  const passed = shown.full?.passed || Boolean(shown.refused); // what is refused the server tells itself
  const fault = shown.full?.findings.find((one) => one.severity === "fault")?.message;
  const warnings = [...new Set((shown.full?.findings ?? []).filter((one) => one.severity === "warning").map((one) => one.code))];
  const box = { request: request(), name: name(), passed, fault, warnings, verdict: at("verdict").textContent, cases: at("cases").textContent };
  for (const done of shown.waiting.splice(0)) done(box);
}

function send() {
  shown.asked = performance.now();
  shown.full = shown.plan = shown.rough = shown.settled = shown.finding = null;
  shown.unjudged = shown.refused = "";
  shown.tries = 0;
  outdate();
  desk.tell({ state: "busy", full: null, plan: null });
  clearTimeout(complain.again);
  askDesign(request());
  for (const soon of [askVerdict, askFirst, askPlan, askPrice, askPlants]) soon(null);
  at("layouts").classList.add("busy");
  at("undo").disabled = !wishes.past.length;
  at("redo").disabled = !wishes.future.length;
  put(at("variant").options[0], { textContent: wishes.now.file?.name || "your file" });
  put(at("variant"), { value: wishes.now.file ? "" : wishes.now.variant });
  notice("");
}

/** The address carries the settings that were shown last, so that a reload finds a box. */
function address() {
  clearTimeout(address.timer);
  address.timer = setTimeout(() => {
    history.replaceState(null, "", `#${wishes.link}`);
    wishes.remember();
  }, 300);
}

function notice(text) {
  put(at("notice"), { textContent: text, hidden: !text });
}

function showDesign(design, request, newest) {
  // the slower work waits for the picture: else it would take its processor time
  if (newest) {
    for (const soon of [askVerdict, askFirst, askPlan, askPrice]) soon(request);
    growAnew();
    wishes.begun = null;
    address();
  }
  shown.design = design;
  shown.of = request.changes; // the very object of the wishes
  standing("");
  at("title").textContent = design.title;
  document.title = `${design.title}: palewright`;
  put(at("units"), { value: design.units });
  viewer.show(design);
  desk.tell({ design, state: newest ? "shown" : "busy", why: "" });
  at("grown-word").textContent = design.values.box.kind === "tree" ? "With its tree" : "Planted";
  controls.show(design.values, request.changes, design.units, design.autos);
  showParts();
  const names = new Set(design.boards.map((board) => board.name));
  choose([...shown.chosen].filter((name) => names.has(name)));
  showFindings();
  showFacts();
  lookAtSizes();
  if (newest && shown.kept && !shown.kept.of(wishes.now)) shown.kept.fill(design.units);
  // from the last change to its picture, for the tests
  requestAnimationFrame(() => { document.body.dataset.took = (performance.now() - shown.asked).toFixed(1); });
}

/** A text in which the keys of settings lead to their controls. */
const linked = (text) => keyed(text, (key) => controls.has(key), open);

function open(key) {
  at("find").value = at("found").textContent = "";
  controls.open(key);
}

/** What a box that is not shown is called, and whose picture stands there instead; empty: it is shown. */
function standing(text) {
  renew(at("complaint"), linked(text));
  at("complaint").hidden = !text;
  at("former-box").hidden = !text || !shown.design;
  document.querySelector(".stage").classList.toggle("refused", Boolean(text));
}

function complain(error, asked) {
  if (error.status === 422 && (wishes.fresh || !shown.design)) return goBack(error);
  if (!error.status) return loseServer(asked);
  if (error.key) controls.complain(error.key, error.message);
  standing(error.told);
  const refused = error.status === 422;
  verdict(refused ? "Cannot be built like this" : "Not worked out", refused ? "bad" : "unsure");
  shown.refused = error.told;
  at("cases").textContent = "";
  amend(at("findings"), [make("li", { className: "fault", textContent: `${refused ? "Not built" : "Not worked out"}: ${error.told}` })]);
  showFindingList.same = "";
  at("notes-fold").hidden = true;
  planState(`No plan: ${refused ? "cannot be built like this" : "not worked out"}. The layouts are those of the box before.`);
  if (shown.design) showFacts();
  desk.tell({ state: "refused", why: error.told });
  tellJudged();
}

/** Nothing is known of the box: the server is asked again until it answers. */
function loseServer(asked) {
  standing("The server does not answer; is palewright page still running? It is asked again by itself.");
  verdict("Not connected", "unsure");
  desk.tell({ state: "away", why: "the server does not answer" });
  complain.again = setTimeout(() => askDesign(asked), RECONNECT);
}

/** What was begun cannot be shown: the box before it stays, or a shipped variant is begun from. */
function goBack(error) {
  if (shown.design) {
    wishes.giveUp();
    return notice(`Not opened, the box before stays. ${error.told}`);
  }
  const one = known.variants.find(({ variant }) => variant === wishes.now.variant) || known.variants.find(({ variant }) => variant === FIRST);
  wishes.startOver(one.variant);
  notice(`The link's settings cannot be used; this is ${one.title} as shipped. ${error.told}`);
}

function verdict(text, kind) {
  const band = at("verdict");
  put(band, { textContent: text, className: kind });
}

const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

function showFindings() {
  const found = shown.full || shown.design;
  if (!found) return;
  const of = (severity) => found.findings.filter((one) => one.severity === severity).length;
  const more = [["fault", of("fault")], ["warning", of("warning")]].filter(([, count]) => count).map(([word, count]) => counted(count, word));
  const failed = shown.unjudged && shown.tries > 1;
  const fits = found.passed ? "Fits" : "Does not fit";
  if (!shown.refused) verdict([failed && found.passed ? "Fits in nominal lumber, other lumber not judged" : fits, ...more].join(" · "), !found.passed ? "bad" : failed ? "unsure" : "good");
  put(at("again"), { hidden: !failed });
  at("cases").textContent = shown.refused ? "" : failed ? `${fits} in nominal lumber; thin, thick and mixed could not be judged: ${shown.unjudged}.` : lumberText(found, shown.full);
  if (!shown.refused) showFindingList(found.findings);
  const marks = new Set();
  if (at("marks").checked)
    for (const one of found.findings)
      if (one.severity === "fault") for (const name of one.boards) marks.add(name);
  viewer.mark(marks);
  showTags();
}

function showFindingList(findings) {
  const same = JSON.stringify(findings);
  if (same === showFindingList.same) return;
  showFindingList.same = same;
  const listed = (some) => findingList(some, linked, (values) => wishes.set(values), (finding) => choose(finding.boards, finding));
  const notes = findings.filter((one) => one.severity === "note");
  const list = listed(findings.filter((one) => one.severity !== "note"));
  amend(at("findings"), list.length ? list : [make("li", { textContent: "No fault, no warning." })]);
  amend(at("notes"), listed(notes));
  at("notes-fold").hidden = !notes.length;
  at("notes-heading").textContent = counted(notes.length, "note");
}

/** The lip at a corner in words: a maker reads no minus. */
const lipText = ({ lip, texts: [text] }) => (lip < 0 ? `lip short by ${text.replace("-", "")}` : `lip ${text}`);

/** Clearances at the corners, letters of parts that are pulled apart, and what is wrong, on the boards themselves. */
function showTags() {
  const { design, full, finding } = shown;
  if (!design) return;
  const found = [];
  if (at("gaps").checked)
    for (const seat of design.seats)
      found.push({ text: lipText(seat), said: `${lipText(seat)}, ${seat.corner}`, corner: seat.corner, at: seat.at, board: seat.boards[1], kind: seat.lip < 0 ? "fault" : "gap" });
  if (viewer.apart > LETTERED)
    for (const { mark, role, boards: [board] } of design.parts) found.push({ text: mark, said: `${mark}: ${role}`, at: viewer.middleOf(board), board, kind: "part" });
  const faults = at("marks").checked ? (full || design).findings.filter((one) => one.severity === "fault") : [];
  const told = new Map(); // one label for a kind of finding, however many boards have it
  for (const one of finding ? [finding] : faults) told.set(one.code, [...(told.get(one.code) || []), one]);
  for (const [code, [one, ...more]] of [...told].slice(0, MOST_TAGS)) {
    const middle = one.boards.length && viewer.middleOf(one.boards[0]);
    const text = known.codes[code] + (more.length ? `, in ${more.length + 1} places` : "");
    if (middle) found.push({ text, at: middle, board: one.boards[0], kind: one.severity });
  }
  tags.show(found);
}

function showFacts() {
  const facts = factsOf(shown.design, shown.full, shown.plan, shown.refused);
  const { kept } = shown;
  if (kept?.of(wishes.now) && shown.of === wishes.now.changes) kept.take(shown.design, shown.full, shown.rough, shown.settled);
  at("kept-heading").hidden = at("take").hidden = !kept;
  at("facts").tBodies[0].replaceChildren(...factRows(facts, kept?.facts(facts, Boolean(shown.plan?.price.settled))));
  showSums();
}

/** The band over the stage: boards, money and weight; what is not settled is marked. */
function showSums() {
  const { design, plan, refused } = shown;
  const told = (text) => (refused ? "–" : plan ? text() : "…");
  const rough = Boolean(plan && !refused && !plan.price.settled);
  put(at("sum-boards"), { textContent: told(() => String(plan.boards)) });
  put(at("sum-weight"), { textContent: refused ? "–" : design.facts.mass });
  for (const [name, money] of [["costs", "cost"], ["ask", "ask"]]) {
    const place = at(`sum-${name}`);
    put(place, { textContent: told(() => `${rough ? "≈ " : ""}${plan.price[money]}`), title: rough ? "first figure" : "" });
    put(place.previousElementSibling, { textContent: plan ? `${name} ${plan.price.currency}` : name });
    place.parentElement.classList.toggle("rough", rough);
  }
}

function keep() {
  if (!shown.design || shown.refused) return say("Nothing to keep: this cannot be built.");
  shown.kept?.end();
  wishes.kept = wishes.now;
  shown.kept = new Kept(wishes.kept, showFacts);
  address();
  showFacts();
}

function showPlan(plan) {
  shown.plan = plan;
  desk.tell({ plan });
  if (!plan.first) at("layouts").classList.remove("busy");
  planState(`${counted(plan.boards, "board")}: ${plan.proven ? "no plan needs fewer" : boardsText(plan).split(", ")[1]}${plan.price.settled ? ", the cheapest with the work at the saw" : ""}.`);
  if (!at("count").dataset.own) put(at("count"), { value: String(plan.boards) });
  showFacts();
  const pick = (mark) => toggle(shown.design.parts.find((part) => part.mark === mark).boards);
  at("layouts").replaceChildren(...layoutDrawings(plan.layouts, shown.design.units, pick));
  at("saw-list").replaceChildren(...sawLists(plan.saw));
  showChosen();
}

function noPlan(error) {
  planState(`No plan: ${error.message}`);
}

function planState(text) {
  at("plan-state").textContent = text;
}

function showParts() {
  const { parts } = shown.design;
  const same = JSON.stringify(parts);
  if (same === showParts.same) return;
  showParts.same = same;
  amend(at("parts").tBodies[0], partRows(parts, toggle));
}

/** Marks the chosen boards in the parts, the layouts and the saw list, and tells of them. */
function showChosen() {
  const boards = shown.design.boards.filter((board) => shown.chosen.has(board.name));
  markParts(at("parts").tBodies[0].rows, shown.design.parts, shown.chosen);
  const origins = shown.plan ? boards.map((board) => shown.plan.origins[board.name]).filter(Boolean) : [];
  if (shown.plan) markChosen(at("layouts"), at("saw-list"), new Set(boards.map((board) => board.mark)), origins);
  showCard(boards, origins);
}

function choose(names, finding = null) {
  if (!shown.design) return;
  shown.chosen = new Set(names);
  shown.finding = finding;
  viewer.choose(names);
  showChosen();
  showTags();
}

/** What boards are called: one by its place, those alike by their part, others by the marks of their parts. */
function calledTogether(boards, marks) {
  const [{ mark, name, role }] = boards;
  if (boards.length === 1) return `${mark}: ${name.replace(".", ", ").replaceAll("-", " ")}`;
  return marks.length === 1 ? `${mark}: ${boards.length} ${role}s` : `${boards.length} boards: ${marks.join(", ")}`;
}

function showCard(boards, origins) {
  const card = at("picked");
  card.hidden = !boards.length;
  if (!boards.length) return;
  const [one] = boards;
  const marks = [...new Set(boards.map((board) => board.mark))].sort();
  const close = make("button", { type: "button", className: "quiet", textContent: "Close" });
  close.addEventListener("click", () => choose([]));
  const lines = [marks.length === 1 ? `${one.size} · ends ${one.angles} · ${one.stock}` : ""];
  const cut = [...new Set(origins.map((origin) => origin.board))].sort((a, b) => a - b);
  if (cut.length) lines.push(`From ${cut.length > 1 ? "boards" : "board"} ${cut.join(", ")}${boards.length === 1 ? `, ${fromEnd(origins[0])} from its square end` : ""}.`);
  if (shown.finding) lines.unshift(shown.finding.message);
  renew(card, [make("p", {}, make("strong", { textContent: calledTogether(boards, marks) })), ...lines.filter(Boolean).map((line) => make("p", {}, ...words(line))), close]);
}

const fromEnd = ({ layout, place }) => lengthText(shown.plan.layouts[layout].pieces[place].x_mm, shown.design.units);

const toggle = (names) => choose(names.every((name) => shown.chosen.has(name)) ? [] : names);

function say(text) {
  at("said").textContent = text;
  at("said").hidden = false;
  clearTimeout(say.timer);
  say.timer = setTimeout(() => { at("said").hidden = true; }, 5000);
}

const name = () => shown.design?.name ?? "own-box";

const request = () => requestOf(wishes.now);

/** Asks something of the box, and its name where it was changed and has none of its own; returns the answer, or null. */
async function named(heading, lines, answers) {
  const { changes } = wishes.now;
  const own = Object.keys(changes).some((key) => key !== "product.units") && !("product.title" in changes);
  const field = own && shown.design ? { label: "Name of this box; its files are called by it", value: `${shown.design.title}, own` } : null;
  const told = await asked(heading, lines, answers, { field });
  if (told?.text) wishes.set({ "product.title": told.text });
  return told?.answer ?? null;
}

/** The box as the shelf keeps it, or null where none is shown. */
function shelfNow() {
  const { design, plan, refused } = shown;
  if (!design || refused) return null;
  const price = plan?.price.settled ? `, ${plan.price.cost} ${plan.price.currency}` : "";
  const told = `${design.facts.size.replaceAll(" x ", " × ")}${plan ? `, ${counted(plan.boards, "board")}` : ""}${price}`;
  return { title: design.title, link: wishes.link, told, canvas: () => viewer.paper() };
}

/** The same once the box as it is set is judged: what it is called may have been set just now. */
shelfNow.settled = async () => {
  await judged();
  return shelfNow();
};

/** The picture as it is copied to paper, since a browser prints no picture of the graphics card. */
function toPaper() {
  const folded = document.querySelectorAll(".told details:not([open])");
  for (const one of folded) one.open = true;
  window.addEventListener("afterprint", () => folded.forEach((one) => { one.open = false; }), { once: true });
  const from = viewer.paper();
  if (!from) return;
  copyDrawn(from, at("paper"));
}

function listen() {
  const { classList } = document.querySelector(".stage");
  // scrolled down, the picture is drawn into the part of the stage that stays in view
  window.addEventListener("scroll", () => classList.toggle("low", window.scrollY > window.innerHeight / 4), { passive: true });
  at("variant").addEventListener("change", (event) => wishes.begin(event.target.value));
  at("open").addEventListener("change", async ({ target }) => {
    const [file] = target.files;
    target.value = "";
    if (file) await openFile(file, wishes, notice);
  });
  at("count").addEventListener("input", ({ target }) => { target.dataset.own = "yes"; }); // else it holds the boards of the box
  at("budget").addEventListener("change", ({ target }) => { at("count").max = target.value === "boards" ? "60" : "100000"; });
  at("find").addEventListener("input", ({ target }) => {
    const count = controls.find(target.value);
    at("found").textContent = target.value.trim() ? `${counted(count, "setting")} of that name or kind` : "";
  });
  at("undo").addEventListener("click", () => wishes.undo());
  at("redo").addEventListener("click", () => wishes.redo());
  at("units").addEventListener("change", (event) => wishes.set({ "product.units": event.target.value }));
  at("save").addEventListener("click", () => save(request(), name()).catch((error) => say(error.message)));
  at("link").addEventListener("click", async () => {
    if (shown.refused) return say("No link: these settings cannot be built.");
    const link = `${location.origin}/#${wishes.link}`;
    await navigator.clipboard.writeText(link).then(() => say("Link copied."), () => say("Not copied: the browser forbids it. The address of this page is the link."));
  });
  at("explode").addEventListener("input", (event) => { viewer.explode(event.target.valueAsNumber); showTags(); });
  at("section").addEventListener("input", (event) => viewer.cutOpen(event.target.valueAsNumber));
  at("again").addEventListener("click", () => { shown.unjudged = ""; shown.tries = 1; showFindings(); askVerdict(request()); });
  at("marks").addEventListener("change", showFindings);
  at("gaps").addEventListener("change", showTags);
  at("grown").addEventListener("change", (event) => { viewer.grow(event.target.checked); if (shown.design) growAnew(); });
  at("look").addEventListener("change", (event) => {
    viewer.finish(event.target.value);
    if (event.target.value in known.pictures.finishes) at("coat").value = event.target.value;
  });
  at("keep").addEventListener("click", keep);
  at("take").addEventListener("click", () => wishes.begin(shown.kept.wishes.variant, shown.kept.wishes.changes, shown.kept.wishes.file));
  window.addEventListener("beforeprint", toPaper);
  window.addEventListener("hashchange", () => beginLinked() || address());
  for (const link of document.querySelectorAll(".jumps a"))
    link.addEventListener("click", (event) => {
      event.preventDefault(); // what stands behind # is the link to these settings
      const place = document.querySelector(link.hash);
      const fold = place.closest("details");
      if (fold) fold.open = true;
      place.scrollIntoView();
      place.tabIndex = -1;
      place.focus({ preventScroll: true });
    });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") choose([]);
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text]")) return;
    const way = event.key.toLowerCase() === "y" || (event.shiftKey && event.key.toLowerCase() === "z") ? "redo" : event.key.toLowerCase() === "z" ? "undo" : "";
    if (way) event.preventDefault(), wishes[way]();
  });
}

async function begin() {
  known = await start();
  at("version").textContent = known.version;
  at("figures").textContent = `Figures of costs and price: ${known.figures}.`;
  at("variant").append(make("option", { value: "", textContent: "your file", hidden: true }),
    ...known.variants.map((one) => make("option", { value: one.variant, textContent: one.title })));
  controls = new Controls({ dozen: at("dozen"), folds: at("controls"), others: [[at("look").closest(".control"), "finish shown paint oil stain colour picture"]] }, known.groups, wishes, known.stocks, desk.tracks);
  for (const name of [...Object.keys(known.pictures.finishes), "weathered"])
    at("look").append(make("option", { value: name, textContent: name.replaceAll("-", " ") }));
  viewer = madeViewer();
  outdate = wireDownloads(known, judged, named);
  wireShelf(shelfNow, named, ({ variant, changes, file }) => wishes.begin(variant, changes, file), say);
  lookAtSizes = wireSizes(judged, () => ({ wishes: wishes.now, title: shown.design?.title, units: shown.design?.units, values: shown.design?.values }), wishes);
  listen();
  beside().then((bytes) => viewer.putBeside(bytes), () => {}); // without it the box stands alone
  if (!beginLinked()) wishes.begin(FIRST);
}

/** Begin from the settings in the address; returns whether it holds any. */
function beginLinked() {
  const linked = wishesOf(location.hash);
  if (linked && wishes.recall(location.hash)) shown.kept = wishes.kept && new Kept(wishes.kept, showFacts);
  else if (linked) wishes.begin(linked.variant, linked.changes, linked.file);
  return linked !== null;
}

begin();
