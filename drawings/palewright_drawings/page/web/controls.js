// Controls made from the tool's own description of each setting.

import { make, put, putAttribute } from "./elements.js";
import { lengthText, shopStep, withUnit } from "./lengths.js";

const PAUSE = 700; // ms after which the next stroke of a key is a step of its own

/** All controls of the page, by group. */
export class Controls {
  /** `stocks` says in words what each stock is. */
  constructor(place, groups, wishes, stocks) {
    this.wishes = wishes;
    this.stocks = stocks;
    this.byKey = new Map();
    this.units = "inch";
    groups.forEach((group, i) => {
      const box = make("details", { open: i === 0, className: "group" });
      box.append(make("summary", { textContent: group.heading }));
      for (const one of group.controls) box.append(this.#control(one));
      place.append(box);
    });
  }

  #control(one) {
    const id = `set-${one.key}`;
    const row = make("div", { className: "control" });
    const label = make("label", { htmlFor: id, textContent: one.label });
    const hint = make("small", { id: `${id}-hint`, textContent: one.meaning });
    const back = make("button", { type: "button", className: "back", textContent: "reset", hidden: true });
    back.setAttribute("aria-label", `reset ${one.label}`);
    back.addEventListener("click", () => this.wishes.drop(one.key));
    const entry = this.#entry(one, id);
    entry.setAttribute("aria-describedby", hint.id);
    row.append(make("div", { className: "head" }, label, back), hint);
    const control = { one, row, back, entry, slider: null };
    const line = make("div", { className: "line" });
    if (one.kind === "length") {
      control.slider = this.#slider(one, entry);
      line.append(control.slider);
    }
    line.append(entry);
    row.append(line, make("p", { className: "wrong", id: `${id}-wrong`, hidden: true }));
    this.byKey.set(one.key, control);
    return row;
  }

  #entry(one, id) {
    const set = (value) => this.wishes.set({ [one.key]: value });
    if (one.kind === "yes or no") {
      const box = make("input", { type: "checkbox", id });
      box.addEventListener("change", () => set(box.checked));
      return box;
    }
    if (one.kind === "choice" && one.among.length) {
      const list = make("select", { id });
      for (const word of one.among) list.append(this.#option(word));
      list.addEventListener("change", () => set(list.value));
      return list;
    }
    const field = make("input", { type: "text", id, autocomplete: "off", spellcheck: false });
    field.addEventListener("change", () => {
      if (one.kind === "length") set(withUnit(field.value, this.units));
      else if (one.kind === "count" || one.kind === "number") set(plainNumber(field.value));
      else set(field.value);
    });
    return field;
  }

  #option(word) {
    return make("option", { value: word, textContent: this.stocks[word] ? `${word}: ${this.stocks[word]}` : word });
  }

  #slider(one) {
    const slider = make("input", { type: "range", min: one.low, max: one.high, step: "any" });
    slider.setAttribute("aria-label", `${one.label}, slider`);
    slider.tabIndex = 0;
    slider.addEventListener("input", () => {
      const step = shopStep(this.units);
      const mm = Math.min(one.high, Math.max(one.low, Math.round(slider.valueAsNumber / step) * step));
      const text = lengthText(mm, this.units);
      this.byKey.get(one.key).entry.value = text;
      slider.setAttribute("aria-valuetext", text);
      this.wishes.set({ [one.key]: text }, one.key);
    });
    slider.addEventListener("change", () => this.wishes.endGesture());
    slider.addEventListener("blur", () => this.wishes.endGesture());
    this.#nudges(slider);
    return slider;
  }

  /** Strokes of one arrow key are one step back, until a pause or another key. */
  #nudges(slider) {
    let last = "";
    let pause = 0;
    slider.addEventListener("keydown", (event) => {
      clearTimeout(pause); // a key that is held down pauses nowhere
      if (event.key !== last) this.wishes.endGesture();
      last = event.key;
      this.#nudge(event, slider);
    });
    slider.addEventListener("keyup", () => {
      clearTimeout(pause);
      pause = setTimeout(() => this.wishes.endGesture(), PAUSE);
    });
  }

  /** Arrow keys go by the shop's step, with Shift by eight of them. */
  #nudge(event, slider) {
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    slider.valueAsNumber += way * shopStep(this.units) * (event.shiftKey ? 8 : 1);
    slider.dispatchEvent(new Event("input"));
  }

  /** Show what a design's values are, all but the field that is being typed in. */
  show(values, changes, units) {
    this.units = units;
    for (const [key, control] of this.byKey) {
      if (this.wishes.now.changes[key] !== changes[key]) continue; // set anew since: what stands there is newer
      const [table, name] = key.split(".");
      const value = values[table]?.[name];
      put(control.back, { hidden: !(key in changes) });
      this.#wrong(control, "");
      if (control.one.kind === "yes or no") put(control.entry, { checked: value });
      else if (control.entry.tagName === "SELECT") this.#choose(control.entry, value ?? "");
      else if (document.activeElement !== control.entry)
        put(control.entry, { value: String(value?.text ?? value ?? "") });
      if (control.slider && document.activeElement !== control.slider) {
        // a range that reaches far beyond the value makes a slider useless: three times is plenty
        const mm = value?.mm ?? control.one.low;
        put(control.slider, {
          max: String(Math.min(control.one.high, Math.max(3 * mm, 3 * control.one.low, 50.8))),
          valueAsNumber: mm,
        });
        putAttribute(control.slider, "aria-valuetext", value?.text ?? "auto");
      }
    }
  }

  /** Choose in a list; a name of the maker's own file is added to it. */
  #choose(list, value) {
    if (list.value === value) return;
    if (![...list.options].some((one) => one.value === value)) list.append(this.#option(value));
    list.value = value;
  }

  /** Show a complaint at its control; returns whether there is such a control. */
  complain(key, message) {
    const control = this.byKey.get(key);
    if (!control) return false;
    this.#wrong(control, message);
    return true;
  }

  #wrong(control, message) {
    const told = control.row.querySelector(".wrong");
    put(told, { textContent: message, hidden: !message });
    putAttribute(control.entry, "aria-invalid", message ? "true" : "false");
    const hint = `set-${control.one.key}-hint`;
    putAttribute(control.entry, "aria-describedby", message ? `${hint} ${told.id}` : hint);
  }
}

const plainNumber = (text) => (text.trim() !== "" && isFinite(text) ? Number(text) : text);
