/**
 * Every word a person reads on these pages, in one place, so that a second language is a second file.
 *
 * Short, plain, the glossary's. Functions where a sentence has a gap; values arrive already formatted.
 */

export * as check from "/js/words-check.js";
export * as design from "/js/words-design.js";
export * as proof from "/js/words-proof.js";
export * as survey from "/js/words-survey.js";

export const LOCALE = "en-GB";
export const NARROW = "\u202f";

export const pages = { now: "Now", use: "Use", design: "Design", check: "Check" };

export const units = {
  celsius: "°C",
  watt: "W",
  kilowatt: "kW",
  kilowattHour: "kWh",
  coefficient: "W/K",
  s: "s",
  min: "min",
  h: "h",
  d: "d",
};

/** @param {string} figure @param {string} unit */
export const withUnit = (figure, unit) => `${figure}${NARROW}${unit}`;

/** @param {{count: number, unit: "s" | "min" | "h" | "d"}} age */
export const ago = ({ count, unit }) => (unit === "s" && count < 5 ? "just now" : `${withUnit(`${count}`, unit)} ago`);

/** @param {{count: number, unit: "s" | "min" | "h" | "d"}} age */
export const old = ({ count, unit }) => `${withUnit(`${count}`, unit)} old`;

export const now = {
  title: (/** @type {string} */ house) => `Now · ${house} · ingle`,
  rooms: "Rooms",
  power: "Power now",
  today: "Today",
  outside: "Outside",
  rest: "Rooms that want a look",
  ofCap: (/** @type {string} */ cap) => `of ${cap} cap`,
  noCap: (/** @type {string} */ plates) => `of ${plates} on the plates`,
  connected: (/** @type {string} */ plates) => `${plates} connected`,
  noPower: "no power reading",
  noEnergy: "no energy reading yet",
  noMoney: "no tariff",
  noOutside: "no outside reading",
  none: "None: nothing waits for you.",
  look: (/** @type {number} */ count) => (count === 1 ? "1 room wants a look" : `${count} rooms want a look`),
  loading: "Reading the house from ingle …",
  noZones: "No room yet. Load a house file, and its rooms stand here:",
  loadCommand: "ingle house load FILE",
  table: "The rooms as a table",
  stale: (/** @type {string} */ state) => `${state}, stale`,
  columns: ["Room", "Now", "Wanted", "State", "Power", "Plate", "Quality", "Read", "Why"],
  summary: (/** @type {{rooms: number, within: number, below: number, power: string}} */ { rooms, within, below, power }) =>
    `${rooms} rooms: ${within} within the wanted band, ${below} below it or warming; heaters draw ${power}.`,
};

export const link = {
  opening: "asking ingle",
  up: (/** @type {string} */ time) => `live, ${time}`,
  down: "offline",
  stopped: (/** @type {string} */ time) =>
    `ingle stopped answering at ${time}; heaters keep their last orders. This page goes on trying by itself.`,
  never: "ingle does not answer; heaters keep their last orders. This page goes on trying by itself.",
  broker: "The broker does not answer. Readings and orders wait; heaters keep their last orders.",
  history: "History is paused: the disk takes nothing. Heating goes on; free some space.",
};

/** @type {Record<string, string>} */
export const clocks = {
  synchronised: "synchronised",
  confirmed: "confirmed by a person",
  assumed: "assumed right",
  trusted: "trusted by setting",
  untrusted: "not trusted yet",
  stepped: "has jumped",
};

export const confirm = (/** @type {string} */ time) => `Yes, it is ${time}`;

export const title = {
  sheet: "Sheet",
  house: "House",
  read: "Read",
  clock: "Clock",
  broker: "Broker",
  history: "History",
  zone: "Time zone",
  days: "Days",
  design: "Design",
  method: "Method",
  outside: "Outside",
  up: "answers",
  down: "does not answer",
  kept: "kept",
  paused: "paused",
};

export const notice = {
  attention: "Look at this.",
  urgent: "Act now.",
  since: (/** @type {string} */ time) => `Since ${time}.`,
};

/** @type {Record<string, string>} */
export const states = {
  below: "below",
  within: "within",
  above: "above",
  warming: "warming",
  coasting: "coasting",
  unknown: "unknown",
  satisfied: "satisfied",
  heating: "heating",
  held: "held",
  isolated: "isolated",
  fault: "fault",
  unreachable: "unreachable",
};

/** @type {Record<string, string>} */
export const heldBy = {
  opening: "opening",
  cap: "cap",
  price: "price",
  limit: "limit",
  absence: "absence",
  sensor: "sensor",
};

/** @type {Record<string, string>} */
export const quality = { metered: "metered", estimated: "estimated", filled: "filled", stale: "stale" };

/** @type {Record<string, string>} */
export const levels = { occupied: "Occupied", setback: "Setback", vacant: "Vacant", frost: "Frost" };

/** @type {Record<string, string>} */
export const rules = {
  cap: "supply or circuit cap",
  "not-driven": "not driven by ingle",
  "frost-floor": "frost floor",
  opening: "opening",
  lock: "lock and range",
  override: "override",
  booking: "booking",
  absence: "absence",
  presence: "presence",
  price: "price",
  programme: "programme",
  "clock-untrusted": "clock not trusted yet",
  "no-programme": "no programme",
  "heating-test": "heating test",
};

export const gauge = {
  noReading: "no reading",
  /** @param {{name: string, temp: string | null, wanted: string, state: string, outside: string | null, age: string}} v */
  summary: ({ name, temp, wanted, state, outside, age }) =>
    [
      temp ? `${name}: ${temp}${age && `, ${age}`}` : `${name}: no reading`,
      `wanted ${wanted}`,
      state,
      outside && `outside ${outside}`,
    ]
      .filter(Boolean)
      .join("; ") + ".",
  outside: "outside",
  wanted: (/** @type {string} */ wanted) => `wanted ${wanted}`,
  rising: "rising",
  falling: "falling",
  scale: (/** @type {string} */ low, /** @type {string} */ high, /** @type {string} */ unit) =>
    `One scale for all rooms: ${low} to ${high} ${unit}.`,
};

export const power = {
  of: (/** @type {string} */ plate) => `of ${plate}`,
  unknown: "unknown",
  held: (/** @type {string} */ by) => (by ? `held: ${by}` : "held"),
  some: (/** @type {number} */ count, /** @type {number} */ of, /** @type {string} */ state) => `${count} of ${of} ${state}`,
  none: "no heater",
  /** @param {{name: string, now: string, plate: string, state: string}} v */
  summary: ({ name, now, plate, state }) => `${name}: ${now} of ${plate}, ${state}.`,
};

export const why = {
  rule: "Rule now",
  wanted: "Wanted",
  until: "Until",
  next: "Then",
  read: "Read",
  noEnd: "no end set",
  noNext: "no change known",
  never: "never",
  more: "more",
  heaters: (/** @type {string} */ zone) => `Heaters of ${zone}`,
  heater: "Heater",
  state: "State",
  now: "Now",
  plate: "Plate",
  order: "Order",
  reason: "Why",
  notDriven: "none: not driven",
  noHeat: "no heat",
  limit: (/** @type {string} */ setpoint, /** @type {string} */ limit) => `${setpoint}, at most ${limit}`,
};

export const act = {
  cooler: "cooler",
  warmer: "warmer",
  coolerFor: (/** @type {string} */ zone) => `Cooler: ${zone}`,
  warmerFor: (/** @type {string} */ zone) => `Warmer: ${zone}`,
  panel: (/** @type {string} */ zone) => `Hold another temperature in ${zone}`,
  hold: (/** @type {string} */ temp) => `Hold ${temp}`,
  untilWhen: "Until when?",
  half: "half a degree",
  less: "Half a degree less",
  more: "Half a degree more",
  hours: (/** @type {number} */ hours) => `for ${withUnit(`${hours}`, "h")}`,
  until: (/** @type {string} */ when) => `until ${when}`,
  nextChange: "the next change",
  release: "back to the programme",
  close: "leave as it is",
  sending: "Asking ingle …",
  done: (/** @type {string} */ zone, /** @type {string} */ temp, /** @type {string} */ until) =>
    until ? `${zone} holds ${temp} until ${until}.` : `${zone} holds ${temp}.`,
  released: (/** @type {string} */ zone) => `${zone} follows its programme again.`,
  undone: (/** @type {string} */ zone) => `${zone} is as it was.`,
  undo: "Undo",
  undoSeconds: (/** @type {number} */ seconds) => withUnit(`${seconds}`, "s"),
};

export const problem = {
  silent: "ingle does not answer. Nothing was changed; try again when it does.",
  silentRead: "ingle does not answer. Look whether it runs: systemctl status ingle",
  status: (/** @type {number} */ status) => `The answer was ${status}, without a reason. Nothing was changed.`,
  allowed: (/** @type {string} */ allowed) => `Allowed: ${allowed}.`,
  again: "Try again",
};

export const key = {
  title: "Key",
  quality: "Figures are metered unless a word beside them says otherwise: estimated, filled or stale.",
  band: "wanted band",
  tick: "the room now",
  stale: "an old reading, with its age",
  outside: "outside",
  span: "still to go",
  proposed: "what you are about to hold",
  heat: "heating",
  held: "held, with the reason",
  lost: "not reached",
  design: "design, 95 % range, line at its value",
  plates: "what the heaters' plates add up to",
  inks: "share of the room's loss: under 5, 10, 20, 35 %, and more",
  gain: "heat that comes in from a warmer room",
  used: "used, metered",
  estimated: "used, estimated from running time",
  filled: "used, filled in or from old readings",
  outdoorDay: "outside, mean",
  mark: "reckoned; the stroke: what the programme takes",
  said: "said beforehand, 95 % range; the stroke: what it was",
  rise: "adds to it",
  fall: "takes from it",
  other: "the other period",
  rest: "billed, and not the heaters' or not known",
  prices: "price: hollow below nought, the darker the dearer",
  metered: "metered, 95 % range",
  unsaid: "cannot say yet",
  predicted: "what the estimate says, 95 % range",
  day: "a day, metered",
  unsure: "a day, not metered throughout",
  unused: "a day that was not used",
};
