/** Where a room's heat goes, as the Design page shows it: pure functions, no document. */

import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneDesign} ZoneDesign
 * @typedef {import("/js/api.js").LossPart} LossPart
 * @typedef {import("/js/api.js").WorkingLine} WorkingLine
 * @typedef {import("/js/format.js").Formats} Formats
 * @typedef {{number: number, part: LossPart, share: number, ink: number}} Share
 */

/** Where one ink ends and the next, darker one begins, as a share of the room's loss. */
export const STEPS = [0.05, 0.1, 0.2, 0.35];
/** Less than this is no flow of heat [W]. */
const NOTHING_W = 0.5;

/**
 * The parts of a room's loss, the largest first, numbered as on the drawing. Shares are of what goes out; what comes in
 * from a warmer room has a share below 0 and stands last.
 *
 * @param {Pick<ZoneDesign, "parts">} zone
 * @returns {Share[]}
 */
export function shares({ parts }) {
  const lost = parts.reduce((sum, { w }) => sum + Math.max(0, w), 0) || 1;
  return [...parts]
    .sort((a, b) => b.w - a.w)
    .map((part, index) => ({ number: index + 1, part, share: part.w / lost, ink: ink(part.w, lost) }));
}

/**
 * @param {number} w
 * @param {number} lost
 * @returns {number} 0 for none, 1 to 5 by share, -1 for heat that comes in
 */
function ink(w, lost) {
  if (Math.abs(w) < NOTHING_W) return 0;
  return w < 0 ? -1 : 1 + STEPS.filter((step) => w / lost >= step).length;
}

/**
 * The house's loss by kind of part, without what its rooms give each other.
 *
 * @param {import("/js/api.js").Design} design
 * @returns {{parts: LossPart[]}}
 */
export function byKind({ zones }) {
  /** @type {Map<string, LossPart>} */
  const kinds = new Map();
  for (const part of zones.flatMap(({ parts }) => parts)) {
    if (part.beyond?.startsWith("zone:")) continue;
    const sum = kinds.get(part.kind) ?? { ...NO_PART, kind: part.kind, name: words.design.kinds[part.kind] ?? part.kind };
    kinds.set(part.kind, {
      ...sum,
      w: sum.w + part.w,
      w_per_k: sum.w_per_k + part.w_per_k,
      area_m2: part.area_m2 === null ? sum.area_m2 : (sum.area_m2 ?? 0) + part.area_m2,
    });
  }
  return { parts: [...kinds.values()] };
}

/** @type {LossPart} */
const NO_PART = {
  kind: "", name: "", item: "", zone: "", element: null, beyond: null, area_m2: null, u_w_per_m2k: null, w_per_k: 0, w: 0,
};

/**
 * The lines of a room's sheet that work out one part.
 *
 * @param {ZoneDesign} zone
 * @param {LossPart} part
 * @returns {WorkingLine[]}
 */
export function linesOf({ working }, part) {
  if (part.kind === "bridges") return working.filter(({ item }) => item.startsWith("thermal bridge"));
  return working.filter(({ item }) => item === part.item || item === `U of ${part.name}`);
}

/**
 * The name under which a part is shown; a piece that another room lists says so.
 *
 * @param {LossPart} part
 * @param {string} zone the room's id
 * @param {(id: string) => string} nameOf
 */
export function partName(part, zone, nameOf) {
  if (part.element === null) return words.design.wholes[part.kind] ?? part.name;
  return part.zone === zone ? part.name : words.design.listedIn(part.name, nameOf(part.zone));
}

/**
 * What lies beyond a part, in words.
 *
 * @param {LossPart} part
 * @param {(id: string) => string} nameOf
 * @returns {string}
 */
export function beyondInWords({ beyond }, nameOf) {
  if (beyond === null) return "";
  if (/^(zone|space):/u.test(beyond)) return words.design.toRoom(nameOf(beyond.replace(/^\w+:/u, "")));
  return words.design.beyonds[beyond] ?? beyond;
}

/**
 * One input of a line: its key says name and unit, as in the house file.
 *
 * @param {string} key
 * @param {number | string} value
 * @param {Formats} fmt
 * @param {(id: string) => string} [nameOf] rooms and spaces by id
 * @returns {string}
 */
export function inputInWords(key, value, fmt, nameOf = (id) => id) {
  if (PLACES.includes(key)) return `${key}\u00a0${nameOf(`${value}`)}`;
  const figure = typeof value === "number" ? fmt.worked(value) : value.replaceAll("_", " ");
  if (key.includes(" ")) return `${key.replaceAll(/\w+_\w+/gu, (part) => named(part).name)}\u00a0${figure}`;
  const { name, unit } = named(key);
  return `${name}${name && "\u00a0"}${unit ? words.withUnit(figure, unit) : figure}`;
}

/**
 * What a line works out; the room that it leads to by its name instead of its id.
 *
 * @param {string} item
 * @param {(id: string) => string} nameOf
 */
export const itemInWords = (item, nameOf) => item.replace(/\(to ([\w-]+)/u, (_, id) => `(to ${nameOf(id)}`);

/**
 * A key of the house file as a name and a unit.
 *
 * @param {string} key
 */
function named(key) {
  const [suffix, unit] = UNITS.find(([suffix]) => `_${key}`.endsWith(suffix)) ?? ["", ""];
  const bare = suffix ? key.slice(0, Math.max(0, key.length - suffix.length)) : key;
  return { name: words.design.inputs[key] ?? words.design.inputs[bare] ?? bare.replaceAll("_", " "), unit };
}

/** Keys whose value is the id of a room or a space. */
const PLACES = ["space", "zone"];

/** The units that end a key, the longest first. @type {[string, string][]} */
const UNITS = [
  ["_w_per_m2k", "W/(m²·K)"],
  ["_w_per_mk", "W/(m·K)"],
  ["_k_per_m", "K/m"],
  ["_m_per_s", "m/s"],
  ["_w_per_m2", "W/m²"],
  ["_wh_per_k", "Wh/K"],
  ["_m2_per_m", "m²/m"],
  ["_w_per_k", "W/K"],
  ["_per_h", "1/h"],
  ["_percent", "%"],
  ["_m2", "m²"],
  ["_m3", "m³"],
  ["_mm", "mm"],
  ["_deg", "°"],
  ["_c", "°C"],
  ["_k", "K"],
  ["_w", "W"],
  ["_m", "m"],
  ["_h", "h"],
];

/**
 * A line's value: watts whole, W/K with two decimals, the rest with four significant digits.
 *
 * @param {WorkingLine} line
 * @param {Formats} fmt
 */
export function valueInWords({ value, unit }, fmt) {
  if (unit === "W") return fmt.watts(value);
  return unit === "W/K" ? fmt.twoDecimals(value) : fmt.worked(value);
}

/**
 * The range of a load as it is said: none where nothing with limits went into it.
 *
 * @param {ZoneDesign} zone
 * @param {Formats} fmt
 */
export function bandInWords({ heat_loss_w, low_w, high_w }, fmt) {
  const wide = high_w - low_w >= 1 && heat_loss_w > 0;
  return wide ? words.design.band(fmt.watts(low_w), fmt.watts(high_w)) : words.design.noBand;
}

/**
 * A share as it stands beside its bar: nothing is said to be 0 % that is something.
 *
 * @param {number} share
 * @param {Formats} fmt
 */
export function percentInWords(share, fmt) {
  const small = share > 0 && share < 0.01;
  return words.withUnit(small ? words.design.underOne : fmt.whole(100 * share), "%");
}

/**
 * How the plates stand to the load, and whether that wants a look.
 *
 * @param {ZoneDesign} zone
 * @param {Formats} fmt
 * @returns {{text: string, short: boolean}}
 */
export function platesInWords({ heat_loss_w, installed_w }, fmt) {
  const plates = words.withUnit(fmt.watts(installed_w), "W");
  if (installed_w === 0) return { text: words.design.noHeater, short: false };
  const over = installed_w - heat_loss_w;
  if (over < 0) return { text: words.design.platesShort(plates, words.withUnit(fmt.watts(-over), "W")), short: true };
  const percent = heat_loss_w > 0 ? words.withUnit(fmt.whole((100 * over) / heat_loss_w), "%") : "";
  return { text: words.design.platesOver(plates, percent), short: false };
}
