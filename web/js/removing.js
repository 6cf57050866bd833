/** Taking a room out of the house: what goes with it, and what stands in the way. */

import * as api from "/js/api.js";
import { problemInWords } from "/js/present.js";
import { stepOf } from "/js/survey.js";
import { elements } from "/js/unfold.js";
import { design as words } from "/js/words.js";

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/api.js").HouseDocument} HouseDocument
 */

/** Lists of the house file whose rows belong to one zone. */
const OWN = ["programme", "sensor", "opening"];

/**
 * Pieces of other rooms that lead to a room. Without it nobody could say what lies beyond them.
 *
 * @param {HouseDocument} document
 * @param {string} id
 * @returns {{room: string, name: string, address: string}[]}
 */
export function leadingTo(document, id) {
  const others = document.zone.filter((zone) => zone.id !== id);
  return others.flatMap((zone) =>
    elements(zone).flatMap(({ name, beyond }, place) =>
      beyond === `zone:${id}` ? [{ room: zone.name, name, address: `#survey/${zone.id}/${stepOf(zone, place) + 1}` }] : [],
    ),
  );
}

/**
 * The house without a room: its week, sensors and openings go with it, and lists that name it no longer do. A calendar
 * that names no room speaks for all of them, so one that named only this room goes too.
 *
 * @param {HouseDocument} document
 * @param {string} id
 * @returns {HouseDocument}
 */
export function withoutZone(document, id) {
  const rest = { ...document, zone: document.zone.filter((zone) => zone.id !== id).map((zone) => strangerTo(zone, id)) };
  for (const list of OWN) if (rest[list]) rest[list] = rest[list].filter((/** @type {Fields} */ row) => row.zone !== id);
  if (rest.calendar) {
    rest.calendar = rest.calendar.flatMap((/** @type {Fields} */ row) => {
      const zones = (row.zones ?? []).filter((/** @type {string} */ zone) => zone !== id);
      return row.zones?.length && zones.length === 0 ? [] : [{ ...row, zones }];
    });
  }
  return rest;
}

/** @param {Fields} zone @param {string} id @returns {Fields} */
function strangerTo(zone, id) {
  if (!zone.neighbours?.includes(id)) return zone;
  return { ...zone, neighbours: zone.neighbours.filter((/** @type {string} */ other) => other !== id) };
}

/**
 * What goes with a room, in words.
 *
 * @param {HouseDocument} document
 * @param {string} id
 */
export function goesToo(document, id) {
  const zone = document.zone.find((each) => each.id === id);
  const count = (/** @type {string} */ list) => (document[list] ?? []).filter((/** @type {Fields} */ row) => row.zone === id).length;
  return words.remove.with([
    words.remove.heaters(zone?.heater?.length ?? 0),
    words.remove.programmes(count("programme")),
    words.remove.sensors(count("sensor") + count("opening")),
  ].filter(Boolean));
}

/**
 * Take a room out of the house as it is now.
 *
 * @param {Fields} zone
 * @returns {Promise<() => Promise<string>>} how to put it back, unless the house was changed again since
 */
export async function removeZone({ id, name }) {
  const { document, tag } = await api.houseDocument();
  const saved = await api.putHouse(withoutZone(document, id), tag, words.remove.why(name));
  return async () => {
    try {
      await api.putHouse(document, saved, words.remove.undo(name));
      return words.remove.undone(name);
    } catch (error) {
      const problem = /** @type {import("/js/api.js").Problem} */ (error);
      return problem.status === 412 ? words.remove.moved : problemInWords(problem);
    }
  };
}
