/** `<undo-line>`: what was just done, in words, with a way back for ten seconds. */

import { el, say } from "/js/dom.js";
import { act } from "/js/words.js";

const SECONDS = 10;

/** @typedef {{done: string, undo: () => void, gone: () => void}} UndoValue */

export class UndoLine extends HTMLElement {
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;

  /** @param {UndoValue} value */
  set value({ done, undo, gone }) {
    let left = SECONDS;
    const seconds = el("span", { class: "seconds", "aria-hidden": "true" }, act.undoSeconds(left));
    const button = el("button", { type: "button", click: undo }, act.undo, " ", seconds);
    this.replaceChildren(el("p", { role: "status" }, done), button);
    this.#timer = setInterval(() => {
      left -= 1;
      say(seconds, act.undoSeconds(left));
      if (left <= 0) gone();
    }, 1000);
  }

  /** Put the keyboard on the way back. */
  enter() {
    this.querySelector("button")?.focus();
  }

  disconnectedCallback() {
    clearInterval(this.#timer);
  }
}

customElements.define("undo-line", UndoLine);
