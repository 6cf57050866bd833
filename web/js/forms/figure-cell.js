/** A figure with its name above and, where there is more to say, a hint beneath: a cell of a sheet's row of figures. */

import { el } from "/js/dom.js";

/**
 * @param {string} term
 * @param {Node | string} figure
 * @param {string} [hint]
 */
export function cell(term, figure, hint = "") {
  return el("div", {}, el("dt", {}, term), el("dd", {}, figure, hint && el("span", { class: "hint" }, hint)));
}
