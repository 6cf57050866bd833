/** The first view of the Check page: all rooms on one scale, the worst against its design first. */

import "/js/forms/scale-axis.js";
import "/js/forms/verdict-row.js";
import { el } from "/js/dom.js";
import { table } from "/js/forms/why-line.js";
import { byRatio, coefficientScale, figuresTable } from "/js/judge.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/check.js").Seen} Seen
 */

/**
 * @param {Seen} seen
 * @returns {Node[]}
 */
export function houseView({ assessment: { zones }, fmt }) {
  const scale = coefficientScale(zones);
  const axis = /** @type {import("/js/forms/scale-axis.js").ScaleAxis} */ (el("scale-axis", { id: "axis" }));
  axis.value = { scale, unit: words.units.coefficient, format: fmt.level };
  const rows = byRatio(zones).map((zone) => {
    const row = /** @type {import("/js/forms/verdict-row.js").VerdictRow} */ (el("verdict-row"));
    row.update(zone, scale, fmt);
    return el("li", { id: `zone-${zone.id}` }, row);
  });
  if (zones.length === 0) return [];
  return [
    el("h2", { class: "unseen" }, words.design.rooms),
    el("div", { class: "columns" }, axis),
    el("ol", { class: "rows", id: "rows" }, ...rows),
    el(
      "details",
      { class: "tabular", id: "tabular" },
      el("summary", {}, words.check.table),
      table(figuresTable(zones, fmt)),
    ),
  ];
}
