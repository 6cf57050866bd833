/**
 * `<use-bars>`: who used how much, largest first, as bars on one scale; a row opens what it is made of. Under the bars
 * stand the lines that lead to the sum, in the same columns, so that the sheet adds up from top to bottom.
 */

import { el, quantity, svg } from "/js/dom.js";
import { heatHatch, lossHatch } from "/js/forms/hatch.js";

/**
 * @typedef {import("/js/api.js").Quality} Quality
 * @typedef {{name: string, length: number | null, kwh: string, money: string, quality: Quality | null, said: string,
 *   more: (() => Node) | null, place: string, mark?: number | null}} UseRow `length`: of the longest bar; null where
 *   nothing is known; `mark`: a stroke to set it against
 * @typedef {{name: string, hint: string, kwh: string, money: string, sum: boolean}} SumRow
 * @typedef {{rows: UseRow[], sums: SumRow[], unit: string, heads: string[]}} UseValue
 */

const HEIGHT = 14;

export class UseBars extends HTMLElement {
  /** @param {UseValue} value */
  set value({ rows, sums, unit, heads }) {
    const [who, energy, money] = heads;
    this.replaceChildren(
      el("div", { class: "use-line heads", "aria-hidden": "true" }, el("span", { class: "what" }, who), el("span", { class: "kwh" }, energy), el("span", { class: "money" }, money)),
      el("ol", {}, ...rows.map((row) => el("li", {}, item(row, unit)))),
      el("dl", { class: "sums" }, ...sums.map((row) => sum(row, unit))),
    );
  }
}

/**
 * @param {UseRow} row
 * @param {string} unit
 */
function item(row, unit) {
  if (!row.more) return el("div", { class: "use-line" }, ...cells(row, unit));
  const more = row.more;
  const lines = el("div", { class: "lines" });
  const fill = () => lines.firstChild || lines.append(more());
  return el(
    "details",
    { "data-place": row.place, toggle: fill },
    el("summary", { class: "use-line" }, ...cells(row, unit)),
    lines,
  );
}

/**
 * @param {UseRow} row
 * @param {string} unit
 */
function cells({ name, length, kwh, money, quality, said, mark = null }, unit) {
  return [
    el("span", { class: "what" }, name),
    bar(length, quality, mark),
    el("span", { class: "kwh" }, kwh ? quantity(kwh, unit) : ""),
    el("span", { class: "money" }, money),
    el("span", { class: "said" }, said),
  ];
}

/**
 * A bar as long as what was used, drawn after how it is known.
 *
 * @param {number | null} length
 * @param {Quality | null} quality
 * @param {number | null} mark
 */
function bar(length, quality, mark) {
  const width = length === null ? "100%" : `${(100 * length).toFixed(1)}%`;
  const box = { x: 0.5, y: 0.5, width, height: HEIGHT - 1 };
  return svg(
    "svg",
    { class: "use-bar", width: "100%", height: HEIGHT, "aria-hidden": "true", focusable: "false" },
    length === null ? svg("line", { class: "used is-unknown", x1: 0, x2: "100%", y1: HEIGHT / 2, y2: HEIGHT / 2 }) : svg("rect", usedAs(quality, box)),
    mark !== null && svg("line", { class: "mark", x1: `${100 * mark}%`, x2: `${100 * mark}%`, y1: -3, y2: HEIGHT + 3 }),
  );
}

/**
 * The look of an amount by how it is known: metered is hatched, estimated thinly hatched within a broken line, filled
 * hollow.
 *
 * @param {Quality | null} quality
 * @param {Record<string, string | number>} box
 */
export function usedAs(quality, box) {
  const hollow = quality === "filled" || quality === "stale";
  const fill = hollow ? "none" : quality === "estimated" ? lossHatch(1) : heatHatch();
  return { class: `used is-${quality ?? "unknown"}`, fill, ...box };
}

/**
 * @param {SumRow} row
 * @param {string} unit
 */
function sum({ name, hint, kwh, money, sum }, unit) {
  return el(
    "div",
    { class: sum ? "use-line total" : "use-line" },
    el("dt", { class: "what" }, name, hint && el("span", { class: "hint" }, hint)),
    el("dd", { class: "kwh" }, kwh ? quantity(kwh, unit) : ""),
    el("dd", { class: "money" }, money),
  );
}

customElements.define("use-bars", UseBars);
