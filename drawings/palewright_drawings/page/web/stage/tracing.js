// The picture at rest, path-traced by the server where it can: laid over the stage pass by pass, given up at the next touch.

import { make } from "../elements.js";
import { askTold } from "../server.js";

const REST = 1200; // ms that nothing is touched or worked out before light is traced: it takes all processors

export class Tracing {
  /** Over the picture in `place`; `seen()` is what is looked at now, or null where nothing is to be traced. */
  constructor(place, canvas, desk, seen) {
    Object.assign(this, { place, canvas, desk, seen, under: null, timer: 0, rested: false });
    this.picture = make("img", { id: "traced", alt: "", hidden: true });
    canvas.after(this.picture);
    desk.subscribe(() => this.#look());
  }

  /** The picture rests: soon it is traced, once all that is worked out of the box is there. */
  begin() {
    this.end();
    this.timer = setTimeout(() => {
      this.rested = true;
      this.#look();
    }, REST);
  }

  async #look() {
    const view = this.rested && this.desk.settled ? this.seen() : null;
    if (!view) return;
    this.rested = false;
    const mine = (this.under = new AbortController());
    try {
      const whole = await askTold("view", { ...this.desk.request, view }, mine.signal, ({ part }) => { if (part) this.#show(bytesOf(part.webp), part.samples, mine); });
      await this.#show(whole, "all", mine);
    } catch {
      // without it the light that has settled stays
    }
  }

  async #show(content, samples, mine) {
    if (mine.signal.aborted) return;
    const next = make("img", { src: URL.createObjectURL(content) });
    await next.decode().catch(() => {});
    URL.revokeObjectURL(this.picture.src);
    if (mine.signal.aborted) return URL.revokeObjectURL(next.src);
    Object.assign(this.picture, { src: next.src, hidden: false });
    this.place.classList.add("traced");
    this.canvas.dataset.traced = samples;
  }

  /** Give it up, what is under way and what is shown. */
  end() {
    clearTimeout(this.timer);
    this.under?.abort();
    this.under = null;
    this.rested = false;
    if (this.picture.hidden) return;
    this.picture.hidden = true;
    this.place.classList.remove("traced");
    this.canvas.dataset.traced = "";
    URL.revokeObjectURL(this.picture.src);
    this.picture.removeAttribute("src");
  }
}

const bytesOf = (text) => new Blob([Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0))], { type: "image/webp" });
