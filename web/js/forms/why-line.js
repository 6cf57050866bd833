/**
 * `<why-line>`: one sentence under each thing that acts - what rules now, until when, what comes next - always there;
 * it opens the full explanation. Notices of the same thing stand before it as margin notes.
 *
 * What stands behind the sentence in full is asked for when it is opened (`prove`), and again when the sentence changes
 * meanwhile: a cap that no longer binds is no longer the reason.
 */

import { el, say } from "/js/dom.js";

/**
 * @typedef {{head: string, body: string, urgent: boolean}} Note
 * @typedef {{term: string, text: string}} Fact
 * @typedef {{caption: string, columns: string[], rows: string[][]}} Table
 * @typedef {{sentence: string, notes: Note[], facts: Fact[], table: Table | null, more: string}} WhyValue
 */

export class WhyLine extends HTMLElement {
  /** @type {((hours: number) => Promise<Node>) | null} */
  prove = null;
  #back = 0; // of how many hours ago the proof that is shown is
  #drawn = "";
  #said = "";
  #asked = 0;
  #proof = el("div", { class: "proofs", "aria-live": "polite" });
  #notes = el("div", { class: "notes" });
  #sentence = el("span", { class: "sentence" });
  #more = el("span", { class: "more" });
  #button = el(
    "button",
    { type: "button", "aria-expanded": "false", click: () => this.#open(this.#full.hidden) },
    this.#sentence,
    " ",
    this.#more,
  );
  #full = el("div", { class: "full", hidden: true });

  connectedCallback() {
    if (this.firstChild) return;
    // Two parts, not one: on a wide sheet the explanation opens under the whole row, not inside a narrow column.
    this.append(el("div", { class: "told" }, this.#notes, this.#button), this.#full);
    this.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || this.#full.hidden) return;
      event.stopPropagation();
      this.#open(false);
      this.#button.focus();
    });
  }

  /** @param {boolean} open */
  #open(open) {
    this.#full.hidden = !open;
    this.#button.setAttribute("aria-expanded", String(open));
    if (open) this.ask(0);
  }

  /**
   * Ask for the proof of some hours ago, and show the newest answer only.
   *
   * @param {number} hours
   */
  async ask(hours) {
    if (!this.prove) return;
    this.#back = hours;
    const turn = ++this.#asked;
    const node = await this.prove(hours);
    if (turn !== this.#asked) return;
    const pressed = this.#proof.contains(document.activeElement);
    this.#proof.replaceChildren(node);
    if (pressed) /** @type {HTMLElement | null} */ (this.#proof.querySelector("[aria-pressed=true]"))?.focus();
  }

  /** @param {WhyValue} value */
  set value(value) {
    const drawn = JSON.stringify(value);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    say(this.#sentence, value.sentence);
    say(this.#more, value.more);
    this.#notes.replaceChildren(...value.notes.map(marginNote));
    this.#full.replaceChildren(this.#proof, facts(value.facts), ...(value.table ? [table(value.table)] : []));
    if (this.#said !== value.sentence && !this.#full.hidden && this.#back === 0) this.ask(0);
    this.#said = value.sentence;
  }
}

/**
 * A caution in words with a ruled left edge.
 *
 * @param {Note} note
 * @returns {HTMLElement}
 */
export function marginNote({ head, body, urgent }) {
  return el("p", { class: urgent ? "note urgent" : "note" }, el("strong", {}, head), " ", body);
}

/**
 * @param {Table} value
 * @returns {HTMLElement}
 */
export function table({ caption, columns, rows }) {
  return el(
    "div",
    { class: "scroll", tabindex: 0, role: "region", "aria-label": caption },
    el(
      "table",
      {},
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, ...columns.map((column) => el("th", { scope: "col" }, column)))),
      el("tbody", {}, ...rows.map(([head, ...cells]) => row(head, cells))),
    ),
  );
}

/**
 * @param {string} head
 * @param {string[]} cells
 */
function row(head, cells) {
  return el("tr", {}, el("th", { scope: "row" }, head), ...cells.map((cell) => el("td", {}, cell)));
}

/** @param {Fact[]} list */
function facts(list) {
  return el("dl", { class: "facts" }, ...list.map(({ term, text }) => el("div", {}, el("dt", {}, term), el("dd", {}, text))));
}

customElements.define("why-line", WhyLine);
