/** The days behind a room's verdict: drawn, told, as a table, and to take away. */

import "/js/forms/fit-plot.js";
import * as api from "/js/api-check.js";
import { el } from "/js/dom.js";
import { fitCsv, fitTable, fitValue, unusedInWords } from "/js/fit.js";
import { table } from "/js/forms/why-line.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/check.js").Seen} Seen
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 */

const w = words.check;

/**
 * The section stands at once and is filled when its days are there: nobody waits for them.
 *
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 */
export function fitSection(seen, zone) {
  const body = el("div", { class: "fit", "aria-busy": "true" }, el("p", { class: "small", role: "status" }, w.fit.loading));
  void fill(body, seen, zone);
  return el("section", {}, el("h2", {}, w.fit.title), body);
}

/**
 * @param {HTMLElement} body
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 */
async function fill(body, seen, zone) {
  try {
    const { fit = [] } = await api.verdict(zone.id);
    body.replaceChildren(...(fit.length ? drawn(seen, zone, fit) : [el("p", { class: "small" }, w.fit.none)]));
  } catch (error) {
    const said = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    const again = el("button", { type: "button", click: () => void fill(body, seen, zone) }, words.problem.again);
    body.replaceChildren(el("p", { class: "note" }, `${w.failedRoom} ${said}`), again);
  }
  body.removeAttribute("aria-busy");
}

/**
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 * @param {import("/js/api-check.js").FitDay[]} days
 */
function drawn({ fmt }, zone, days) {
  const plot = /** @type {import("/js/forms/fit-plot.js").FitPlot} */ (el("fit-plot"));
  plot.value = fitValue(zone, days, fmt);
  const unused = unusedInWords(days, fmt);
  const left = days.filter(({ used }) => !used).length;
  return [
    el("p", { class: "small" }, w.fit.lead),
    plot,
    unused.length > 0 &&
      el("details", { class: "tabular" }, el("summary", {}, w.fit.unused(left)), el("ul", { class: "reasons" }, ...unused.map((text) => el("li", {}, text)))),
    el("details", { class: "tabular" }, el("summary", {}, w.fit.table), table(fitTable(days, fmt))),
    el("p", { class: "act" }, el("button", { type: "button", click: () => save(zone.id, days) }, w.fit.csv)),
  ].filter((node) => node !== false);
}

/** @param {string} zone @param {import("/js/api-check.js").FitDay[]} days */
function save(zone, days) {
  const url = URL.createObjectURL(new Blob([fitCsv(days)], { type: "text/csv" }));
  el("a", { href: url, download: `check-${zone}-${days[0].date}-${days.at(-1)?.date}.csv` }).click();
  URL.revokeObjectURL(url);
}
