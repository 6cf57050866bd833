/**
 * `<working-sheet>`: the calculation, line by line - what, with which inputs, by which formula, how much, after whom.
 *
 * On paper each source is said once, under the table, so that a line of working is a line.
 */

import { el, quantity } from "/js/dom.js";
import { design as words } from "/js/words.js";

/**
 * @typedef {{item: string, formula: string, inputs: string[], value: string, unit: string, source: string,
 *   sum: boolean}} SheetLine
 */

export class WorkingSheet extends HTMLElement {
  /** @param {{lines: SheetLine[], caption: string}} value */
  set value({ lines, caption }) {
    const sources = [...new Set(lines.map(({ source }) => source))];
    // On a phone the cells stand under one another, which takes a table's meaning from it: the roles give it back.
    this.replaceChildren(
      el(
        "table",
        { role: "table" },
        el("caption", {}, caption),
        el("thead", { role: "rowgroup" }, el("tr", { role: "row" }, ...words.columns.map((head) => el("th", { scope: "col", role: "columnheader" }, head)))),
        el("tbody", { role: "rowgroup" }, ...lines.map((each) => line(each, sources.indexOf(each.source) + 1))),
      ),
      el("ol", { class: "sources", "aria-label": words.sources }, ...sources.map((source) => el("li", {}, source))),
    );
  }
}

/**
 * @param {SheetLine} line
 * @param {number} number of its source
 */
function line({ item, formula, inputs, value, unit, source, sum }, number) {
  return el(
    "tr",
    { role: "row", class: sum ? "sum" : null },
    el("th", { scope: "row", role: "rowheader" }, item),
    el("td", { class: "by", role: "cell" }, el("span", { class: "formula" }, formula), el("span", { class: "inputs" }, inputs.join("; "))),
    el("td", { class: "value", role: "cell" }, quantity(value, unit)),
    el("td", { class: "source", role: "cell" }, el("span", { class: "after" }, source), el("span", { class: "ref" }, `${number}`)),
  );
}

customElements.define("working-sheet", WorkingSheet);
