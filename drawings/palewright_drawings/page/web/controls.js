// Controls made from the tool's own description of each setting: the dozen of every day, and all others behind a search.

import { make, put, putAttribute } from "./elements.js";
import { withUnit } from "./lengths.js";
import { LengthSlider } from "./sliders.js";
import { knownAt } from "./stage/tracks.js";

const TURNS = { "tree.stand_diameter": "tree", "trellis.fit": "planter" }; // of one place in the dozen
const STILL = 200; // ms without a change before a field is written to
const spoken = (word) => word.replaceAll("-", " ");

/** All controls of the page. */
export class Controls {
  /**
   * `dozen` takes the controls that come first, `folds` all others by group; `stocks` says what each stock is, and
   * `others` are rows that are found by their words: pairs of an element and text; `tracks` know what lies along a length.
   */
  constructor({ dozen, folds, others }, groups, wishes, stocks, tracks) {
    Object.assign(this, { wishes, stocks, others, folds, tracks, byKey: new Map(), units: "inch", kind: "", query: "", near: null });
    tracks.listen(() => this.#tellKnown());
    const rows = [];
    for (const group of groups) {
      const box = make("details", { className: "group" }, make("summary", { textContent: group.heading }));
      for (const one of group.controls) {
        const row = this.#control(one);
        if (one.first === null) box.append(row);
        else rows[one.first] = row;
      }
      if (box.childElementCount > 1) folds.append(box);
    }
    for (const row of rows) row.classList.add("first");
    dozen.append(...rows);
  }

  #control(one) {
    const id = `set-${one.key}`;
    const row = make("div", { className: "control" });
    const label = make("label", { htmlFor: id, textContent: one.label, title: one.key });
    const number = make("b", { className: "auto" });
    const hint = make("small", { id: `${id}-hint` }, make("code", { textContent: one.key }), " ", number, one.meaning);
    const back = make("button", { type: "button", className: "back", textContent: "reset", hidden: true });
    back.setAttribute("aria-label", `reset ${one.label}`);
    back.addEventListener("click", () => this.wishes.drop(one.key));
    const entry = this.#entry(one, id);
    entry.setAttribute("aria-describedby", hint.id);
    const known = make("span", { className: "along" });
    row.append(make("div", { className: "head" }, label, back), hint);
    const moving = make("span", { className: "moving", hidden: true, ariaHidden: "true" });
    const control = { one, row, back, entry, number, known, moving, timer: 0, slider: null, caption: null };
    const line = make("div", { className: "line" });
    if (one.kind === "length") {
      const moved = (text) => { this.#write(control, text); this.wishes.set({ [one.key]: text }, one.key); this.#tellKnown(); };
      control.slider = new LengthSlider(one, () => this.units, moved, () => { this.wishes.endGesture(); this.#settle(control); });
      if (one.shapes) this.#watch(control);
      line.append(control.slider.track);
    }
    line.append(entry, moving, known);
    entry.addEventListener("focus", () => this.#settle(control));
    row.append(line);
    if (one.among.some((word) => this.stocks[word])) row.append((control.caption = make("p", { className: "caption" })));
    row.append(make("p", { className: "wrong", id: `${id}-wrong`, hidden: true }));
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

  /**
   * Writes a text into a field; while a hand drags, shows it over the field and writes it once nothing moves: at each text that a
   * program writes into a field a browser reads all fields of the page anew, to fill them in, which takes 40 ms of a processor.
   */
  #write(control, text) {
    const { entry, moving, slider } = control;
    clearTimeout(control.timer);
    put(moving, { textContent: text, hidden: !slider || !this.wishes.gesture || entry.value === text });
    if (moving.hidden) put(entry, { value: text });
    else control.timer = setTimeout(() => this.#settle(control), STILL);
  }

  #settle({ entry, moving, timer }) {
    clearTimeout(timer);
    if (!moving.hidden) put(entry, { value: moving.textContent });
    put(moving, { hidden: true });
  }

  /** While a hand is near a slider, what is known along it is painted there. */
  #watch(control) {
    const { one, slider } = control;
    const near = () => {
      this.#tellKnown(null);
      this.near = control;
      this.tracks.come(one.key, () => slider.drawn);
      this.#tellKnown();
    };
    const away = () => {
      if (this.near !== control || slider.track.matches(":hover, :focus-within")) return;
      this.#tellKnown(null);
      this.near = null;
      this.tracks.go(one.key);
    };
    slider.track.addEventListener("pointerenter", near);
    slider.input.addEventListener("focus", near);
    slider.track.addEventListener("pointerleave", away);
    slider.input.addEventListener("blur", away);
  }

  #tellKnown(track = this.near && this.tracks.of(this.near.one.key)) {
    if (!this.near) return;
    const { known, slider } = this.near;
    slider.paint(track);
    const told = track ? knownAt(track, slider.mm) : "";
    put(known, { textContent: told });
    slider.tell(told);
  }

  #option(word) {
    return make("option", { value: word, textContent: this.#said(word) });
  }

  /** A word of a list as it is shown: a board with its wood, size and price. */
  #said(word) {
    const stock = this.stocks[word];
    return stock ? `${stock.wood} ${stock[this.units]} · ${stock.price} ${stock.currency} (${word})` : spoken(word);
  }

  /** Show what a design's values are, all but the field that is being typed in; `autos` are numbers behind auto. */
  show(values, changes, units, autos) {
    const other = this.units !== units;
    this.units = units;
    for (const [key, control] of this.byKey) {
      const { one, entry, slider, caption } = control;
      if (caption && other) for (const option of entry.options) option.textContent = this.#said(option.value);
      if (this.wishes.now.changes[key] !== changes[key]) continue; // set anew since: what stands there is newer
      const [table, name] = key.split(".");
      const value = values[table]?.[name];
      const number = autos[key];
      put(control.back, { hidden: !(key in changes) });
      put(control.number, { textContent: number ? `auto is now ${number.text}. ` : "" });
      this.#wrong(control, "");
      if (one.kind === "yes or no") put(entry, { checked: value });
      else if (entry.tagName === "SELECT") this.#choose(entry, value ?? "");
      else if (document.activeElement !== entry) this.#write(control, String(value?.text ?? value ?? ""));
      if (caption) put(caption, { textContent: this.#caption(value) });
      if (slider) slider.drawn = value?.mm ?? number?.mm ?? one.low;
      if (slider && document.activeElement !== slider.input) slider.show(slider.drawn, value?.text ?? (number ? `auto, ${number.text}` : "auto"));
    }
    this.#tellKnown();
    if (this.kind !== values.box.kind) {
      this.kind = values.box.kind;
      this.find(this.query);
    }
  }

  #caption(word) {
    const stock = this.stocks[word];
    return stock ? `${stock[this.units]} · ${stock.price} ${stock.currency}` : "";
  }

  /** Choose in a list; a name of the maker's own file is added to it. */
  #choose(list, value) {
    if (list.value === value) return;
    if (![...list.options].some((one) => one.value === value)) list.append(this.#option(value));
    list.value = value;
  }

  /** Show what a search finds, by name, other words, key and meaning; nothing sought: the dozen, the rest folded. */
  find(query) {
    const had = this.query;
    this.query = query;
    const sought = query.toLowerCase().split(/\s+/).filter(Boolean);
    const fits = (text) => sought.every((word) => text.toLowerCase().includes(word));
    let count = 0;
    for (const [key, { one, row }] of this.byKey) {
      const found = sought.length ? fits(`${one.label} ${one.words} ${key} ${one.meaning}`) : (TURNS[key] ?? this.kind) === this.kind;
      put(row, { hidden: !found });
      count += Number(found);
    }
    for (const [row, text] of this.others) put(row, { hidden: !fits(text) });
    for (const group of this.folds.children) {
      put(group, { hidden: ![...group.querySelectorAll(".control")].some((row) => !row.hidden) });
      if (sought.length || had) group.open = sought.length > 0;
    }
    return count;
  }

  has(key) {
    return this.byKey.has(key);
  }

  /** Bring a setting's control into view, and the keyboard to it. */
  open(key) {
    const { row, entry } = this.byKey.get(key);
    this.find("");
    row.hidden = false;
    const fold = row.closest("details");
    if (fold) fold.open = true;
    row.scrollIntoView({ block: "center" });
    entry.focus();
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
