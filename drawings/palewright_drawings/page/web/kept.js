// A box that is kept to compare. What the page did not get to know of it is asked for apart.

import { factsOf } from "./facts.js";
import { ask } from "./server.js";
import { requestOf } from "./wishes.js";

const APART = crypto.randomUUID(); // a page of its own to the server: neither ends the other's work

export class Kept {
  /** `changed` is called when more is known of the box of these wishes. */
  constructor(wishes, changed) {
    this.wishes = wishes;
    this.changed = changed;
    this.design = this.full = this.rough = this.settled = null;
    this.units = "";
    this.filling = this.failed = false;
    this.under = new AbortController();
  }

  /** Whether these wishes are of the kept box. */
  of({ variant, file, changes }) {
    return variant === this.wishes.variant && file === this.wishes.file && changes === this.wishes.changes;
  }

  /** Takes over what the page shows of the box. */
  take(design, full, rough, settled) {
    this.design = design;
    this.units = design.units;
    this.full = full || this.full;
    this.rough = rough || this.rough;
    this.settled = settled || this.settled;
  }

  /**
   * The facts as the page shows them; those of `now` give the names until the box is drawn. Like stands beside like:
   * a settled price beside a settled one, a first figure beside a first figure.
   */
  facts(now, settled) {
    if (!this.design) return now.map(([name]) => [name, this.failed ? "–" : "…"]);
    const plan = settled && (this.rough || this.settled?.layouts) ? { ...this.rough, ...this.settled } : this.rough;
    const waits = (name, value) => value === "…" || (settled && !this.settled && (name === "costs" || name === "ask"));
    return factsOf(this.design, this.full, plan).map(([name, value]) => [name, !waits(name, value) ? value : this.failed ? "–" : "…"]);
  }

  /** Asks for all that is missing, one thing after the other, in the units of the page. */
  async fill(units) {
    this.units = units;
    if (this.filling || this.failed) return;
    this.filling = true;
    try {
      for (let task = this.#missing(); task; task = this.#missing()) await this.#ask(task);
    } catch {
      this.failed = true;
    }
    this.filling = false;
    if (!this.under.signal.aborted) this.changed();
  }

  /** Asks for no more. */
  end() {
    this.under.abort();
  }

  #missing() {
    if (this.design?.units !== this.units) return "design";
    if (!this.full) return "verdict";
    if (!this.rough) return "cut";
    return this.settled ? "" : "price";
  }

  async #ask(task) {
    const request = { ...requestOf(this.wishes), page: APART };
    if (task === "design") request.changes = { ...request.changes, "product.units": this.units };
    try {
      const found = await (await ask(task, request, this.under.signal)).json();
      if (task === "design") this.design = found;
      else if (task !== this.#missing()) return; // the page came back to the box and got to know it
      else if (task === "verdict") this.full = found;
      else if (task === "cut") this.rough = found;
      else this.settled = found;
    } catch (error) {
      if (task !== "price" || this.under.signal.aborted) throw error;
      this.settled = { unsettled: true }; // the first figure stands, and says so
    }
    this.changed();
  }
}
