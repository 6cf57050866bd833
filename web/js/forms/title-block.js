/** `<title-block>`: the foot of a drawing - which sheet this is, of what, as of when, and in what state the system is. */

import { el, say } from "/js/dom.js";

/** @typedef {{term: string, text: string, attention?: boolean}} Cell */

export class TitleBlock extends HTMLElement {
  #terms = "";

  /** @param {Cell[]} cells */
  set value(cells) {
    const terms = cells.map(({ term }) => term).join();
    if (terms !== this.#terms) {
      this.#terms = terms;
      this.replaceChildren(el("dl", {}, ...cells.map(({ term }) => el("div", {}, el("dt", {}, term), el("dd")))));
    }
    this.querySelectorAll("dd").forEach((node, index) => {
      say(node, cells[index].text);
      node.classList.toggle("attention", Boolean(cells[index].attention));
    });
  }
}

customElements.define("title-block", TitleBlock);
