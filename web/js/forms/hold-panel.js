/**
 * `<hold-panel>`: the second of the two steps of an override - until when? - with the temperature still to be nudged.
 *
 * Choosing an end sends at once. Escape, or "leave as it is", closes without asking anything of ingle.
 */

import { el, quantity, say } from "/js/dom.js";
import { act, units } from "/js/words.js";

/** What a house file and a request allow [°C]. */
const [LEAST_C, MOST_C] = [1, 35];
const STEP_C = 0.5;

/**
 * @typedef {{label: string, hint: string, span: {for: string} | {until: string}}} End
 * @typedef {{
 *   zone: string, tempC: number, ends: End[], format: (celsius: number) => string,
 *   changed: (tempC: number) => void, hold: (tempC: number, span: End["span"]) => void, close: () => void,
 * }} HoldValue
 */

export class HoldPanel extends HTMLElement {
  #temp = el("output", { class: "hold-temp" });
  #error = el("p", { class: "note", role: "alert", hidden: true });
  tempC = 0;

  /** @param {HoldValue} value */
  set value(value) {
    this.tempC = value.tempC;
    this.setAttribute("role", "group");
    this.setAttribute("aria-label", act.panel(value.zone));
    this.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.stopPropagation();
      value.close();
    });
    this.replaceChildren(this.#nudger(value), this.#ends(value), this.#error);
    this.#show(value);
  }

  /** Put the keyboard on the first end: Enter on "warmer", Enter here, and the room is held. */
  enter() {
    /** @type {HTMLElement | null} */ (this.querySelector(".ends button"))?.focus();
  }

  /** @param {string} text */
  set problem(text) {
    this.busy = false;
    this.#error.hidden = !text;
    say(this.#error, text);
  }

  /** @param {boolean} busy */
  set busy(busy) {
    for (const button of this.querySelectorAll("button")) button.setAttribute("aria-disabled", String(busy));
    this.classList.toggle("busy", busy);
  }

  /** @param {HoldValue} value */
  #nudger(value) {
    const by = (/** @type {number} */ step) => () => {
      this.tempC = Math.min(MOST_C, Math.max(LEAST_C, Math.round((this.tempC + step) / STEP_C) * STEP_C));
      this.#show(value);
      value.changed(this.tempC);
    };
    return el(
      "div",
      { class: "nudge" },
      el("button", { type: "button", "aria-label": act.less, click: by(-STEP_C) }, "−"),
      this.#temp,
      el("button", { type: "button", "aria-label": act.more, click: by(STEP_C) }, "+"),
    );
  }

  /** @param {HoldValue} value */
  #ends(value) {
    const end = (/** @type {End} */ { label, hint, span }) =>
      el(
        "button",
        { type: "button", click: () => this.classList.contains("busy") || value.hold(this.tempC, span) },
        label,
        hint && el("span", { class: "hint" }, hint),
      );
    return el(
      "div",
      { class: "ends" },
      ...value.ends.map(end),
      el("button", { type: "button", class: "quiet", click: () => value.close() }, act.close),
    );
  }

  /** @param {HoldValue} value */
  #show({ format }) {
    this.#temp.replaceChildren(quantity(format(this.tempC), units.celsius));
  }
}

customElements.define("hold-panel", HoldPanel);
