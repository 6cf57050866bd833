/**
 * `<heat-shares>`: the parts of a loss, largest first, as bars on one scale; each opens the lines that work it out.
 */

import { el, quantity, svg } from "/js/dom.js";
import { gainHatch, lossHatch } from "/js/forms/hatch.js";

/**
 * @typedef {{number: number, name: string, hint: string, share: number, ink: number, percent: string, watts: string,
 *   more: (() => Node) | null, place: string}} ShareRow
 * @typedef {{rows: ShareRow[], unit: string}} SharesValue
 */

const HEIGHT = 12;

export class HeatShares extends HTMLElement {
  /** @param {SharesValue} value */
  set value({ rows, unit }) {
    const most = Math.max(0.01, ...rows.map(({ share }) => Math.abs(share)));
    const open = new Set([...this.querySelectorAll("details[open]")].map((node) => /** @type {HTMLElement} */ (node).dataset.place));
    this.replaceChildren(el("ol", {}, ...rows.map((row) => el("li", {}, item(row, most, unit, open.has(row.place))))));
  }

  /**
   * Open a part's working and bring it into sight.
   *
   * @param {string} place
   */
  show(place) {
    const found = [...this.querySelectorAll("details")].find((node) => node.dataset.place === place);
    if (!found) return;
    found.open = true;
    found.querySelector("summary")?.focus();
  }
}

/**
 * @param {ShareRow} row
 * @param {number} most the largest share
 * @param {string} unit
 * @param {boolean} open
 */
function item(row, most, unit, open) {
  if (!row.more) return el("div", { class: "share" }, ...cells(row, most, unit));
  const more = row.more;
  const details = el(
    "details",
    { "data-place": row.place, open, toggle: () => fill(details, more) },
    el("summary", { class: "share" }, ...cells(row, most, unit)),
    el("div", { class: "lines" }),
  );
  if (open) fill(details, more);
  return details;
}

/**
 * @param {HTMLElement} details
 * @param {() => Node} more
 */
function fill(details, more) {
  const lines = details.querySelector(".lines");
  if (lines && !lines.firstChild) lines.append(more());
}

/**
 * @param {ShareRow} row
 * @param {number} most
 * @param {string} unit
 */
function cells({ number, name, hint, share, ink, percent, watts }, most, unit) {
  return [
    el("span", { class: "no" }, `${number}`),
    el("span", { class: "what" }, name, hint && el("span", { class: "hint" }, hint)),
    bar(share / most, ink),
    el("span", { class: "part" }, percent),
    el("span", { class: "watts" }, quantity(watts, unit)),
  ];
}

/**
 * @param {number} length of the longest
 * @param {number} ink
 */
function bar(length, ink) {
  const width = `${(100 * Math.abs(length)).toFixed(1)}%`;
  const fill = ink < 0 ? gainHatch() : ink > 0 ? lossHatch(ink) : null;
  return svg(
    "svg",
    { class: "share-bar", width: "100%", height: HEIGHT, "aria-hidden": "true", focusable: "false" },
    svg("rect", { class: ink < 0 ? "surface gain" : "surface", x: 0.5, y: 0.5, width, height: HEIGHT - 1, fill }),
  );
}

customElements.define("heat-shares", HeatShares);
