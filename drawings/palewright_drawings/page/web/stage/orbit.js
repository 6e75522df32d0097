// Where the eye is: turned by dragging, nearer by wheel or pinch, all of it by keys too.

const KEYS = {
  ArrowLeft: [-0.12, 0, 1], ArrowRight: [0.12, 0, 1], ArrowUp: [0, 0.1, 1], ArrowDown: [0, -0.1, 1],
  "+": [0, 0, 0.9], "=": [0, 0, 0.9], "-": [0, 0, 1.1],
};
const CLICK = 5;

export class Orbit {
  /** Listens on an element; `changed` draws, `clicked(x, y)` gets clicks and taps in pixels. */
  constructor(element, changed, clicked) {
    Object.assign(this, { changed, clicked, around: -0.75, above: 0.42, near: 1 });
    this.pointers = new Map();
    this.moved = 0;
    element.addEventListener("pointerdown", (event) => {
      element.setPointerCapture(event.pointerId);
      if (!this.pointers.size) this.moved = 0;
      this.pointers.set(event.pointerId, [event.clientX, event.clientY]);
    });
    element.addEventListener("pointermove", (event) => this.#move(event));
    const up = (event) => {
      if (!this.pointers.delete(event.pointerId)) return;
      if (event.type === "pointerup" && this.moved < CLICK && !this.pointers.size)
        this.clicked(event.clientX, event.clientY);
    };
    element.addEventListener("pointerup", up);
    element.addEventListener("pointercancel", up);
    element.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.turn(0, 0, Math.exp(event.deltaY * 0.001));
    }, { passive: false });
    element.addEventListener("keydown", (event) => {
      if (!KEYS[event.key] || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      this.turn(...KEYS[event.key]);
    });
  }

  turn(around, above, nearer) {
    this.around += around;
    this.above = Math.min(1.5, Math.max(-0.6, this.above + above));
    this.near = Math.min(3, Math.max(0.25, this.near * nearer));
    this.changed();
  }

  #move(event) {
    const last = this.pointers.get(event.pointerId);
    if (!last) return;
    const [dx, dy] = [event.clientX - last[0], event.clientY - last[1]];
    const before = this.#spread();
    this.pointers.set(event.pointerId, [event.clientX, event.clientY]);
    this.moved += Math.abs(dx) + Math.abs(dy);
    if (this.pointers.size > 1) this.turn(0, 0, before / Math.max(1, this.#spread()));
    else this.turn(-dx * 0.008, dy * 0.008, 1);
  }

  #spread() {
    const [a, b] = [...this.pointers.values()];
    return b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 1;
  }
}
