/** `<working-sheet>`: the calculation, line by line - what, with which inputs, by which formula, how much, after whom. */

import { el, quantity } from "/js/dom.js";
import { design as words } from "/js/words.js";

/**
 * @typedef {{item: string, formula: string, inputs: string[], value: string, unit: string, source: string,
 *   sum: boolean}} SheetLine
 */

export class WorkingSheet extends HTMLElement {
  /** @param {{lines: SheetLine[], caption: string}} value */
  set value({ lines, caption }) {
    // On a phone the cells stand under one another, which takes a table's meaning from it: the roles give it back.
    this.replaceChildren(
      el(
        "table",
        { role: "table" },
        el("caption", {}, caption),
        el("thead", { role: "rowgroup" }, el("tr", { role: "row" }, ...words.columns.map((head) => el("th", { scope: "col", role: "columnheader" }, head)))),
        el("tbody", { role: "rowgroup" }, ...lines.map(line)),
      ),
    );
  }
}

/** @param {SheetLine} line */
function line({ item, formula, inputs, value, unit, source, sum }) {
  return el(
    "tr",
    { role: "row", class: sum ? "sum" : null },
    el("th", { scope: "row", role: "rowheader" }, item),
    el("td", { class: "by", role: "cell" }, el("span", { class: "formula" }, formula), el("span", { class: "inputs" }, inputs.join("; "))),
    el("td", { class: "value", role: "cell" }, quantity(value, unit)),
    el("td", { class: "source", role: "cell" }, source),
  );
}

customElements.define("working-sheet", WorkingSheet);
