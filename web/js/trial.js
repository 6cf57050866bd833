/** A room half-way through its survey, worked out as far as it goes. */

import * as api from "/js/api.js";
import { countable, given, pathIn, withZone } from "/js/survey.js";
import { elements } from "/js/unfold.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/api.js").ZoneDesign} ZoneDesign
 * @typedef {{path: import("/js/survey.js").Path, value: unknown, allowed: string, sentence?: string}} Fault `path` from the
 *   room; `sentence` where there is more to say than what is allowed
 * @typedef {{design: ZoneDesign | null, faults: Fault[], without: string[]}} Trial `without`: pieces not counted yet
 */

/**
 * Ask ingle what a room of a document needs. Where some of its pieces cannot be counted, ask again without them.
 *
 * @param {import("/js/api.js").HouseDocument} document
 * @param {Fields} zone the room as it stands in it
 * @returns {Promise<Trial>}
 */
export async function tried(document, zone) {
  const { design, faults: wrong } = await api.tryDesign(document, zone.id);
  if (design) return { design: design.zones[0], faults: [], without: [] };
  const place = document.zone.indexOf(zone);
  const faults = wrong.map(({ pointer, value, allowed = "" }) => ({ path: pathIn(pointer, place) ?? [pointer], value, allowed }));
  const rest = countable(zone, faults.map(({ path }) => path));
  const again = rest && (await api.tryDesign(withZone(document, rest.zone), zone.id));
  if (!again?.design) return { design: null, faults, without: [] };
  return { design: placed(again.design.zones[0], zone, rest.zone), faults, without: rest.without };
}

/**
 * Parts of a figure without some pieces, back at the places where the form has them.
 *
 * @param {ZoneDesign} design
 * @param {Fields} whole
 * @param {Fields} rest
 */
function placed(design, whole, rest) {
  const parts = design.parts.map((part) => {
    if (part.zone !== whole.id || part.element === null) return part;
    const { name } = elements(rest)[part.element];
    return { ...part, element: elements(whole).findIndex((each) => each.name === name) };
  });
  return { ...design, parts };
}

/**
 * How a survey stands, in a sentence or two.
 *
 * @param {Trial & {offline: boolean, changed: boolean}} survey
 * @returns {string}
 */
export function stateInWords({ design, faults, without, offline, changed }) {
  if (offline) return words.offline;
  const wrong = faults.filter(({ value }) => given(value)).length;
  const missing = faults.length - wrong;
  const said = [
    !design && wrong === 0 ? words.waiting : "",
    without.length ? words.soFar(without) : "",
    wrong ? words.mend(wrong) : "",
    missing && design ? words.needed(missing) : "",
    changed ? words.kept : words.nothing,
  ];
  return said.filter(Boolean).join(" ");
}
