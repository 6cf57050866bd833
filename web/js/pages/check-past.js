/** What earlier looks found of a room: drawn and as a table, each with the design and the method it was worked out by. */

import "/js/forms/fit-plot.js";
import * as api from "/js/api-check.js";
import { el } from "/js/dom.js";
import { table } from "/js/forms/why-line.js";
import { looksTable, looksValue } from "/js/looks.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/check.js").Seen} Seen
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 */

const w = words.check.past;

/**
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 */
export function pastSection(seen, zone) {
  const body = el("div", { class: "past", "aria-busy": "true" });
  void fill(body, seen, zone);
  return el("section", {}, el("h2", {}, w.title), body);
}

/**
 * @param {HTMLElement} body
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 */
async function fill(body, seen, zone) {
  try {
    const looks = await api.looks(zone.id);
    body.replaceChildren(...(looks.length ? drawn(seen, zone, looks) : [el("p", { class: "small" }, w.none)]));
  } catch (error) {
    const said = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    const again = el("button", { type: "button", click: () => void fill(body, seen, zone) }, words.problem.again);
    body.replaceChildren(el("p", { class: "note" }, `${w.failed} ${said}`), again);
  }
  body.removeAttribute("aria-busy");
}

/**
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 * @param {import("/js/api-check.js").Kept[]} looks
 */
function drawn({ fmt }, zone, looks) {
  const plot = /** @type {import("/js/forms/fit-plot.js").FitPlot} */ (el("fit-plot"));
  plot.value = looksValue(zone.name, looks, fmt);
  return [
    el("p", { class: "small" }, w.lead),
    plot,
    el("details", { class: "tabular" }, el("summary", {}, w.table), table(looksTable(looks, fmt))),
  ];
}
