/** The words of the Check page: verdicts, what they rest on, causes, and what to look at next. */

const NARROW = "\u202f";
/** @param {string} figure @param {string} unit */
const withUnit = (figure, unit) => `${figure}${NARROW}${unit}`;

export const title = (/** @type {string} */ house) => `Check · ${house} · ingle`;
export const roomTitle = (/** @type {string} */ room, /** @type {string} */ house) => `${room} · Check · ${house} · ingle`;
export const heading = "Does each room perform as designed?";
export const loading = "Weighing the readings against the design. This may take some seconds …";
export const all = "All rooms";
export const toNow = "How it is now";
export const toDesign = "Its design";
export const gone = "This house has no such room.";
export const metered = (/** @type {string} */ metered, /** @type {string} */ design) => `${metered} metered, ${design} designed`;
export const designOnly = (/** @type {string} */ design) => `${design} designed`;
export const noDesign = "no design value";
export const ratio = (/** @type {string} */ ratio) => `${ratio} × design`;
export const sure = (/** @type {string} */ percent) => `${withUnit(percent, "%")} sure`;
export const likely = (/** @type {string} */ cause, /** @type {string} */ percent) => `${cause}, ${withUnit(percent, "%")} likely`;
export const next = (/** @type {string} */ next) => `Next: ${next}`;
export const moreCauses = (/** @type {number} */ count) => (count === 1 ? "1 more cause possible" : `${count} more causes possible`);
export const failed = "The verdicts could not be read.";
export const failedRoom = "What this room's verdict rests on could not be read.";
export const possible = (/** @type {string} */ day) => `Should be possible from ${day}.`;
export const noDate = "No date can be given yet.";
export const days = (/** @type {number} */ days) => (days === 1 ? "rests on 1 day" : `rests on ${days} days`);
export const kwh = (/** @type {string} */ metered, /** @type {string} */ expected) => `Used ${metered}; the design would expect ${expected}.`;
export const worked = (/** @type {string} */ ago) => `Worked out ${ago}.`;
export const offline = (/** @type {string} */ time) => `ingle stopped answering at ${time}; what was read stays.`;
export const anew = "work out anew";
export const period = (/** @type {string} */ start, /** @type {string} */ end) => `${start} to ${end}`;
export const table = "The figures as a table";
export const none = "No room to compare yet. Load a house file and let some cold days pass.";
export const columns = {
  room: "Room",
  design: "Design W/K",
  designRange: "95 % range",
  metered: "Metered W/K",
  meteredRange: "95 % range",
  ratio: "Ratio",
  verdict: "Verdict",
  probability: "Probability",
  causes: "Causes",
  energy: "Used kWh",
  expected: "Expected kWh",
};
export const range = (/** @type {string} */ low, /** @type {string} */ high) => `${low} to ${high}`;
export const absent = "–";

export const figures = {
  metered: "Metered heat loss per degree",
  design: "Designed, in use",
  ratio: "Metered over designed",
  days: "Rests on",
  used: "Used",
  expected: "The design would expect",
  range95: (/** @type {string} */ low, /** @type {string} */ high) => `${low} to ${high}, 95${NARROW}% range`,
  daysOf: (/** @type {number} */ days) => (days === 1 ? "1 day" : `${days} days`),
};

export const fit = {
  title: "What it rests on, day by day",
  lead: "Each dot is what a day took; the line is what the estimate says it should have taken in that day's weather, the band its 95 % range.",
  none: "No day stands in the record yet.",
  loading: "Reading the days behind it …",
  summary: (/** @type {{room: string, used: number, of: number, inside: number}} */ { room, used, of, inside }) =>
    `${room}: ${used} of ${of} days used; ${inside} of them lie within the 95${NARROW}% band.`,
  unused: (/** @type {number} */ count) => (count === 1 ? "1 day was not used" : `${count} days were not used`),
  why: (/** @type {string} */ why, /** @type {string} */ days) => `${why}: ${days}`,
  unsaid: "no reason kept",
  andMore: (/** @type {number} */ count) => `and ${count} more`,
  table: "The days as a table",
  csv: "Every day as CSV",
  columns: ["Day", "Metered W", "Predicted W", "95 % range W", "Inside °C", "Outside °C", "Used", "Quality"],
  used: "yes",
  slider: "Day to read",
  notMetered: "no energy reading",
  took: (/** @type {string} */ watts, /** @type {string} */ quality) => (quality && quality !== "metered" ? `${watts}, ${quality}` : `${watts} metered`),
  expected: (/** @type {string} */ watts, /** @type {string} */ band) => `${watts} predicted (${band})`,
  between: (/** @type {string} */ inside, /** @type {string} */ outside) => `${inside} inside, ${outside} outside`,
  notUsed: (/** @type {string} */ why) => `not used: ${why}`,
  changed: (/** @type {string} */ day) => `changed ${day}`,
};

export const against = {
  title: "Against what",
  lead: "One scale: 1 is as it should be, more is more loss.",
  design: "its design",
  house: "the house's other rooms",
  past: "its own past",
  none: "not known yet",
  noPast: "no lasting change in the record",
  ratio: (/** @type {string} */ ratio, /** @type {string} */ low, /** @type {string} */ high) => `${ratio} (${low} to ${high})`,
  past_: (/** @type {string} */ before, /** @type {string} */ after, /** @type {string} */ day) => `from ${before} to ${after} since ${day}`,
  changed: (/** @type {string} */ percent) => `${withUnit(percent, "%")} sure that it changed`,
  /** @type {Record<string, string>} */
  house_: {
    "loses-more": "Loses more than they do of their design",
    "loses-less": "Loses less than they do of their design",
    "as-designed": "Like them",
    "cannot-say-yet": "Cannot say yet",
  },
  summary: (/** @type {string} */ what, /** @type {string} */ said) => `Against ${what}: ${said}.`,
};

export const causes = {
  title: "What may explain it",
  none: "Nothing stands out that would explain it.",
  asIs: "Nothing needs explaining.",
  likely: "likely",
  for: "For it",
  against: "Against it",
  noAgainst: "Nothing in the record speaks against it.",
  next: "Next on site",
  cost: "In 30 days",
  noCost: "Nothing that could be reckoned.",
  takes: (/** @type {string} */ kwh, /** @type {string} */ band) => (band ? `${kwh} (${band})` : kwh),
  about: (/** @type {string} */ amount) => `about ${amount} in 30 days`,
};

export const looks = {
  count: (/** @type {number} */ count) => (count === 1 ? "1 thing to look at." : `${count} things to look at.`),
};

export const mould = {
  title: "Damp and mould",
  /** @type {Record<string, string>} */
  verdicts: { risk: "Mould is likely", watch: "Keep an eye on it", none: "No risk seen", "cannot-say-yet": "Cannot say yet" },
  short: (/** @type {string} */ verdict) => `Damp: ${verdict.charAt(0).toLowerCase()}${verdict.slice(1)}.`,
  surface: (/** @type {string} */ limit) => `humidity at the coldest surface; mould from ${limit}`,
  days: (/** @type {number} */ over, /** @type {number} */ days) => `${over} of the last ${days} days above it`,
  summary: (/** @type {string} */ here, /** @type {string} */ limit) => `Humidity at the coldest surface ${here}; mould from ${limit}.`,
  unknown: "Nobody measures humidity here.",
};

export const past = {
  title: "Look by look",
  lead: "What each weekly look found, against the design it was compared with.",
  none: "No look is kept yet; one is kept each week.",
  slider: "Look to read",
  failed: "The earlier looks could not be read.",
  columns: ["Look", "Metered W/K", "95 % range", "Design W/K", "Verdict", "Probability", "Design", "Method"],
  summary: (/** @type {string} */ room, /** @type {number} */ count, /** @type {string} */ last) =>
    `${room}: ${count === 1 ? "1 look" : `${count} looks`}; the last found ${last}.`,
  version: (/** @type {number} */ version) => `version ${version}`,
  table: "The looks as a table",
};

export const bench = {
  title: "A heating test",
  lead: "A level held for some nights in an empty house gives a tight answer in days instead of weeks.",
};

export const methodVersion = (/** @type {string} */ method, /** @type {number} */ version) => `${method}, version ${version}`;

/** @type {Record<string, string>} */
export const verdicts = {
  "loses-more": "Loses more than designed",
  "loses-less": "Loses less than designed",
  "as-designed": "As designed",
  "cannot-say-yet": "Cannot say yet",
};

/** @type {Record<string, string>} */
export const names = {
  leak: "A leak in the room's envelope",
  "survey-wrong": "The survey does not match the room",
  opening: "A window or door left open",
  "cold-neighbour": "A colder room next to it",
  "other-heat": "Heat from something not metered",
  "gains-low": "Less free heat than usual",
  "part-failed": "Part of a heater has failed",
  "weak-voltage": "Low voltage at the heater",
  "too-small": "The heater is too small",
  "sensor-bias": "The sensor reads off by a constant",
  "sensor-place": "The sensor hangs in a poor place",
  "target-high": "Kept warmer than planned",
  "hours-long": "Kept warm for longer than planned",
  "start-late": "Starts too late",
  "local-change": "Changed at the heater by hand",
  "cap-binding": "Held back by the cap",
  "radio-lost": "The heater is often not reached",
  "tariff-clock": "Off-peak use outside its hours",
};

/**
 * The verdicts of a house in one sentence.
 *
 * @param {Record<string, number>} counts by verdict
 * @param {string | null} earliest the first day on which a room that cannot be judged yet should be
 */
export function verdictSentence(counts, earliest) {
  const total = Object.values(counts).reduce((sum, count) => sum + count, 0);
  const parts = [
    counts["loses-more"] && `${several(counts["loses-more"], "loses", "lose")} more than designed`,
    counts["loses-less"] && `${several(counts["loses-less"], "loses", "lose")} less`,
    counts["as-designed"] && `${several(counts["as-designed"], "is", "are")} as designed`,
    counts["cannot-say-yet"] &&
      `${counts["cannot-say-yet"]} cannot be judged yet${earliest ? ` (the first should be from ${earliest})` : ""}`,
  ].filter(Boolean);
  return `Of ${total === 1 ? "1 room" : `${total} rooms`}, ${list(parts)}.`;
}

/** @param {number} count @param {string} one @param {string} many */
const several = (count, one, many) => `${count} ${count === 1 ? one : many}`;

/** @param {unknown[]} parts */
const list = (parts) => (parts.length < 2 ? `${parts[0] ?? ""}` : `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`);
