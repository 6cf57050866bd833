/** The place on a room's page where a heating test is started and followed. */

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
export function benchSection(seen, zone) {
  return el("section", { id: "heating-test" }, el("h2", {}, words.check.bench.title), el("p", { class: "small" }, words.check.bench.lead));
}
