/**
 * The survey of one room, filled in by stepping round it; watts and W/K follow while one types.
 *
 * Every touch is kept in this browser at once. ingle works out the house document with this room in it, stores nothing,
 * and says every fault with its place; a piece that cannot be counted yet is left out of the figure, and named. Saving
 * names the version that the survey began from: whoever changed the house meanwhile keeps that change.
 */

import "/js/forms/developed-room.js";
import "/js/forms/step-line.js";
import "/js/forms/survey-bar.js";
import "/js/forms/undo-line.js";
import { Asking } from "/js/asking.js";
import { el, say } from "/js/dom.js";
import * as drafts from "/js/draft.js";
import { sayOdd, sayWrong } from "/js/forms/survey-said.js";
import { shape, stepFields } from "/js/forms/survey-step.js";
import { marginNote } from "/js/forms/why-line.js";
import { bandInWords, shares } from "/js/losses.js";
import { conflictNote, mergeDraft, saveZone } from "/js/saving.js";
import { unfolded } from "/js/pages/design-room.js";
import { same } from "/js/merge.js";
import { problemInWords } from "/js/present.js";
import { beyonds, coolLevel, given, idOf, NEW_ZONE, remove, stepAt, stepName, stepOf, steps, withZone } from "/js/survey.js";
import { stateInWords } from "/js/trial.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/design.js").Sheet} Sheet
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/survey.js").Path} Path
 */

const w = words.survey;

export class Survey {
  #busy = false;
  #mending = false;
  #step = 0;
  #asking = new Asking(() => this.#document(), () => this.#answered(), (problem) => this.#say(problemInWords(problem)));
  #bar = /** @type {import("/js/forms/survey-bar.js").SurveyBar} */ (el("survey-bar"));
  #picture = /** @type {import("/js/forms/developed-room.js").DevelopedRoom} */ (el("developed-room"));
  #nav = /** @type {import("/js/forms/step-line.js").StepLine} */ (el("step-line"));
  #form = el("form", { novalidate: true, submit: (event) => this.#entered(event) });
  #heading = el("h1");
  #said = el("div", { class: "said-of-draft" });
  #warned = el("div", { class: "warned" });

  /**
   * @param {Sheet} sheet
   * @param {string} key a zone's id, or "new"
   * @param {{saved: (zone: string, done: string, undo: (() => Promise<string>)) => void, reload: () => Promise<Sheet | null>}} page
   */
  constructor(sheet, key, page) {
    this.sheet = sheet;
    this.page = page;
    const base = sheet.document.zone.find(({ id }) => id === key) ?? null;
    const kept = drafts.read(key);
    this.draft = kept ?? { key, base, zone: structuredClone(base ?? NEW_ZONE), at: 0 };
    if (kept && base && !same(kept.base, base)) this.#meanwhile();
    this.#bar.save = () => void this.#save();
  }

  get zone() {
    return this.draft.zone;
  }

  get name() {
    return this.zone.name || w.newRoom;
  }

  /** @returns {Node[]} */
  view() {
    const isNew = this.draft.base === null;
    return [
      el("p", { class: "back" }, el("a", { href: isNew ? "#" : `#room/${this.draft.key}` }, isNew ? w.leaveNew : w.leave)),
      this.#heading,
      this.#said,
      el("div", { class: "survey" }, el("div", { class: "seen" }, this.#picture, this.#bar, this.#warned), el("div", { class: "asked" }, this.#nav, this.#form)),
    ];
  }

  /** @param {number} step */
  show(step) {
    const all = steps(this.zone);
    this.#step = Math.min(Math.max(0, step), all.length - 1);
    this.#drawNav();
    this.#drawForm();
    this.#drawPicture();
    this.#drawBar();
    void this.#asking.now();
  }

  /** Put the keyboard on the step's heading, or on what is to be mended there. */
  enter() {
    const wrong = this.#mending ? ".wrong input, .wrong select, .missing input, .missing select" : "h2";
    const found = this.#form.querySelector(wrong) ?? this.#form.querySelector("h2");
    /** @type {HTMLElement | null} */ (found)?.focus({ preventScroll: !this.#mending });
    this.#mending = false;
  }

  /** Stop asking: the page shows something else. */
  close() {
    this.#asking.stop();
  }

  // ------------------------------------------------------------------ typing

  #touched() {
    this.draft.at = Date.now();
    drafts.keep(this.draft);
    this.#asking.soon();
    this.#drawBar();
  }

  /** The house with this room as it is typed. A new room needs an id and a name before it has them. */
  #document() {
    const taken = this.sheet.document.zone.map(({ id }) => id);
    const zone = this.draft.key === "new" ? { ...this.zone, id: idOf(this.zone.name, taken) } : this.zone;
    return { document: withZone(this.sheet.document, zone), zone };
  }

  #answered() {
    this.#drawNav();
    this.#drawFaults();
    this.#drawPicture();
    this.#drawBar();
  }

  // ------------------------------------------------------------------ drawing

  #drawForm() {
    this.#form.replaceChildren(...this.#fields());
    this.#drawFaults();
  }

  #fields() {
    const step = steps(this.zone)[this.#step];
    const hand = {
      zone: this.zone,
      cool: this.#asking.refused ?? coolLevel(this.zone, this.sheet.document.house),
      beyonds: beyonds(this.sheet.document, this.zone),
      materials: this.sheet.materials,
      touched: () => this.#touched(),
      redraw: () => this.#redraw(),
      go: (/** @type {number} */ element) => this.#goTo(element),
      take: (/** @type {number} */ element) => this.#take(element),
    };
    const fields = stepFields(hand, step).filter((node) => node !== false);
    return [el("h2", { tabindex: -1 }, stepName(this.zone, step)), ...fields, el("div", { class: "homeless" }), this.#onward()];
  }

  /**
   * Draw the step anew, the keyboard where it was - unless its fields are the same: whoever chooses by typing the first
   * letters of a choice must not lose the box after the first of them.
   */
  #redraw() {
    const { id } = /** @type {HTMLElement} */ (document.activeElement);
    const fields = this.#fields();
    if (shape(fields) !== shape(this.#form.childNodes)) this.#form.replaceChildren(...fields);
    this.#drawFaults();
    this.#drawPicture();
    if (id) document.getElementById(id)?.focus();
  }

  #onward() {
    const all = steps(this.zone);
    const back = () => this.#go(this.#step - 1);
    return el(
      "p",
      { class: "onward-line" },
      this.#step > 0 && el("button", { type: "button", class: "quiet", click: back }, w.back),
      this.#step < all.length - 1 &&
        el("button", { type: "submit", class: "onward" }, w.next(stepName(this.zone, all[this.#step + 1]))),
    );
  }

  #drawNav() {
    this.#nav.value = steps(this.zone).map((step, index) => ({
      name: stepName(this.zone, step),
      address: this.#address(index),
      here: index === this.#step,
      wrong: this.#asking.faults.filter(({ path, value }) => given(value) && stepAt(this.zone, path) === index).length,
    }));
  }

  #drawFaults() {
    sayWrong(this.#form, this.zone, this.#step, this.#asking.faults);
    sayOdd(this.#form, this.#warned, this.zone, this.#asking.design);
  }

  #drawPicture() {
    const { document, zone } = this.#document();
    const found = this.#asking.design ? shares(this.#asking.design) : [];
    const step = steps(this.zone)[this.#step];
    const shown = { id: zone.id, name: this.name, heat_loss_w: this.#asking.design?.heat_loss_w ?? 0 };
    const sheet = { ...this.sheet, document };
    const chosen = step.element === null ? null : { zone: zone.id, element: step.element, kind: this.zone.element[step.element].kind };
    const value = unfolded(sheet, shown, found, (place) => this.#picked(zone.id, place), chosen);
    this.#picture.value = { ...value, low: true };
  }

  /**
   * @param {string} id
   * @param {import("/js/forms/developed-room.js").Place} place
   */
  #picked(id, { zone, element }) {
    if (element === null) this.#go(steps(this.zone).length - 1);
    else if (zone === id) this.#go(stepOf(this.zone, element));
  }

  #drawBar() {
    say(this.#heading, w.heading(this.name));
    const { fmt } = this.sheet;
    const design = this.#asking.design;
    this.#bar.value = {
      watts: design ? fmt.watts(design.heat_loss_w) : "",
      coefficient: design ? fmt.oneDecimal(design.heat_loss_w_per_k) : "",
      band: design ? bandInWords(design, fmt) : "",
      state: stateInWords({ design, faults: this.#asking.faults, without: this.#asking.without, offline: this.#asking.offline, changed: this.#changed }),
      stale: this.#asking.offline,
      canSave: this.#changed,
      busy: this.#busy,
    };
  }

  get #changed() {
    return !same(this.zone, this.draft.base ?? NEW_ZONE);
  }

  /** @param {string} text */
  #say(text) {
    this.#said.replaceChildren(marginNote({ head: words.notice.attention, body: text, urgent: false }));
  }

  // ------------------------------------------------------------------ stepping

  /** @param {number} step */
  #address(step) {
    return `#survey/${this.draft.key}/${step + 1}`;
  }

  /** @param {number} step */
  #go(step) {
    if (this.#address(step) !== location.hash) location.hash = this.#address(step);
    else {
      this.show(step);
      this.enter();
    }
  }

  /** @param {number} element */
  #goTo(element) {
    const step = stepOf(this.zone, element);
    if (step !== this.#step) this.#go(step);
    else this.#drawForm();
    document.getElementById(`field-element-${element}-name`)?.focus();
  }

  /** @param {Event} event */
  #entered(event) {
    event.preventDefault(); // Next, or Enter in a field: on to the next step. It saves nothing.
    if (this.#step < steps(this.zone).length - 1) this.#go(this.#step + 1);
  }

  /** @param {number} element */
  #take(element) {
    const before = structuredClone(this.zone);
    const name = this.zone.element[element].name;
    remove(this.zone, element);
    this.#touched();
    this.show(Math.min(this.#step, steps(this.zone).length - 1));
    const line = /** @type {import("/js/forms/undo-line.js").UndoLine} */ (el("undo-line"));
    const undo = () => {
      this.draft.zone = before;
      line.remove();
      this.#touched();
      this.show(stepOf(before, element));
    };
    line.value = { done: w.removed(name), undo, gone: () => line.remove() };
    this.#said.replaceChildren(line);
    line.enter();
  }

  // ------------------------------------------------------------------ saving

  async #save() {
    if (this.#busy) return;
    this.#asking.refused = null;
    await this.#asking.now();
    const first = this.#asking.faults.find(({ path }) => stepAt(this.zone, path) !== null);
    if (first) {
      this.#mend(first);
      return;
    }
    if (this.#asking.faults.length || this.#asking.offline) return;
    this.#busy = true;
    this.#drawBar();
    try {
      await this.#put();
    } catch (error) {
      this.#notSaved(/** @type {import("/js/api.js").Problem} */ (error));
    }
    this.#busy = false;
    this.#drawBar();
  }

  /** @param {import("/js/trial.js").Fault} fault */
  #mend({ path }) {
    this.#mending = true;
    this.#go(stepAt(this.zone, path) ?? 0);
  }

  /** @param {import("/js/api.js").Problem} problem */
  #notSaved(problem) {
    if (this.#asking.keepRefusal(problem)) this.#mend(this.#asking.faults.at(-1) ?? { path: [], value: null, allowed: "" });
    else this.#say(problemInWords(problem));
  }

  async #put() {
    const { zone } = this.#document();
    const outcome = await saveZone(this.sheet, this.draft, zone);
    if (outcome.conflict) {
      this.sheet = (await this.page.reload()) ?? this.sheet;
      this.#meanwhile(outcome.conflict);
      this.show(this.#step);
      return;
    }
    drafts.drop(this.draft.key);
    const watts = words.withUnit(this.sheet.fmt.watts(this.#asking.design?.heat_loss_w ?? 0), words.units.watt);
    const done = outcome.who ? w.saved.doneToo(this.name, watts, outcome.who) : w.saved.done(this.name, watts);
    this.page.saved(zone.id, done, outcome.undo);
  }

  /**
   * Somebody changed this room since the survey began: their change is laid into it, and said.
   *
   * @param {{who: string, when: string}} [by]
   */
  #meanwhile(by) {
    const theirs = this.sheet.document.zone.find(({ id }) => id === this.draft.key) ?? null;
    const said = mergeDraft(this.draft, theirs);
    this.draft.at = Date.now();
    drafts.keep(this.draft);
    this.#said.replaceChildren(conflictNote(this.name, said, by));
  }
}
