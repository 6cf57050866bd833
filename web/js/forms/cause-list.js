/**
 * `<cause-list>`: what may explain a room, the likeliest first: how likely, what speaks for it and against it, what to
 * look at next on site, and what it takes in a month.
 */

import { el, svg } from "/js/dom.js";

/**
 * @typedef {{name: string, probability: number, likely: string, facts: {term: string, text: string}[]}} CauseValue
 */

const HEIGHT = 10;

export class CauseList extends HTMLElement {
  /** @param {CauseValue[]} causes */
  set value(causes) {
    this.replaceChildren(el("ol", {}, ...causes.map((cause) => el("li", {}, item(cause)))));
  }
}

/** @param {CauseValue} cause */
function item({ name, probability, likely, facts }) {
  return el(
    "article",
    {},
    el("h3", {}, name),
    el("p", { class: "likely" }, bar(probability), el("span", {}, likely)),
    el("dl", {}, ...facts.map(({ term, text }) => el("div", {}, el("dt", {}, term), el("dd", {}, text)))),
  );
}

/** @param {number} probability */
function bar(probability) {
  return svg(
    "svg",
    { class: "likely-bar", width: 96, height: HEIGHT, "aria-hidden": "true", focusable: "false" },
    svg("rect", { class: "of", x: 0.5, y: 0.5, width: 95, height: HEIGHT - 1 }),
    svg("rect", { class: "part", x: 0.5, y: 0.5, width: (95 * Math.max(0, Math.min(1, probability))).toFixed(1), height: HEIGHT - 1 }),
  );
}

customElements.define("cause-list", CauseList);
