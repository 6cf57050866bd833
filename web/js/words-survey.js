/** The words of the survey: a room stepped round, filled in and saved. */

const NARROW = "\u202f";

export const title = (/** @type {string} */ room, /** @type {string} */ house) => `Survey of ${room} · ${house} · ingle`;
export const newRoom = "New room";
export const heading = (/** @type {string} */ room) => (room === newRoom ? newRoom : `Survey of ${room}`);
export const leave = "Back to the sheet";
export const leaveNew = "All rooms";
export const steps = "Steps round the room";
export const step = {
  room: "Room",
  floor: "Floor",
  walls: "Walls",
  ceiling: "Ceiling",
  air: "Air and extras",
};
export const stepNamed = (/** @type {string} */ name, /** @type {number} */ wrong) =>
  wrong === 0 ? name : `${name}, ${wrong} to mend`;
export const stepCount = (/** @type {number} */ step, /** @type {number} */ of) => `Step ${step} of ${of}`;
export const back = "Back";
export const next = (/** @type {string} */ name) => `Next: ${name}`;
export const save = "Save";
export const saving = "Saving …";
export const nothing = "Nothing changed yet.";
export const kept = "Kept in this browser; not saved yet.";
export const soFar = (/** @type {string[]} */ names) => `So far, without ${names.join(" and ")}.`;
export const mend = (/** @type {number} */ count) => (count === 1 ? "1 value to mend." : `${count} values to mend.`);
export const needed = (/** @type {number} */ count) => (count === 1 ? "1 value still to come." : `${count} values still to come.`);
export const offline = "ingle does not answer. What you type is kept here, and the watts come back when it does.";
export const waiting = "The watts stand here as soon as floor area and height are typed.";
export const still = "Still to come.";
export const allowed = (/** @type {string} */ allowed) => `Allowed: ${allowed}.`;
export const elsewhere = "Not on this form:";
export const drafts = {
  head: "Not saved yet.",
  body: (/** @type {string} */ room, /** @type {string} */ when) => `The survey of ${room}, last touched ${when}, is kept in this browser.`,
  go: "Go on with it",
  drop: "Throw it away",
  dropped: (/** @type {string} */ room) => `The draft of ${room} is thrown away.`,
};
export const saved = {
  done: (/** @type {string} */ room, /** @type {string} */ watts) => `${room} is saved: ${watts}.`,
  doneToo: (/** @type {string} */ room, /** @type {string} */ watts, /** @type {string} */ who) =>
    `${room} is saved: ${watts}. ${who} changed the house meanwhile; that change is kept.`,
  undone: (/** @type {string} */ room) => `${room} is as it was before.`,
  moved: "The house was changed again meanwhile, so nothing was undone.",
  why: (/** @type {string} */ room) => `survey of ${room}`,
  undo: (/** @type {string} */ room) => `undo: survey of ${room}`,
};
export const conflict = {
  head: "Somebody was faster.",
  somebody: "Somebody",
  body: (/** @type {string} */ who, /** @type {string} */ room, /** @type {string} */ when) =>
    `${who} changed ${room} ${when}. Nothing of yours is lost and nothing is saved yet: that change is kept and laid into your survey.`,
  laid: (/** @type {string} */ what, /** @type {string} */ theirs) => `${what} is now ${theirs}.`,
  clash: (/** @type {string} */ what, /** @type {string} */ theirs, /** @type {string} */ mine) =>
    `${what}: ${theirs} is kept; yours was ${mine}.`,
  gone: (/** @type {string} */ room) => `${room} was taken out of the house meanwhile. Saving adds it again.`,
  then: "Look it over and save again.",
  none: "nothing",
};
export const fields = {
  name: "Name",
  use: "Use",
  floor_area_m2: "Floor area",
  floorHint: "or length × width, such as 6.2 × 4.1",
  areaIs: (/** @type {string} */ area) => `= ${area}${NARROW}m²`,
  height: "Height given as",
  height_m: "Height",
  volume_m3: "Volume",
  design_c: "Inside temperature at design",
  thermal_mass: "Walls and floors are",
  built: "Built in",
  builtHint: "year; typical U-values follow it",
  size: "Size given as",
  width_m: "Width",
  tall: "Height",
  area_m2: "Area",
  net: "without its openings",
  beyond: "What lies beyond",
  factor: "Share of the temperature difference",
  kindOfSpace: "Kind of space",
  kindHint: "its share of the difference is assumed, 0.15 either way",
  temperature_c: "Temperature there",
  u: "U-value",
  how: "U-value from",
  u_w_per_m2k: "U",
  construction: "It is",
  insulation_mm: "Insulation added",
  thickness_mm: "Stone thickness",
  gap_mm: "Gap between the panes",
  pieceBuilt: "Built or put in, if not with the house",
  floorKind: "Floor",
  perimeter_m: "Exposed edge",
  perimeterHint: "length of outside wall round this floor",
  wall_mm: "Wall thickness",
  insulation_r: "Insulation R",
  soil_lambda: "Soil λ",
  soilHint: "clay about 1.5, sand and gravel 2.0, rock 3.5 (ISO 13370); empty: 1.5",
  water_table_m: "Ground water below the floor",
  waterHint: "counts by EN 12831 with the outdoor mean of the year; empty: deep",
  depth_m: "Depth below ground",
  kind: "Kind",
  faces_deg: "Faces",
  origin: "How it is known",
  vulnerable: "Someone old, ill or very young lives here",
  vulnerableHint: "then ingle goes below 18 °C only with a reason while the room is lived in",
  cooler_reason: "Why it may be cooler than 18 °C",
  coolerKept: "not needed at 18 °C and warmer; it stays with the survey",
  low: "Lowest it may be",
  high: "Highest it may be",
  note: "Why",
  air_changes_per_h: "Air changes at design",
  air_changes_in_use_per_h: "Air changes in use",
  inUseHint: "empty: half of those at design",
  bridges: "Thermal bridges as",
  bridges_percent: "Thermal bridges",
  bridges_w_per_m2k: "Thermal bridges",
  warmUp: "Reheat after setback given as",
  reheat_w_per_m2: "Reheat",
  warm_up_h: "Warm again within",
  air_gradient_k_per_m: "Warmer air with height",
  gradientHint: "in a room of 4 m and higher; empty: not counted",
  why: "Why, for the house's history",
  material: "Material",
  materialHint: "such as brick-outer",
  mm: "Thickness",
  lambda: "Conductivity λ",
  r: "Resistance R",
  air_mm: "Air gap",
  layer: (/** @type {number} */ number) => `Layer ${number}, from outside`,
  layerKind: "Given as",
};
export const choices = {
  height: { height_m: "height", volume_m3: "volume" },
  size: { sides: "width × height", area: "area" },
  u: { given: "a number", typical: "what it is and its age", layers: "its layers", ground: "the ground rule, ISO 13370" },
  bridges: {
    bridges_percent: "% of the fabric", bridges_w_per_m2k: "a supplement by area", bridges_typical: "typical of its joints",
  },
  reheat: { reheat_w_per_m2: "watts per m²", warm_up_h: "a warm-up time" },
  beyond: {
    outside: "outside", ground: "the ground", typical: "an unheated space, by its kind", factor: "an unheated space, by its share",
    temperature: "a space of known temperature",
  },
  kindOfSpace: (/** @type {string} */ name, /** @type {number} */ factor) => `${name}, ${factor} assumed`,
  noKind: "choose one",
  vulnerable: { no: "no", yes: "yes" },
  room: (/** @type {string} */ name) => `${name}, a room`,
  space: (/** @type {string} */ name) => `${name}, unheated`,
  noMaterial: "choose one",
  material: (/** @type {string} */ name, /** @type {string} */ lambda) => `${name}, λ ${lambda}`,
  layer: { material: "a material", lambda: "its conductivity", air: "an air gap", r: "its resistance" },
  opening: { window: "window", door: "door", rooflight: "rooflight" },
  ground: { slab: "slab on the ground", suspended: "boards over a void", basement: "basement floor" },
  thermal_mass: { light: "light", medium: "medium", heavy: "heavy" },
  origin: { "": "not said", measured: "measured", observed: "seen on site", assumed: "assumed" },
  use: {
    living: "living", bedroom: "bedroom", bath: "bath", kitchen: "kitchen", hall: "hall", office: "office", store: "store",
    dining: "dining", utility: "utility", workshop: "workshop", assembly: "assembly", other: "other",
  },
  faces: {
    "": "not said", 0: "north", 45: "north-east", 90: "east", 135: "south-east", 180: "south", 225: "south-west", 270: "west",
    315: "north-west",
  },
};
/**
 * Unheated spaces by kind, and the share of the temperature difference that is left there (EN 12831-1:2017, Annex B; a
 * test holds it to ingle's own table).
 *
 * @type {Record<string, {name: string, factor: number}>}
 */
export const unheated = {
  "inner-circulation": { name: "hall or stair inside, no outside wall", factor: 0 },
  "one-outside-wall": { name: "room with one outside wall", factor: 0.4 },
  "two-outside-walls": { name: "room with two outside walls", factor: 0.5 },
  "two-outside-walls-and-door": { name: "room with two outside walls and a door", factor: 0.6 },
  "three-outside-walls": { name: "room with three outside walls", factor: 0.8 },
  basement: { name: "cellar, no windows or doors", factor: 0.5 },
  "basement-with-openings": { name: "cellar with windows or doors", factor: 0.8 },
  "roof-insulated": { name: "roof space, roof insulated", factor: 0.7 },
  "roof-uninsulated": { name: "roof space, roof tight but not insulated", factor: 0.9 },
  "roof-ventilated": { name: "roof space, draughty", factor: 1 },
  "crawl-space": { name: "crawl space under a floor", factor: 0.8 },
};
/** What a piece may be made of, by what it is. @type {Record<string, Record<string, string>>} */
export const constructions = {
  wall: {
    "solid-brick": "solid brick", cavity: "brick with a cavity", "filled-cavity": "filled cavity", granite: "granite",
    sandstone: "sandstone", cob: "cob", "timber-frame": "timber frame", "system-built": "system built",
  },
  roof: { loft: "loft, insulated at joists", rafters: "insulated rafters", flat: "flat roof", thatch: "thatch" },
  floor: { "exposed-floor": "floor over open air or unheated space" },
  opening: {
    "single-glazing": "single glazing", "double-glazing": "double glazing", "secondary-glazing": "secondary glazing",
    "triple-glazing": "triple glazing", "plain-door": "plain door",
  },
};
export const units = {
  floor_area_m2: "m²", area_m2: "m²", width_m: "m", height_m: "m", volume_m3: "m³", design_c: "°C", temperature_c: "°C",
  u_w_per_m2k: "W/(m²·K)", insulation_mm: "mm", thickness_mm: "mm", gap_mm: "mm", wall_mm: "mm", perimeter_m: "m", depth_m: "m",
  water_table_m: "m", insulation_r: "m²·K/W", soil_lambda: "W/(m·K)", air_changes_per_h: "1/h", air_changes_in_use_per_h: "1/h",
  bridges_percent: "%", bridges_w_per_m2k: "W/(m²·K)", reheat_w_per_m2: "W/m²", warm_up_h: "h", air_gradient_k_per_m: "K/m", mm: "mm", air_mm: "mm",
  lambda: "W/(m·K)", r: "m²·K/W",
};
export const pieces = {
  wall: "wall", floor: "floor", ceiling: "ceiling", window: "window", door: "door", rooflight: "rooflight",
};
export const add = {
  wall: "Add a wall",
  another: "Another wall",
  floor: "Add the floor",
  ceiling: "Add the ceiling",
  window: "Add a window",
  door: "Add a door",
  rooflight: "Add a rooflight",
  piece: "Add another piece",
  layer: "Add a layer",
};
export const remove = (/** @type {string} */ name) => `Remove ${name}`;
export const removed = (/** @type {string} */ name) => `${name} is removed from the survey.`;
export const alone = {
  floor: "No floor is listed: it counts as next to a room as warm as this one.",
  ceiling: "No ceiling is listed: it counts as next to a room as warm as this one.",
  walls: "No wall is listed yet. Stand in the room, face one wall, and go round.",
};
export const openingsOf = (/** @type {string} */ name) => `Openings in ${name}`;
export const layersOf = (/** @type {string} */ name) => `Layers of ${name}`;
export const moreOfGround = "More of the ground: soil and ground water";
/** WHO Housing and health guidelines, 2018, chapter 4: at least 18 °C, and warmer for those whom cold harms sooner. */
export const coolerCaution = (/** @type {string} */ level) =>
  `The level occupied is ${level}\u202f°C here. Below 18\u202f°C cold harms old, ill and very young people (WHO, 2018).`;
export const coolerRefused = (/** @type {string} */ level) =>
  `Not saved: the level occupied is ${level}\u202f°C, and below 18\u202f°C cold harms old, ill and very young people (WHO, 2018). Say why, or make the level warmer.`;
export const listedElsewhere = "Listed in another room; change it there:";
