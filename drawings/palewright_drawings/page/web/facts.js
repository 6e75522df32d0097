// At a glance: the box in a dozen numbers, beside those of one that was kept to compare.

import { make, words } from "./elements.js";

const count = (findings, severity) => findings.filter((one) => one.severity === severity).length;

const LUMBER = ["thin", "nominal", "thick", "mixed"];
const listed = (names) => [names.slice(0, -1).join(", "), names.at(-1)].filter(Boolean).join(" and ");

/** In which lumber the box fits, as a sentence; `full`: all lumber is judged. */
export function lumberText({ passed, findings, lumber }, full) {
  if (!full) return `${passed ? "Fits" : "Does not fit"} in nominal lumber, others follow.`;
  // a fault without a case is one of the cut sizes: of all lumber
  const everywhere = findings.some((one) => one.severity === "fault" && !one.case);
  const bad = LUMBER.filter((name) => everywhere || lumber.some((one) => one.case === name && one.faults));
  const good = LUMBER.filter((name) => !bad.includes(name));
  if (!bad.length) return `Fits in ${listed(good)} lumber.`;
  return `Does not fit in ${listed(bad)} lumber${good.length ? `; fits in ${listed(good)}` : ""}.`;
}

/** The facts as pairs of name and text; `plan` may still be missing, `refused`: nothing is built. */
export function factsOf(design, full, plan, refused = "") {
  if (refused) return factsOf(design, full, null).map(([name]) => [name, name === "fit" ? "cannot be built" : "–"]);
  const { findings, passed } = full || design;
  const { facts } = design;
  const coins = plan?.price.currency;
  // a first figure is marked: the plan that is cheapest at the saw is still sought
  const sure = plan?.price.settled ? "" : plan?.unsettled ? ", not settled" : ", first figure";
  const told = (text) => (plan ? text() : "…");
  return [
    ["outside", facts.size.replaceAll(" x ", " × ") + (facts.high && `, ${facts.high} high in all`)],
    ["holds", facts.holds],
    ["boards to buy", told(() => boardsText(plan))],
    ["costs", told(() => `${plan.price.cost} ${coins}${sure}`)],
    ["ask", told(() => `${plan.price.ask} ${coins}${sure}`)],
    ["empty weight", facts.mass],
    ["filled, watered", facts.filled || "holds no soil"],
    ["wood used", told(() => `${Math.round(plan.yield * 100)} %`)],
    ["pieces", String(facts.boards)],
    ["screws", String(facts.screws)],
    ["saw settings", told(() => String(plan.setups.count))],
    ["fit", passed ? "fits" : "does not fit"],
    ["faults · warnings", `${count(findings, "fault")} · ${count(findings, "warning")}`],
  ];
}

/** How many boards, and how sure that is. */
export function boardsText(plan) {
  if (plan.fewest < plan.boards) return `${plan.boards}, less saw work than ${plan.fewest}`;
  if (plan.proven) return `${plan.boards}, proven least`;
  return plan.first ? `${plan.boards}, proof follows` : `${plan.boards}, at least ${plan.lower_bound}`;
}

/** How much dearer the box is than the kept one; nothing where that is not known. */
function differenceText(name, now, kept) {
  const more = name === "costs" || name === "ask" ? parseFloat(now) - parseFloat(kept) : 0;
  return more ? ` (now ${more > 0 ? "+" : "−"}${Math.abs(more).toFixed(2)})` : "";
}

/** Rows of the table; `kept` is what `factsOf` gave before, or null. */
export function factRows(facts, kept) {
  return facts.map(([name, value], i) => {
    const row = make("tr", {}, make("th", { scope: "row", textContent: name }), make("td", {}, ...words(value)));
    if (kept) {
      const other = kept[i][1] !== value && value !== "…" && value !== "–";
      row.append(make("td", {}, ...words(kept[i][1] + differenceText(name, value, kept[i][1]))));
      row.className = other ? "other" : "";
    }
    row.classList.toggle("money", name === "costs" || name === "ask");
    return row;
  });
}
