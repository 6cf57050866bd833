/**
 * A room's survey as a table of the house file, and what typing does to it: pure functions, no document.
 *
 * Nothing is copied into another shape. What the form does not know of - a bridge in a layer, heaters, levels - stays as
 * the file has it. A number that cannot be read stays as the text that was typed, so that ingle itself says what is wrong
 * with it and what is allowed.
 */

import { areaOf, elements, housing, isOpening, laneOf } from "/js/unfold.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {(string | number)[]} Path
 * @typedef {{key: "room" | "floor" | "wall" | "walls" | "ceiling" | "air", element: number | null}} Step
 */

/** WHO Housing and health guidelines, 2018: the least indoor temperature that is safe, warmer for someone vulnerable [°C]. */
const SAFE_C = 18;

/** A new room: only what every room has. */
export const NEW_ZONE = { id: "new", name: "", use: "living", height_m: 2.4, design_c: 20, air_changes_per_h: 1, element: [] };

/**
 * @param {string} text as typed
 * @returns {number | string | undefined} undefined for nothing, the text where it is no number
 */
export function readNumber(text) {
  const bare = text.trim().replaceAll("\u2212", "-").replace(/(?<=\d),(?=\d)/gu, ".");
  if (bare === "") return undefined;
  const sides = bare.split(/\s*[x×*]\s*/u);
  const numbers = sides.map(Number);
  if (sides.some((side) => side === "") || !numbers.every(Number.isFinite)) return text.trim();
  return Number(numbers.reduce((product, number) => product * number, 1).toFixed(4));
}

/**
 * An id for a room from its name, that no other room has.
 *
 * @param {string} name
 * @param {string[]} taken
 */
export function idOf(name, taken) {
  const plain = name.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const base = plain.replace(/[^a-z0-9]+/gu, "-").replace(/^-|-$/gu, "").slice(0, 28).replace(/-$/u, "") || "room";
  const free = (/** @type {string} */ id) => !taken.includes(id) && id !== "outdoor" && id !== "new";
  if (free(base)) return base;
  let number = 2;
  while (!free(`${base}-${number}`)) number += 1;
  return `${base}-${number}`;
}

/**
 * The steps of a room: itself, its floor, each wall as one walks round, its ceiling, its air.
 *
 * @param {Fields} zone
 * @returns {Step[]}
 */
export function steps(zone) {
  const walls = housing(zone).filter(({ lane }) => lane === "walls");
  /** @type {Step[]} */
  const round = walls.length
    ? walls.map(({ element }) => ({ key: "wall", element }))
    : [{ key: "walls", element: null }];
  return [{ key: "room", element: null }, { key: "floor", element: null }, ...round, { key: "ceiling", element: null }, { key: "air", element: null }];
}

/**
 * The step on which an element is filled in.
 *
 * @param {Fields} zone
 * @param {number} element
 * @returns {number}
 */
export function stepOf(zone, element) {
  const found = housing(zone).find((each) => each.element === element || each.openings.includes(element));
  const all = steps(zone);
  const at = all.findIndex((step) =>
    found?.lane === "walls" ? step.element === found.element : step.key === found?.lane,
  );
  return Math.max(0, at);
}

/**
 * The step on which a path is filled in; null for one that is on no step.
 *
 * @param {Fields} zone
 * @param {Path} path
 * @returns {number | null}
 */
export function stepAt(zone, [key, place]) {
  if (key === "element" && typeof place === "number") return stepOf(zone, place);
  if (`${key}`.startsWith("/")) return null;
  return /^(air_changes|bridges|reheat|warm_up|provenance)/u.test(`${key}`) ? steps(zone).length - 1 : 0;
}

/**
 * @param {Fields} zone
 * @param {Step} step
 * @returns {string}
 */
export function stepName(zone, { key, element }) {
  return key === "wall" ? zone.element[Number(element)].name || words.pieces.wall : words.step[key];
}

/** @param {unknown} value @returns {boolean} whether something was typed, as against still to come */
export const given = (value) => value !== null && value !== undefined && value !== "";

/**
 * @param {unknown} holder
 * @param {Path} path
 * @returns {any}
 */
export function at(holder, path) {
  return path.reduce((found, key) => /** @type {any} */ (found)?.[key], holder);
}

/**
 * Put a value where a path leads, making the tables on the way; undefined takes it out, and an empty provenance with it.
 *
 * @param {Fields} holder
 * @param {Path} path
 * @param {unknown} value
 */
export function put(holder, path, value) {
  const [key, ...rest] = path;
  if (rest.length === 0) {
    if (value === undefined) delete holder[key];
    else holder[key] = value;
    return;
  }
  if (holder[key] === undefined) {
    if (value === undefined) return;
    holder[key] = {};
  }
  put(holder[key], rest, value);
  if (key === "provenance" && Object.keys(holder[key]).length === 0) delete holder[key];
}

/**
 * Forget how numbers are known that are no longer there: the house file takes provenance only of what it has.
 *
 * @param {Fields} fields
 * @param {string[]} keys of the table, with all that lies inside them
 */
export function forget(fields, keys) {
  for (const name of Object.keys(fields.provenance ?? {})) {
    if (keys.includes(name.split(".")[0])) put(fields, ["provenance", name], undefined);
  }
}

/**
 * @param {Fields} zone
 * @param {string} base
 * @returns {string} a name that no element of the zone has
 */
export function freeName(zone, base) {
  const taken = elements(zone).map(({ name }) => name);
  if (!taken.includes(base)) return base;
  let number = 2;
  while (taken.includes(`${base} ${number}`)) number += 1;
  return `${base} ${number}`;
}

/**
 * Add a piece at its place: a wall after the last wall, an opening behind the wall it is in.
 *
 * @param {Fields} zone
 * @param {Fields} fields
 * @param {number | null} host the element that an opening is in
 * @returns {number} its place
 */
export function add(zone, fields, host) {
  zone.element ??= [];
  if (host === null) {
    const lane = laneOf({ fields, mirrored: false });
    const last = housing(zone).filter((each) => each.lane === lane).flatMap(({ element, openings }) => [element, ...openings]);
    const place = last.length ? Math.max(...last) + 1 : zone.element.length;
    zone.element.splice(place, 0, fields);
    return place;
  }
  const { openings } = housing(zone).find(({ element }) => element === host) ?? { openings: [] };
  const place = Math.max(host, ...openings) + 1;
  zone.element.splice(place, 0, fields);
  const wall = zone.element[host];
  if (wall.area_m2 === undefined) wall.openings = [...(wall.openings ?? []), fields.name];
  return place;
}

/**
 * Take a piece out, with the openings that its own list names.
 *
 * @param {Fields} zone
 * @param {number} element
 */
export function remove(zone, element) {
  const { name, openings = [] } = zone.element[element];
  const gone = new Set([name, ...openings]);
  zone.element = elements(zone).filter((each, index) => index !== element && !(isOpening(each.kind) && gone.has(each.name)));
  for (const each of zone.element) if (each.openings) unlist(each, (other) => !gone.has(other));
}

/**
 * @param {Fields} wall
 * @param {(name: string) => boolean} stays
 */
function unlist(wall, stays) {
  wall.openings = wall.openings.filter(stays);
  if (wall.openings.length === 0) delete wall.openings;
}

/**
 * Rename a piece, and with it the list of the wall that it is in.
 *
 * @param {Fields} zone
 * @param {number} element
 * @param {string} name
 */
export function rename(zone, element, name) {
  const before = zone.element[element].name;
  zone.element[element].name = name;
  if (!isOpening(zone.element[element].kind)) return;
  for (const each of elements(zone)) {
    if (each.openings) each.openings = each.openings.map((/** @type {string} */ other) => (other === before ? name : other));
  }
}

/**
 * Give a size the other way. Areas of the file are net and sides are gross, so the openings are taken off or listed.
 *
 * @param {Fields} zone
 * @param {number} element
 * @param {"sides" | "area"} mode
 */
export function sizedAs(zone, element, mode) {
  const fields = zone.element[element];
  const inside = housing(zone).find((each) => each.element === element)?.openings.map((place) => zone.element[place]) ?? [];
  if (mode === "area") {
    const off = inside.reduce((sum, each) => sum + areaOf(each), 0);
    const net = Number((areaOf(fields) - (fields.openings ? off : 0)).toFixed(3));
    delete fields.width_m;
    delete fields.height_m;
    delete fields.openings;
    forget(fields, ["width_m", "height_m"]);
    if (net > 0) fields.area_m2 = net;
    return;
  }
  delete fields.area_m2;
  forget(fields, ["area_m2"]);
  if (inside.length) fields.openings = inside.map(({ name }) => name);
}

/** @param {Fields} fields @returns {"sides" | "area"} */
export const sizeMode = (fields) => (fields.width_m !== undefined || fields.height_m !== undefined ? "sides" : fields.area_m2 !== undefined ? "area" : "sides");

/**
 * The level that the room is kept at while lived in, where it is below what is safe for someone vulnerable.
 *
 * @param {Fields} zone
 * @param {Fields} house
 * @returns {number | null} null where it is warm enough
 */
export function coolLevel({ levels }, house) {
  const level = levels?.occupied_c ?? house.levels?.occupied_c;
  return typeof level === "number" && level < SAFE_C ? level : null;
}

/**
 * The other rooms and the unheated spaces that a piece may lead to, in words by how the file names them.
 *
 * @param {import("/js/api.js").HouseDocument} document
 * @param {Fields} zone
 * @returns {Record<string, string>}
 */
export function beyonds({ zone: zones, space: spaces = [] }, zone) {
  const rooms = zones.filter(({ id }) => id !== zone.id).map(({ id, name }) => [`zone:${id}`, words.choices.room(name)]);
  const unheated = spaces.map((/** @type {Fields} */ { id, name }) => [`space:${id}`, words.choices.space(name)]);
  return Object.fromEntries([...rooms, ...unheated]);
}

/**
 * A document with a zone in it, at its place or at the end.
 *
 * @param {import("/js/api.js").HouseDocument} document
 * @param {Fields} zone
 * @returns {import("/js/api.js").HouseDocument}
 */
export function withZone(document, zone) {
  const place = document.zone.findIndex(({ id }) => id === zone.id);
  const zones = place < 0 ? [...document.zone, zone] : document.zone.with(place, zone);
  return { ...document, zone: zones };
}

/**
 * A zone without the pieces that cannot be counted yet, and their names.
 *
 * @param {Fields} zone
 * @param {Path[]} faults relative to the zone
 * @returns {{zone: Fields, without: string[]} | null} null where the room itself cannot be counted
 */
export function countable(zone, faults) {
  if (faults.some(([key, place]) => key !== "element" || typeof place !== "number")) return null;
  const places = new Set(faults.map(([, place]) => place));
  const without = [...places].map((place) => elements(zone)[Number(place)]?.name ?? "");
  const copy = structuredClone(zone);
  const gone = new Set(without);
  copy.element = elements(copy).filter((_, index) => !places.has(index));
  for (const each of copy.element) if (each.openings) unlist(each, (name) => !gone.has(name));
  return { zone: copy, without };
}

/**
 * A JSON Pointer as a path from a zone; null where it leads elsewhere.
 *
 * @param {string} pointer
 * @param {number} place of the zone in its document
 * @returns {Path | null}
 */
export function pathIn(pointer, place) {
  const keys = pointer.split("/").slice(1).map((key) => key.replaceAll("~1", "/").replaceAll("~0", "~"));
  if (keys[0] !== "zone" || keys[1] !== `${place}`) return null;
  return keys.slice(2).map((key) => (/^\d+$/u.test(key) ? Number(key) : key));
}
