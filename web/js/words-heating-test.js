/** What the heating test's form says. */

export const loading = "Looking for heating tests …";
export const failed = "The heating tests could not be read.";
export const again = "Try again";

export const form = {
  title: "Start a heating test",
  lead: (/** @type {string} */ room) =>
    `${room} and its heated neighbours are held at one level, night and day, until the nights have told how much heat the room loses.`,
  level: "Level",
  levelHint: "14 to 26 °C; the warmer than outside, the tighter the answer",
  nights: "Nights that count",
  nightsHint: "3 at least, 4 are usual; one day of settling goes before",
  who: "Your name",
  whoHint: "Kept with the test",
  coolDown: "Add a night without heat, down to setback: it shows how fast the room cools",
  empty: "Nobody lives in the house until the test is over",
  mild: "Start although the weather is mild; the interval will be wide",
  look: "See what it takes",
  start: "Start the heating test",
  starting: "Starting …",
  looking: "Working it out …",
  wrong: {
    temp_c: "a temperature from 14 to 26 °C",
    nights: "a whole number from 3 to 14",
    who: "a name of at most 80 letters",
    empty: "Tick this once the house is empty.",
  },
};

export const outlook = {
  title: "What it takes",
  rooms: "Rooms held",
  until: "From and to",
  counts: "Nights count from",
  energy: "Energy by design",
  usual: (/** @type {string} */ kwh) => `${kwh} as programmed`,
  money: "Money by tariff",
  noMoney: "no tariff known",
  noEnergy: "no outdoor temperature yet",
  outside: (/** @type {string} */ celsius) => `at ${celsius} outside as of late`,
  against: "It cannot start:",
  cautions: "Before you start",
  span: (/** @type {string} */ from, /** @type {string} */ to) => `${from} to ${to}`,
};

/** @type {Record<string, string>} */
export const stages = {
  planned: "Planned",
  settling: "Settling",
  measuring: "Measuring",
  done: "Done",
  "ended-early": "Ended early",
};

export const progress = {
  title: (/** @type {number} */ number, /** @type {string} */ stage) => `Heating test ${number}: ${stage.toLowerCase()}`,
  holds: (/** @type {string} */ rooms, /** @type {string} */ level) => `Holds ${rooms} at ${level}.`,
  nights: (/** @type {number} */ done, /** @type {number} */ of, /** @type {number} */ good) =>
    `${done} of ${of} nights over, ${good} of them good.`,
  ends: (/** @type {string} */ when) => `It ends ${when}.`,
  elsewhere: (/** @type {string} */ rooms) => `It measures ${rooms}, not this room.`,
  empty: "The house must stay empty: a request for heat in any room ends the test.",
  stop: "Stop the test",
  sure: "Stop now",
  keep: "Let it go on",
  why: "The nights so far stay; the rooms go back to their programmes.",
  working: "The result is being worked out.",
};

export const result = {
  title: (/** @type {number} */ number) => `Heating test ${number}`,
  loses: (/** @type {string} */ value, /** @type {string} */ low, /** @type {string} */ high) =>
    `Loses ${value} W/K, between ${low} and ${high} (95 %).`,
  design: (/** @type {string} */ value) => `Designed for ${value} W/K.`,
  cools: (/** @type {number} */ hours) => `It cools with a time constant of about ${hours} h.`,
  none: "No figure.",
  running: (/** @type {string} */ value, /** @type {string} */ low, /** @type {string} */ high) =>
    `So far ${value} W/K, between ${low} and ${high} (95 %); it stands once it has settled.`,
  ended: (/** @type {string} */ reason) => `Ended early: ${reason}.`,
  rests: (/** @type {string} */ design, /** @type {number} */ version) =>
    `Worked out from the nights alone, method ${version}, beside design ${design.slice(0, 12)}.`,
  caption: "Night by night, with the estimate from all good nights up to then",
  columns: ["Night of", "Heat W", "Room °C", "Outside °C", "So far W/K", "95 % range", "Counts"],
  yes: "yes",
};
