// At a glance: the box in a dozen numbers, beside those of one that was kept to compare.

import { make, words } from "./elements.js";

const count = (findings, severity) => findings.filter((one) => one.severity === severity).length;

/** The facts as pairs of name and text; `plan` may still be missing. */
export function factsOf(design, full, plan) {
  const { findings, passed } = full || design;
  const { facts } = design;
  const coins = plan?.price.currency;
  // a first figure is marked: the plan that is cheapest at the saw is still sought
  const sure = plan?.price.settled ? "" : plan?.unsettled ? ", not settled" : ", first figure";
  const told = (text) => (plan ? text() : "…");
  return [
    ["fit", passed ? "fits" : "does not fit"],
    ["faults · warnings", `${count(findings, "fault")} · ${count(findings, "warning")}`],
    ["outside", facts.size.replaceAll(" x ", " × ")],
    ["holds", facts.holds],
    ["boards to buy", told(() => boardsText(plan))],
    ["wood used", told(() => `${Math.round(plan.yield * 100)} %`)],
    ["pieces", String(facts.boards)],
    ["screws", String(facts.screws)],
    ["empty weight", facts.mass],
    ["filled, watered", facts.filled || "holds no soil"],
    ["saw settings", told(() => String(plan.setups.count))],
    ["costs", told(() => `${plan.price.cost} ${coins}${sure}`)],
    ["ask", told(() => `${plan.price.ask} ${coins}${sure}`)],
  ];
}

/** How many boards, and how sure that is. */
export function boardsText(plan) {
  if (plan.fewest < plan.boards) return `${plan.boards}, less saw work than ${plan.fewest}`;
  if (plan.proven) return `${plan.boards}, proven least`;
  return plan.first ? `${plan.boards}, proof follows` : `${plan.boards}, at least ${plan.lower_bound}`;
}

/** Rows of the table; `kept` is what `factsOf` gave before, or null. */
export function factRows(facts, kept) {
  return facts.map(([name, value], i) => {
    const row = make("tr", {}, make("th", { scope: "row", textContent: name }), make("td", {}, ...words(value)));
    if (kept) {
      const other = kept[i][1] !== value && value !== "…";
      row.append(make("td", {}, ...words(kept[i][1])));
      row.className = other ? "other" : "";
    }
    return row;
  });
}
