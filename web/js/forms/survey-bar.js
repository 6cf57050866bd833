/** `<survey-bar>`: what the room needs while it is being typed, how the survey stands, and the way to save it. */

import { el, quantity, say } from "/js/dom.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {{watts: string, coefficient: string, band: string, state: string, stale: boolean, canSave: boolean,
 *   busy: boolean}} BarValue
 */

export class SurveyBar extends HTMLElement {
  #figures = el("p", { class: "live" });
  #state = el("p", { class: "small", role: "status" });
  #save = el("button", { type: "button", class: "save", click: () => this.save() }, words.save);
  save = () => undefined;

  connectedCallback() {
    if (this.firstChild) return;
    this.append(this.#figures, this.#save, this.#state);
  }

  /** @param {BarValue} value */
  set value({ watts, coefficient, band, state, stale, canSave, busy }) {
    this.classList.toggle("stale", stale);
    const figures = watts ? [quantity(watts, "W"), " ", quantity(coefficient, "W/K"), el("span", { class: "hint" }, band)] : [];
    this.#figures.replaceChildren(...figures);
    this.#figures.hidden = !watts;
    say(this.#state, state);
    this.#save.hidden = !canSave;
    say(this.#save, busy ? words.saving : words.save);
    this.#save.setAttribute("aria-disabled", String(busy));
  }
}

customElements.define("survey-bar", SurveyBar);
