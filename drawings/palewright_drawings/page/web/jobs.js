// A long job in the page: what is being done, how far it is, and a button that stops it.

import { make } from "./elements.js";
import { askTold } from "./server.js";

export class Job {
  /** `place` is an element that shows the job while it runs, and its last word afterwards. */
  constructor(place, name) {
    this.place = place;
    this.under = null;
    this.asked = false; // whether what it makes is settled
    this.text = make("p");
    this.text.setAttribute("role", "status");
    this.bar = make("progress", { max: 1, value: 0 });
    this.bar.setAttribute("aria-label", name);
    this.stop = make("button", { type: "button", textContent: "Stop" });
    this.stop.setAttribute("aria-label", `stop: ${name}`);
    this.stop.addEventListener("click", () => this.under?.abort());
    place.classList.add("job");
    place.append(this.text, make("div", { className: "row" }, this.bar, this.stop));
    this.#running(false);
  }

  get busy() {
    return this.under !== null;
  }

  /** Ends a job of which the settings changed, in these words; one that still waits for them goes on. */
  outdate(words) {
    if (this.asked) this.under?.abort(words);
  }

  /**
   * Runs a job; a second one ends the first. `settle` gives the request once it is settled, or null
   * to call it off; `part` hears what is found on the way. Returns the Blob that was made, or null where it came to nothing.
   */
  async run(task, settle, done, part) {
    this.under?.abort();
    const mine = (this.under = new AbortController());
    this.asked = false;
    this.#running(true);
    this.#tell("begins", 0);
    try {
      const request = await unlessAborted(settle(), mine.signal);
      if (!request) return (this.text.textContent = "Not made."), null;
      this.asked = true;
      const found = await askTold(task, request, mine.signal, (said) => (said.part ? part(said.part) : this.#tell(said.doing, said.done / said.total)));
      if (this.under === mine) this.text.textContent = done;
      return found;
    } catch (error) {
      if (this.under === mine) this.text.textContent = mine.signal.aborted ? saidOf(mine.signal) : (error.told ?? error.message);
      return null;
    } finally {
      if (this.under === mine) {
        this.under = null;
        this.#running(false);
      }
    }
  }

  /** Says how it ended. */
  say(text) {
    this.text.textContent = text;
  }

  #tell(doing, share) {
    const said = `${doing[0].toUpperCase()}${doing.slice(1)} …`;
    // a reader of the screen hears each stage once, not each step
    if (said !== this.text.textContent) this.text.textContent = said;
    this.bar.value = share;
  }

  #running(on) {
    this.bar.hidden = this.stop.hidden = !on;
    this.place.hidden = !on && !this.text.textContent;
  }
}

const saidOf = ({ reason }) => (typeof reason === "string" ? reason : "Stopped.");

/** What a promise gives, unless it is given up before. */
const unlessAborted = (promise, signal) =>
  Promise.race([promise, new Promise((_, no) => signal.addEventListener("abort", () => no(signal.reason)))]);
