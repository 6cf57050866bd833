/** The place on a room's page where a heating test is started and followed. */

import "/js/forms/heating-test.js";
import { el } from "/js/dom.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/check.js").Seen} Seen
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 */

/**
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 */
export function benchSection({ assessment, fmt }, zone) {
  const test = /** @type {import("/js/forms/heating-test.js").HeatingTest} */ (el("heating-test"));
  const names = Object.fromEntries(assessment.zones.map(({ id, name }) => [id, name]));
  test.value = { zone: { id: zone.id, name: zone.name }, names, fmt };
  return el("section", { id: "heating-test" }, el("h2", {}, words.check.bench.title), el("p", { class: "small" }, words.check.bench.lead), test);
}
