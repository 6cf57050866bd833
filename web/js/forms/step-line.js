/** `<step-line>`: the steps of a survey in a row, where one is, and how many values wait to be mended on each. */

import { el } from "/js/dom.js";
import { survey as words } from "/js/words.js";

/** @typedef {{name: string, address: string, here: boolean, wrong: number}} LineStep */

export class StepLine extends HTMLElement {
  #drawn = "";

  /** @param {LineStep[]} steps */
  set value(steps) {
    const drawn = JSON.stringify(steps);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    const nav = el("nav", { class: "steps scroll", "aria-label": words.steps }, el("ol", {}, ...steps.map(item)));
    this.replaceChildren(nav);
    const here = /** @type {HTMLElement | null} */ (nav.querySelector("[aria-current]"));
    if (here) nav.scrollLeft = here.offsetLeft - nav.clientWidth / 3; // one sees that there is a step before it
  }
}

/** @param {LineStep} step */
function item({ name, address, here, wrong }) {
  const link = el("a", { href: address, "aria-current": here ? "step" : null, class: wrong ? "wrong" : null }, words.stepNamed(name, wrong));
  return el("li", {}, link);
}

customElements.define("step-line", StepLine);
