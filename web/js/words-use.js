/** The words of the Use page: energy and money over a period, compared, billed, and what they would be. */

const NARROW = "\u202f";

export const title = (/** @type {string} */ view, /** @type {string} */ house) => `${view} · Use · ${house} · ingle`;
export const heading = "Where did the kWh go, and what did they cost?";
/** @type {Record<string, string>} */
export const views = { where: "Where", compare: "Compare", bills: "Bills", "what-if": "What if", tariff: "Tariff" };
/** @type {Record<string, string>} */
export const headings = {
  where: heading,
  compare: "Is it more than before?",
  bills: "What was billed, and why is it high?",
  why: "Why is the bill high?",
  "what-if": "What would it cost?",
  tariff: "What does a kWh cost, and when?",
};
export const loading = "Adding up energy and money …";
export const failed = "The figures could not be read.";
export const partFailed = (/** @type {string} */ what) => `${what} could not be read.`;
export const absent = "–";
export const stale = (/** @type {string} */ ago) => `What stands below was read ${ago}.`;
export const print = "Print this sheet";
export const csv = "Every day as CSV";
export const range = (/** @type {string} */ first, /** @type {string} */ last) => (first === last ? first : `${first} to ${last}`);
export const daysLong = (/** @type {number} */ days) => (days === 1 ? "1 day" : `${days} days`);

export const period = {
  nav: "Period",
  /** @type {Record<string, string>} */
  names: {
    "28-days": "last 28 days",
    "this-week": "this week",
    "last-week": "last week",
    "this-month": "this month",
    "last-month": "last month",
    "this-year": "this year",
    before: "the days just before",
    "year-before": "52 weeks earlier",
  },
  other: "other days",
  from: "From",
  last: "To and including",
  show: "show",
  refused: "The address names no period that can be shown: a first day and a last day after it, at most 800 days apart. The last 28 days are shown.",
  wrong: "The last day must not lie before the first, nor more than 800 days after it.",
  soFar: "today so far",
  running: (/** @type {string} */ days) => `${days}, today so far`,
};

export const where = {
  energy: "Energy",
  money: "Money",
  noMoney: "no tariff",
  allIn: "with standing charge and tax",
  perDay: "Per day",
  cold: "Degree days",
  base: (/** @type {string} */ base) => `below ${base}`,
  outdoor: (/** @type {string} */ mean) => `outside ${mean} on average`,
  rooms: "Rooms",
  heads: ["Room", "Energy", "Before tax"],
  days: "Day by day",
  weeks: "Week by week",
  months: "Month by month",
  noTariff: "Energy is shown without money: no tariff covers these days. Add a [[tariff]] to the house file, from the day on which its prices hold.",
  toTariff: "What a tariff looks like",
  toCheck: "Does a room use more than it should? See Check.",
  nothing: "No heater has reported any energy in these days.",
  nothingYet: "Choose other days above, or look on Now whether the heaters are heard.",
  noZones: "No room yet. Load a house file, and its rooms stand here:",
  missing: "Missing:",
  partly: "Look at this.",
  quality: {
    metered: "metered",
    estimated: "estimated",
    filled: "filled in",
    stale: "stale",
  },
  /** @type {Record<string, string>} */
  sumQuality: {
    metered: "metered",
    estimated: "partly estimated",
    filled: "partly filled in",
    stale: "partly from old readings",
  },
  noReading: "no reading",
  share: (/** @type {string} */ percent) => `${percent}${NARROW}% of the house`,
  sums: {
    rooms: "All rooms",
    standing: "Standing charge",
    tax: "Tax",
    total: "Total",
  },
  standingDays: (/** @type {string} */ days) => days,
  heaters: "Heaters",
  heaterColumns: ["Heater", "Energy kWh", "Before tax", "Quality"],
  rateColumns: ["Price per kWh", "Energy kWh", "Before tax"],
  ratesOf: (/** @type {string} */ room) => `What ${room} used at each price`,
  heatersOf: (/** @type {string} */ room) => `Heaters of ${room}`,
  withTax: (/** @type {string} */ total) => `${total} with tax; the standing charge is the house's.`,
  dayColumns: ["Day", "Energy kWh", "Money, all in", "Outside °C", "Degree days K·d", "Quality"],
  roomsTable: "The rooms as a table",
  roomColumns: ["Room", "Energy kWh", "Before tax", "Tax", "With tax", "Quality"],
  daysTable: "The days as a table",
  slider: "Read a day",
  weekOf: (/** @type {string} */ day) => `week of ${day}`,
  /** @param {{rooms: number, days: string, energy: string, money: string, most: string}} v */
  summary: ({ rooms, days, energy, money, most }) =>
    `${rooms === 1 ? "1 room" : `${rooms} rooms`} used ${energy} in ${days}${money && `, ${money} all in`}.${most && ` Most went to ${most}.`}`,
  /** @param {{count: number, unit: string, least: string, most: string}} v */
  plot: ({ count, unit, least, most }) => `Energy of ${count} ${unit}: from ${least} to ${most}.`,
  /** @type {Record<string, [string, string]>} */
  counted: { day: ["day", "days"], week: ["week", "weeks"], month: ["month", "months"] },
  kelvinDays: (/** @type {string} */ figure) => `${figure}${NARROW}K·d`,
  outside: (/** @type {string} */ mean) => `outside ${mean}`,
  carbon: "Carbon",
  factor: (/** @type {string} */ year, /** @type {string} */ factor) => `${factor}${NARROW}kg/kWh for ${year}`,
  factors: (/** @type {string[]} */ factors, /** @type {string} */ whose) => `at ${factors.join(" and ")} (${whose}).`,
  bookings: "Bookings",
  bookingColumns: ["Booking", "Room", "Energy kWh", "With tax"],
};

export const bill = {
  none: "No bill or meter reading entered yet. With two of them ingle can say why one is higher.",
  other: "Used beside the heaters = what was billed less what the heaters metered in the same days.",
  add: "Enter a bill or a meter reading",
  change: "Change it",
  kind: "What it is",
  /** @type {Record<string, string>} */
  kinds: { bill: "bill", meter: "meter read by hand" },
  from: "From",
  last: "To and including",
  kwh: "Energy",
  money: "Money, all in",
  moneyHint: "empty where only energy is known",
  reading: "Its reading was",
  /** @type {Record<string, string>} */
  readings: { false: "read", true: "estimated" },
  estimated: "its reading was estimated",
  note: "Note",
  enter: "Enter it",
  keep: "Keep the change",
  leave: "leave as it is",
  entered: "It is entered.",
  changed: "It is changed.",
  dropped: (/** @type {string} */ days) => `${days} is taken away.`,
  undone: "It is as it was.",
  changeIt: "change",
  drop: "take away",
  changeThis: (/** @type {string} */ days) => `Change: ${days}`,
  dropThis: (/** @type {string} */ days) => `Take away: ${days}`,
  aDay: (/** @type {string} */ kwh) => `${kwh} a day`,
  split: (/** @type {string} */ heaters, /** @type {string} */ quality, /** @type {string} */ other, /** @type {string} */ from) =>
    `Heaters ${heaters} (${quality}); beside them ${other}${from}.`,
  /** @type {Record<string, string>} */
  otherFrom: { "supply meter": " by the supply's own meter", bill: "" },
  why: "why so much?",
  all: "All bills",
  against: "Set against",
  wrong: {
    day: "A day is needed.",
    order: "The last day must not lie before the first.",
    amount: "A figure is needed, such as 1480 or 430.06.",
    allowed: (/** @type {string} */ allowed) => `Allowed: ${allowed}.`,
    silent: "ingle does not answer. Nothing was changed; what you typed is kept here.",
  },
  /** @type {Record<string, string>} */
  steps: {
    days: "Days",
    price: "Price",
    weather: "Weather",
    warmer: "Room temperatures",
    longer: "Warm hours",
    loss: "Heat loss",
    "other-load": "Other than heating",
    unexplained: "Not explained",
  },
  order: (/** @type {string} */ order) => `The steps sum exactly to the difference, each ${order}.`,
  stepTable: "The steps as a table",
  stepColumns: ["Step", "Money", "Energy kWh", "Why"],
};

export const compare = {
  against: "Set against",
  ofPeriod: "in the period ",
  ofOther: "in the days it is set against ",
  perDay: "Energy a day",
  perDegreeDay: "Energy a degree day",
  moneyPerDay: "Money a day",
  moneyHint: "All in; a change of price is in it.",
  outdoor: "Outside, mean",
  days: (/** @type {number} */ days, /** @type {number} */ out) =>
    `${days === 1 ? "1 whole day" : `${days} whole days`}${out ? `, ${out} not whole or not known` : ""}`,
  limits: (/** @type {string} */ percent, /** @type {string} */ low, /** @type {string} */ high) =>
    `${percent}, 95${NARROW}% range ${low} to ${high}`,
  /** @type {Record<string, string>} */
  words: { more: "more", less: "less", "no change": "no change", "cannot say": "cannot say" },
  table: "Both periods as a table",
  columns: ["Figure", "This period", "Set against", "Change", "In a word"],
  rows: { days: "Whole days", kwh: "Energy kWh", perDay: "kWh a day", degreeDays: "Degree days K·d", perDegreeDay: "kWh a degree day", outdoor: "Outside °C", quality: "Quality" },
  how: "Per degree day, cold days are set against cold days. A change no larger than chance makes from day to day is called no change.",
};

export const whatIf = {
  heads: ["Way, reckoned a day", "Energy", "With tax"],
  cannot: "Cannot say yet.",
  /** @param {{outdoor: string, loss: string, tau: string, power: string}} v */
  rests: ({ outdoor, loss, tau, power }) => `At ${outdoor} outside, with ${loss}, a time constant of ${tau} and ${power} of heaters.`,
  /** @type {Record<string, string>} */
  lossFrom: { metered: "as metered", design: "as designed", given: "as you gave it" },
  assumptions: "What this takes for granted",
  table: "The ways as a table",
  columns: ["Way", "kWh a day", "Money a day", "Against now kWh", "Mean °C", "Warm-up h", "Reaches what is wanted"],
  against: (/** @type {string} */ difference) => `${difference} against the programme.`,
  coldTimes: (/** @type {number} */ times) => (times === 1 ? "Once colder than wanted." : `${times} times colder than wanted.`),
  never: "Full power never brings it to what is wanted.",
  yes: "yes",
  no: "no",
  everyDay: "every day",
  cold: "When it would be colder than wanted",
  coldColumns: ["Day", "From", "Until", "Wanted", "Lowest", "Reached"],
  change: "Ask it another way",
  /** @type {Record<string, string>} */
  fields: { less_k: "Cooler by", less_h: "Sooner off by", held_c: "Held all day at", cap_a: "Supply cap", outdoor_c: "Outside" },
  /** @type {Record<string, string>} */
  usual: { less_k: "1", less_h: "1", held_c: "as now", cap_a: "as now", outdoor_c: "as lately" },
  work: "Work it out",
};

export const tariff = {
  day: "Day",
  hours: (/** @type {number} */ hours) => `${hours} hours: the clocks change`,
  /** @type {Record<string, string>} */
  steps: { "-7": "a week earlier", "-1": "day before", 0: "today", 1: "day after", 7: "a week later" },
  none: "No tariff covers this day: energy is counted, money is not. A tariff stands in the house file, from the day on which its prices hold:",
  example: "A tariff as it stands in a house file",
  edit: "Tariffs are kept in the house file as dated entries, so that old bills keep their old prices. Change the file, then:",
  table: "Prices of the day, by the clock of the house",
  columns: ["When", "Before tax", "With tax"],
  standing: "Standing charge a day",
  beforeTax: "before tax",
  tax: "Tax",
  onBoth: "on energy and standing charge",
  since: "Holds since",
  series: "Half-hourly prices",
  seriesHint: "where none is known, the rates of the house file hold",
  negative: "Below zero.",
  negativeBody: "At these times you are paid for what you use.",
  perKwh: (/** @type {string} */ price) => `${price}/kWh`,
  stretch: (/** @type {string} */ from, /** @type {string} */ to, /** @type {string} */ price) => `${from} to ${to} ${price}`,
  summary: (/** @type {number} */ hours, /** @type {string[]} */ stretches) =>
    `${hours === 24 ? "A day" : `A day of ${hours} hours`}: ${stretches.join(", ")}.`,
};

export const forecast = {
  heading: "The coming days",
  kept: "What is said beforehand is kept as it was said, and scored when the days are over.",
  typical: (/** @type {number} */ scored, /** @type {string} */ percent) => `Of ${scored} scored, off by ${percent} typically.`,
  none: "Nothing has been said of coming days yet.",
  range: (/** @type {string} */ low, /** @type {string} */ high) => `${low} to ${high}${NARROW}kWh, 95${NARROW}% range.`,
  made: (/** @type {string} */ when, /** @type {string} */ who) => `Said ${when} by ${who}.`,
  broken: "The text of this forecast is no longer what was noted of it when it was made: do not rely on it.",
  rooms: "Room by room",
  columns: ["Room", "Said kWh", "95 % range", "Money, with tax", "Was kWh", "Reckoned by"],
  /** @type {Record<string, string>} */
  methods: { "degree-days": "its own days, by degree days", days: "its own days", design: "its design" },
  ask: "Say what some days will take",
  /** @type {Record<string, string>} */
  fields: { from: "From", last: "To and including", outdoor_c: "Outside, mean" },
  lately: "as lately",
  say: "Say it and keep it",
  wrongTemperature: "The mean outside must be a figure, such as 4.5.",
  wrongDays: "The last day must not lie before the first.",
};

export const trial = {
  heading: "Would another tariff pay?",
  what: (/** @type {string} */ days) => `The use of ${days} as it was, at the prices of an offer. Nothing is stored.`,
  offer: "An offer, before tax",
  /** @type {Record<string, string>} */
  fields: { rest: "Price", low: "Cheaper price, if any", from: "Cheaper from", to: "Cheaper to", clock: "Those times by", standing: "Standing charge a day", tax: "Tax", currency: "Currency" },
  clocks: { local: "the house's clock", utc: "UTC, all year" },
  work: "Work it out",
  heads: ["Tariff", "All in"],
  own: "The house's own",
  tried: "The offer",
  rests: (/** @type {string} */ kwh, /** @type {string} */ from, /** @type {string} */ quality) => `${kwh} by ${from}, ${quality}.`,
  /** @type {Record<string, string>} */
  useFrom: { "supply meter": "the supply's own meter", heaters: "the heaters alone" },
  wrong: {
    rest: "The price of a kWh is needed, such as 0.28.",
    figure: "Each price and charge must be a figure, such as 0.28.",
    window: "A cheaper price needs both its times, and times need their price.",
  },
};
