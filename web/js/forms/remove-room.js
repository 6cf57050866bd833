/** `<remove-room>`: takes a room out of the house in two presses, and says first what goes with it or stands in the way. */

import { el } from "/js/dom.js";
import { problemInWords } from "/js/present.js";
import { goesToo, leadingTo, removeZone } from "/js/removing.js";
import { design } from "/js/words.js";

/**
 * @typedef {{document: import("/js/api.js").HouseDocument, zone: {id: string, name: string},
 *   removed: (done: string, undo: () => Promise<string>) => void}} Removal
 */

const words = design.remove;

export class RemoveRoom extends HTMLElement {
  /** @type {Removal | null} */
  #value = null;

  /** @param {Removal} value */
  set value(value) {
    this.#value = value;
    this.#close();
  }

  #close() {
    this.replaceChildren(el("button", { type: "button", class: "quiet", click: () => this.#open() }, words.open));
  }

  /** @param {Node | string} [said] */
  #open(said = "") {
    if (!this.#value) return;
    const { document, zone } = this.#value;
    const leading = leadingTo(document, zone.id);
    const keep = el("button", { type: "button", class: "quiet", click: () => this.#keep() }, words.no);
    const panel = leading.length
      ? [
          el("p", {}, words.blocked(leading.length)),
          el("ul", {}, ...leading.map(({ room, name, address }) => el("li", {}, el("a", { href: address }, words.leading(name, room))))),
          keep,
        ]
      : [
          el("p", {}, words.ask(zone.name, goesToo(document, zone.id))),
          el("button", { type: "button", click: () => void this.#remove() }, words.yes),
          keep,
        ];
    this.replaceChildren(el("div", { class: "note asking", role: "group", "aria-label": words.open }, ...panel, said));
    this.querySelector("button")?.focus();
  }

  #keep() {
    this.#close();
    this.querySelector("button")?.focus();
  }

  async #remove() {
    if (!this.#value) return;
    const { zone, removed } = this.#value;
    try {
      removed(words.done(zone.name), await removeZone(zone));
    } catch (error) {
      this.#open(el("p", { role: "alert" }, problemInWords(/** @type {import("/js/api.js").Problem} */ (error))));
    }
  }
}

customElements.define("remove-room", RemoveRoom);
