/** From the days behind a verdict to what the page draws, lists and saves: pure functions, no document. */

import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 * @typedef {import("/js/api-check.js").FitDay} FitDay
 * @typedef {import("/js/format.js").Formats} Formats
 */

const w = words.check.fit;
/** About so many dates stand under the plot. */
const LABELS = 5;
/** So many days of one reason are named, the rest counted. */
const NAMED = 6;

/**
 * @param {Pick<ZoneVerdict, "name" | "against_past">} zone
 * @param {FitDay[]} days
 * @param {Formats} fmt
 * @returns {import("/js/forms/fit-plot.js").FitValue}
 */
export function fitValue({ name, against_past: change }, days, fmt) {
  const step = Math.max(1, Math.ceil(days.length / LABELS));
  const at = change ? days.findIndex(({ date }) => date >= change.since) : -1;
  const used = days.filter((day) => day.used);
  return {
    columns: days.map((day, index) => ({
      metered: day.metered_w,
      predicted: day.predicted_w,
      low: day.low_w,
      high: day.high_w,
      used: day.used,
      sure: day.quality === "metered",
      label: index % step === Math.floor(step / 2) ? fmt.dayMonth(day.date) : "",
      said: dayInWords(day, fmt),
    })),
    scale: amountScale(days.flatMap(({ metered_w, high_w, predicted_w }) => [metered_w, high_w, predicted_w])),
    figure: fmt.watts,
    unit: words.units.watt,
    change: change && at > 0 ? { at, text: w.changed(fmt.dayMonth(change.since)) } : null,
    summary: w.summary({ room: name, used: used.length, of: days.length, inside: used.filter(inBand).length }),
    slider: w.slider,
  };
}

/** @param {FitDay} day */
const inBand = ({ metered_w, low_w, high_w }) =>
  metered_w !== null && low_w !== null && high_w !== null && metered_w >= low_w && metered_w <= high_w;

/**
 * @param {FitDay} day
 * @param {Formats} fmt
 */
function dayInWords(day, fmt) {
  const watts = (/** @type {number} */ value) => words.withUnit(fmt.watts(value), words.units.watt);
  const celsius = (/** @type {number} */ value) => words.withUnit(fmt.temperature(value), words.units.celsius);
  const parts = [
    day.metered_w === null ? w.notMetered : w.took(watts(day.metered_w), day.quality ? words.quality[day.quality] : ""),
    day.predicted_w !== null && w.expected(watts(day.predicted_w), range(day.low_w, day.high_w, fmt.watts)),
    day.temp_c !== null && day.outdoor_c !== null && w.between(celsius(day.temp_c), celsius(day.outdoor_c)),
    !day.used && w.notUsed(clause(day.why_not)),
  ];
  return `${fmt.weekdayOf(day.date)}: ${parts.filter(Boolean).join("; ")}.`;
}

/** @param {string | null} why a sentence @returns {string} as a part of one */
function clause(why) {
  const text = (why ?? w.unsaid).replace(/\.$/u, "");
  return /^[A-Z][a-z' ]/u.test(text) ? `${text.charAt(0).toLowerCase()}${text.slice(1)}` : text;
}

/**
 * Days that were not used, by reason, the commonest first.
 *
 * @param {FitDay[]} days
 * @param {Formats} fmt
 * @returns {string[]}
 */
export function unusedInWords(days, fmt) {
  /** @type {Map<string, string[]>} */
  const reasons = new Map();
  for (const { used, why_not, date } of days) {
    if (used) continue;
    const reason = (why_not ?? w.unsaid).replace(/\.$/u, "");
    reasons.set(reason, [...(reasons.get(reason) ?? []), fmt.dayMonth(date)]);
  }
  return [...reasons].sort((a, b) => b[1].length - a[1].length).map(([reason, dates]) => w.why(reason, some(dates)));
}

/** @param {string[]} dates */
function some(dates) {
  const rest = dates.length - NAMED;
  return rest > 1 ? `${dates.slice(0, NAMED).join(", ")} ${w.andMore(rest)}` : dates.join(", ");
}

/**
 * @param {FitDay[]} days
 * @param {Formats} fmt
 * @returns {import("/js/forms/why-line.js").Table}
 */
export function fitTable(days, fmt) {
  const number = (/** @type {number | null} */ value, /** @type {(value: number) => string} */ write) =>
    value === null ? words.check.absent : write(value);
  const rows = days.map((day) => [
    fmt.weekdayOf(day.date),
    number(day.metered_w, fmt.watts),
    number(day.predicted_w, fmt.watts),
    range(day.low_w, day.high_w, fmt.watts),
    number(day.temp_c, fmt.temperature),
    number(day.outdoor_c, fmt.temperature),
    day.used ? w.used : (day.why_not ?? w.unsaid),
    day.quality ? words.quality[day.quality] : words.check.absent,
  ]);
  return { caption: w.table, columns: w.columns, rows };
}

/** @param {number | null} low @param {number | null} high @param {(value: number) => string} write */
function range(low, high, write) {
  return low === null || high === null ? words.check.absent : words.check.range(write(low), write(high));
}

const KEYS = /** @type {const} */ ([
  "date", "metered_w", "predicted_w", "low_w", "high_w", "temp_c", "outdoor_c", "used", "why_not", "quality",
]);

/**
 * The days as CSV (RFC 4180), keys as in the API, nothing rounded.
 *
 * @param {FitDay[]} days
 */
export function fitCsv(days) {
  const cell = (/** @type {unknown} */ value) => {
    const text = value === null || value === undefined ? "" : `${value}`;
    return /[",\r\n]/u.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  const rows = days.map((day) => KEYS.map((key) => cell(day[key])).join());
  return [KEYS.join(), ...rows, ""].join("\r\n");
}
