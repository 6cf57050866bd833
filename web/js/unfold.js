/**
 * A room unfolded: its ceiling, its walls in a strip as one walks round, its floor, in metres. Pure arithmetic.
 *
 * The house file says areas and perhaps widths; where a shape is left open the drawing takes a plain one:
 *
 * - A wall given by its area is as high as the room.
 * - An opening that no wall lists is drawn in the outside wall before it, a rooflight in the roof before it; areas of
 *   the file are net, so that wall grows by its openings.
 * - Floor and ceiling given by area share the room's plan, taken as 3 : 2.
 *
 * What another room lists and leads here is drawn too: its floor is this room's ceiling.
 */

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {{zone: string, element: number, name: string, kind: string, x: number, y: number, width: number,
 *   height: number}} Box an element in metres, from the lane's top left
 * @typedef {Box & {openings: Box[]}} Surface
 * @typedef {{name: "ceiling" | "walls" | "floor", surfaces: Surface[], width: number, height: number}} Lane
 * @typedef {{zone: string, element: number, fields: Fields, mirrored: boolean}} Listed
 */

const PLAN_RATIO = 1.5;
const USUAL_HEIGHT_M = 2.4;
const WINDOW_HEIGHT_M = 1.2;
const DOOR_HEIGHT_M = 2;
const LINTEL_M = 0.3;

/**
 * @param {Fields[]} zones of the house document
 * @param {string} id
 * @returns {Lane[]} those that have something in them
 */
export function unfold(zones, id) {
  const zone = zones.find((each) => each.id === id);
  if (!zone) return [];
  const listed = pieces(zones, zone);
  const height = roomHeight(zone);
  const plan = Math.sqrt(PLAN_RATIO * amount(zone.floor_area_m2, 12));
  const openings = housed(listed);
  const make = (/** @type {Listed} */ each) => surface(each, openings.get(each) ?? [], laneOf(each), height, plan);
  /** @type {Lane["name"][]} */
  const names = ["ceiling", "walls", "floor"];
  return names
    .map((name) => lane(name, listed.filter((each) => laneOf(each) === name && openings.has(each)).map(make)))
    .filter(({ surfaces }) => surfaces.length > 0);
}

/**
 * A zone's own surfaces in the order of the file, each with the openings that are drawn in it.
 *
 * @param {Fields} zone
 * @returns {{element: number, lane: Lane["name"], openings: number[]}[]}
 */
export function housing(zone) {
  const found = [...housed(pieces([zone], zone))].map(([each, inside]) => ({
    element: each.element,
    lane: laneOf(each),
    openings: inside.map(({ element }) => element),
  }));
  return found.sort((a, b) => a.element - b.element);
}

/**
 * Whether an opening is drawn in a wall only because that wall stands before it.
 *
 * @param {Fields[]} zones
 * @param {string} id
 */
export function guessed(zones, id) {
  const own = elements(zones.find((each) => each.id === id) ?? {});
  const named = new Set(own.flatMap(({ openings }) => openings ?? []));
  return own.some(({ kind, name }) => isOpening(kind) && !named.has(name)) && own.some(({ kind }) => kind === "wall");
}

/**
 * @param {Fields[]} zones
 * @param {Fields} zone
 * @returns {Listed[]}
 */
function pieces(zones, zone) {
  const own = elements(zone).map((fields, element) => ({ zone: zone.id, element, fields, mirrored: false }));
  const others = zones
    .filter((other) => other.id !== zone.id)
    .flatMap((other) => elements(other).map((fields, element) => ({ zone: other.id, element, fields, mirrored: true })))
    .filter(({ fields }) => fields.beyond === `zone:${zone.id}`);
  return [...own, ...others];
}

/** @param {Fields} zone @returns {Fields[]} */
export const elements = (zone) => zone.element ?? [];

/** @param {Fields} zone @returns {number} [m] */
export function roomHeight({ height_m, volume_m3, floor_area_m2 }) {
  const [height, volume, floor] = [amount(height_m, 0), amount(volume_m3, 0), amount(floor_area_m2, 0)];
  return height || (volume && floor ? volume / floor : USUAL_HEIGHT_M);
}

/** @param {string} kind */
export const isOpening = (kind) => ["window", "door", "rooflight"].includes(kind);

/**
 * Where a piece is drawn, from inside the room: a neighbour's floor above is a ceiling here.
 *
 * @param {{fields: Fields, mirrored: boolean}} piece
 * @returns {Lane["name"]}
 */
export function laneOf({ fields: { kind }, mirrored }) {
  if (kind === "roof" || kind === "rooflight") return mirrored ? "floor" : "ceiling";
  if (kind === "floor" || kind === "ground-floor") return mirrored ? "ceiling" : "floor";
  return "walls";
}

/**
 * Each surface with the openings that are drawn in it; an opening without a surface stands for itself.
 *
 * @param {Listed[]} listed
 * @returns {Map<Listed, Listed[]>}
 */
function housed(listed) {
  /** @type {Map<Listed, Listed[]>} */
  const found = new Map();
  for (const each of listed) if (!isOpening(each.fields.kind)) found.set(each, []);
  for (const each of listed) {
    if (!isOpening(each.fields.kind)) continue;
    const host = hostOf(each, listed);
    if (host) found.get(host)?.push(each);
    else found.set(each, []);
  }
  return found;
}

/**
 * @param {Listed} opening
 * @param {Listed[]} listed
 */
function hostOf(opening, listed) {
  const around = listed.filter(({ zone, fields }) => zone === opening.zone && !isOpening(fields.kind));
  const named = around.find(({ fields }) => (fields.openings ?? []).includes(opening.fields.name));
  if (named || opening.mirrored) return named;
  const open = around.filter((each) => laneOf(each) === laneOf(opening) && (each.fields.beyond ?? "outside") === "outside");
  return open.filter(({ element }) => element < opening.element).at(-1) ?? open[0];
}

/**
 * @param {Listed} listed
 * @param {Listed[]} inside
 * @param {Lane["name"]} where
 * @param {number} height of the room [m]
 * @param {number} plan the longer side of the plan [m]
 * @returns {Surface}
 */
function surface(listed, inside, where, height, plan) {
  const { fields } = listed;
  const extra = fields.openings?.length ? 0 : inside.reduce((sum, each) => sum + areaOf(each.fields), 0);
  const box = isOpening(fields.kind) ? opening(listed, height, Infinity) : whole(listed, extra, where, height, plan);
  return { ...box, openings: row(inside, box) };
}

/**
 * @param {Listed} listed
 * @param {number} extra area of the openings that its own leaves out [m²]
 * @param {Lane["name"]} where
 * @param {number} height
 * @param {number} plan
 * @returns {Box}
 */
function whole(listed, extra, where, height, plan) {
  const { fields } = listed;
  const [width, tall] = [amount(fields.width_m, 0), amount(fields.height_m, 0)];
  if (width && tall) return box(listed, width, tall);
  const area = Math.max(0.2, areaOf(fields)) + extra;
  return where === "walls" ? box(listed, area / height, height) : box(listed, plan, area / plan);
}

/**
 * @param {Listed} listed
 * @param {number} wall height of what it sits in [m]
 * @param {number} room width that it may take [m]
 * @returns {Box}
 */
function opening(listed, wall, room) {
  const { kind, width_m, height_m } = listed.fields;
  const area = Math.max(0.05, areaOf(listed.fields));
  const usual = kind === "door" ? DOOR_HEIGHT_M : WINDOW_HEIGHT_M;
  const tall = Math.min(wall, amount(height_m, 0) || Math.max(Math.min(usual, 0.8 * wall), area / room));
  return box(listed, Math.min(room, amount(width_m, 0) || area / tall), tall);
}

/**
 * Openings in a row across their surface: doors on its foot, the rest under its lintel or, overhead, in its middle.
 *
 * @param {Listed[]} inside
 * @param {Box} host
 * @returns {Box[]}
 */
function row(inside, host) {
  const slot = host.width / Math.max(1, inside.length);
  return inside.map((each, index) => {
    const drawn = opening(each, host.height, 0.9 * slot);
    const free = host.height - drawn.height;
    const y = each.fields.kind === "door" ? free : laneOf(each) === "walls" ? Math.min(LINTEL_M, free / 2) : free / 2;
    return { ...drawn, x: slot * (index + 0.5) - drawn.width / 2, y };
  });
}

/**
 * @param {Listed} listed
 * @param {number} width
 * @param {number} height
 * @returns {Box}
 */
function box({ zone, element, fields }, width, height) {
  return { zone, element, name: `${fields.name ?? ""}`, kind: fields.kind, x: 0, y: 0, width, height };
}

/**
 * Surfaces side by side, walls standing on one line.
 *
 * @param {Lane["name"]} name
 * @param {Surface[]} surfaces
 * @returns {Lane}
 */
function lane(name, surfaces) {
  const height = Math.max(0, ...surfaces.map((each) => each.height));
  let x = 0;
  for (const each of surfaces) {
    each.x = x;
    each.y = name === "walls" ? height - each.height : 0;
    x += each.width;
  }
  return { name, surfaces, width: x, height };
}

/** @param {Fields} fields @returns {number} gross or net as the file has it [m²] */
export function areaOf({ area_m2, width_m, height_m }) {
  return amount(area_m2, 0) || amount(width_m, 0) * amount(height_m, 0);
}

/** @param {unknown} value @param {number} otherwise */
function amount(value, otherwise) {
  return typeof value === "number" && Number.isFinite(value) && value > 0 ? value : otherwise;
}
