/** The words of the Design page: what the house needs, and the survey. */

const NARROW = "\u202f";

export const title = (/** @type {string} */ house) => `Design · ${house} · ingle`;
export const roomTitle = (/** @type {string} */ room, /** @type {string} */ house) => `${room} · Design · ${house} · ingle`;
export const heading = "What does the house need, and how sure are we?";
export const loading = "Working out the heat loss …";
export const failed = "The design could not be read.";
export const rooms = "Rooms";
export const needs = (/** @type {string} */ outdoor) => `Heat needed at ${outdoor} outside`;
export const plates = "Heaters";
export const cap = "Supply cap";
export const noCap = "no cap set";
export const perArea = "Per floor area";
export const together = (/** @type {string} */ count) => `${count}, every room's air counted in full`;
export const totalBand = (/** @type {string} */ low, /** @type {string} */ high) => `${low} to ${high}${NARROW}kW, 95${NARROW}% range`;
export const oneSource = "From one source for all";
export const year = "Heat in a year";
export const space = (/** @type {string} */ name) => `${name}, unheated`;
export const roomCount = (/** @type {number} */ count) => (count === 1 ? "1 room" : `${count} rooms`);
export const noRooms = "No room surveyed yet. Add the first one and step round it, or load a house file:";
export const add = "Add a room";
export const edit = "Edit the survey";
export const print = "Print this sheet";
export const all = "All rooms";
export const toCheck = "Metered against it";
export const gone = "This house has no such room.";
export const band = (/** @type {string} */ low, /** @type {string} */ high) => `${low} to ${high}${NARROW}W, 95${NARROW}% range`;
export const noBand = "no range yet: no input says its limits";
export const most = (/** @type {string[]} */ parts) => `Most through ${parts.join(" and ")}.`;
export const share = (/** @type {string} */ name, /** @type {string} */ percent) => `${name} (${percent})`;
export const underOne = "<1";
export const noHeater = "No heater listed.";
export const platesOver = (/** @type {string} */ plates, /** @type {string} */ percent) =>
  percent ? `Plates ${plates}: ${percent} over.` : `Plates ${plates}.`;
export const platesShort = (/** @type {string} */ plates, /** @type {string} */ short) => `Plates ${plates}: ${short} short.`;
export const assumptions = (/** @type {number} */ count) =>
  count === 1 ? "1 note on the whole survey" : `${count} notes on the whole survey`;
export const looks = (/** @type {number} */ count) => (count === 1 ? "1 note" : `${count} notes`);
export const where = "Where the heat goes";
export const whereHouse = "Where the house's heat goes";
export const housePath = "Rooms added up; what they give each other is left out.";
export const working = "Working, line by line";
export const workingOf = (/** @type {string} */ room) => `Working of ${room}`;
export const sure = "How sure";
export const notes = "Notes";
export const figures = {
  load: "Heat needed",
  coefficient: "Heat loss per degree",
  inUse: "In use, for Check",
  perArea: "Per floor area",
  plates: "Heaters",
  inside: "Inside",
  reheat: "Of which reheat",
};
export const columns = ["Line", "Working", "Value", "Source"];
export const sources = "Sources";
export const tableColumns = ["Room", "Inside", "Heat loss W/K", "In use W/K", "Reheat W", "Heat needed W", "95 % range W", "Plates W"];
export const table = "The rooms as a table";
export const uncertain = {
  title: "What would narrow the range",
  columns: ["Input", "Known as", "Value", "Range", "Moves the load by"],
  moves: (/** @type {string} */ down, /** @type {string} */ up) => `−${down} / +${up}${NARROW}W`,
  tenth: (/** @type {string} */ watts) => `no range; 10${NARROW}% more adds ${watts}${NARROW}W`,
  none: "–",
};
export const lanes = { ceiling: "ceiling", walls: "walls, as one walks round", floor: "floor" };
/** @type {Record<string, string>} */
export const boxes = { air: "air", bridges: "bridges", height: "height", given: "given" };
export const drawnIn = "An opening that no wall lists is drawn in the outside wall before it.";
export const metres = (/** @type {number} */ count) => `${count}${NARROW}m`;
export const listedIn = (/** @type {string} */ name, /** @type {string} */ room) => `${name} (listed in ${room})`;
export const toRoom = (/** @type {string} */ room) => `to ${room}`;
export const reheat = "Reheat after setback";
/** @type {Record<string, string>} */
export const beyonds = {
  outside: "to outside",
  ground: "to the ground",
  factor: "to an unheated space",
  temperature: "to a known temperature",
  unknown: "to a room that is not there",
};
/** What a room loses as a whole, not through a surface. @type {Record<string, string>} */
export const wholes = {
  air: "Air changes", bridges: "Thermal bridges", height: "Warmer air above", given: "Given for the whole room",
};
/** @type {Record<string, string>} */
export const kinds = {
  wall: "Walls",
  window: "Windows",
  rooflight: "Rooflights",
  door: "Doors",
  roof: "Roofs",
  floor: "Floors",
  "ground-floor": "Floors on the ground",
  party: "Walls to unheated spaces",
  ...wholes,
};
/** Inputs of a line of working whose key is no word. @type {Record<string, string>} */
export const inputs = {
  u: "U",
  n: "n",
  r_si: "R_si",
  r_se: "R_se",
  r_f: "R_f",
  b: "B′",
  d_t: "d_t",
  psi: "ψ",
  psi_l: "ψ·l",
  du_tb: "ΔU",
  soil_lambda: "soil λ",
};
export const methods = { domestic: "domestic", en12831: "EN 12831-1" };
export const summary = (/** @type {string} */ room, /** @type {string} */ load, /** @type {string[]} */ parts) =>
  `${room} unfolded: ${load}; ${parts.join(", ")}.`;
export const plotSummary = (/** @type {string} */ room, /** @type {string} */ load, /** @type {string} */ band, /** @type {string} */ plates) =>
  `${room}: ${load} at design, ${band}. ${plates}`;
export const options = {
  title: "Heaters that would do",
  loading: "Looking for heaters that fit …",
  failed: "The options could not be read.",
  places: (/** @type {string[]} */ places) => `Places, the best first: ${places.join(", ")}.`,
  installed: (/** @type {string} */ label) => `${label}, as listed`,
  over: (/** @type {string} */ percent) => `${percent} over`,
  short: (/** @type {string} */ watts) => `${watts} short`,
  draws: (/** @type {string} */ gives, /** @type {string} */ amps) => `gives ${gives}, draws ${amps}`,
  coldest: "On the design day it",
  ordinary: "On an ordinary day it",
};
export const ways = {
  title: "Ways of heating this room, over a year",
  columns: ["Way", "Energy kWh", "Money", "Needs"],
  /** @type {Record<string, string>} */
  kinds: { direct: "direct electric", storage: "storage, charged off-peak", "wet-radiator": "radiator on the boiler", "air-to-air": "air-to-air unit" },
  range: (/** @type {string} */ mid, /** @type {string} */ low, /** @type {string} */ high) => `${mid} (${low} to ${high})`,
  missing: (/** @type {string[]} */ missing) => `Not reckoned: ${missing.join("; ")}.`,
  /** Tables of the house file. @type {Record<string, string>} */
  tables: { boiler: "boiler", air_to_air: "air-to-air unit", tariff: "tariff" },
  none: "–",
};
export const usual = {
  title: "Beside what is usual",
  columns: ["Figure", "Here", "Usual", "Standing", "Source"],
};
const several = (/** @type {number} */ count, /** @type {string} */ one) => (count === 0 ? "" : count === 1 ? `its ${one}` : `its ${count} ${one}s`);
export const remove = {
  open: "Remove this room",
  ask: (/** @type {string} */ room, /** @type {string} */ too) => `Take ${room} out of the house${too}? What was metered stays on record.`,
  with: (/** @type {string[]} */ too) => (too.length ? `, with ${too.join(", ")}` : ""),
  heaters: (/** @type {number} */ count) => several(count, "heater"),
  programmes: (/** @type {number} */ count) => (count ? "its programme" : ""),
  sensors: (/** @type {number} */ count) => several(count, "sensor"),
  yes: "Remove it",
  no: "Keep it",
  blocked: (/** @type {number} */ count) => (count === 1 ? "A piece of another room leads here. Change it first:" : `${count} pieces of other rooms lead here. Change them first:`),
  leading: (/** @type {string} */ name, /** @type {string} */ room) => `${name} of ${room}`,
  done: (/** @type {string} */ room) => `${room} is taken out of the house.`,
  undone: (/** @type {string} */ room) => `${room} is back as it was.`,
  moved: "The house was changed again meanwhile, so nothing was undone.",
  why: (/** @type {string} */ room) => `${room} removed`,
  undo: (/** @type {string} */ room) => `undo: ${room} removed`,
};
