/**
 * Periods: whole days of the house's own calendar, from one day to, but not including, another.
 *
 * A period stands in the address, so that it can be kept, shared and gone back to: by a name that moves with the
 * calendar (`?period=this-week`), or by its days (`?from=2026-01-01&to=2026-01-31`). In an address, as everywhere over
 * HTTP, a date that ends a span is its last day.
 */

/** @typedef {{from: string, to: string}} Period dates; `to` is the first day after it */
/** @typedef {{period: Period, name: string | null}} Chosen */

const DAY_MS = 86_400_000;
const DATE = /^\d{4}-\d\d-\d\d$/u;
/** The longest that is read at once [d]: two years and a bit, so that two heating seasons can be seen. */
export const MOST_DAYS = 800;

/** @type {Record<string, (today: string) => Period>} */
const NAMED = {
  "28-days": (today) => ({ from: shift(today, -28), to: today }),
  "this-week": (today) => ({ from: monday(today), to: shift(today, 1) }),
  "last-week": (today) => ({ from: shift(monday(today), -7), to: monday(today) }),
  "this-month": (today) => ({ from: month(today, 0), to: shift(today, 1) }),
  "last-month": (today) => ({ from: month(today, -1), to: month(today, 0) }),
  "this-year": (today) => ({ from: `${today.slice(0, 4)}-01-01`, to: shift(today, 1) }),
};

export const NAMES = Object.keys(NAMED);
const USUAL = NAMES[0];

/** @param {string} date @param {number} days @returns {string} */
export function shift(date, days) {
  return new Date(Date.parse(date) + days * DAY_MS).toISOString().slice(0, 10);
}

/** @param {Period} period */
export function length({ from, to }) {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY_MS);
}

/** @param {Period} period @returns {string} the last day that belongs to it */
export function lastDay({ to }) {
  return shift(to, -1);
}

/** @param {string} timeZone @param {number} [now] @returns {string} the house's own date */
export function todayIn(timeZone, now = Date.now()) {
  const parts = { timeZone, year: "numeric", month: "2-digit", day: "2-digit" };
  return new Intl.DateTimeFormat("en-CA", /** @type {Intl.DateTimeFormatOptions} */ (parts)).format(now);
}

/** @param {string} name @param {string} today @returns {Chosen} */
export function named(name, today) {
  const known = name in NAMED ? name : USUAL;
  return { period: NAMED[known](today), name: known };
}

/**
 * The period that an address names; the usual one where it names none, or nonsense.
 *
 * @param {URLSearchParams} query
 * @param {string} today
 * @returns {Chosen & {refused: boolean}} `refused`: it named something that is no period
 */
export function read(query, today) {
  const [from, to, name] = ["from", "to", "period"].map((key) => query.get(key));
  if (from === null && to === null) return { ...named(name ?? USUAL, today), refused: name !== null && !(name in NAMED) };
  const period = ending(from, to ?? today);
  return isPeriod(period) ? { period, name: null, refused: false } : { ...named(USUAL, today), refused: true };
}

/**
 * What a period is set against: what the address names, else the days just before.
 *
 * @param {URLSearchParams} query
 * @param {Period} period
 * @returns {Chosen}
 */
export function readOther(query, period) {
  const other = ending(query.get("with_from"), query.get("with_to"));
  if (isPeriod(other)) return { period: other, name: null };
  return query.get("with") === "year-before" ? { period: yearBefore(period), name: "year-before" } : { period: before(period), name: "before" };
}

/** @param {Period} period @returns {Period} as many days just before it */
function before(period) {
  return { from: shift(period.from, -length(period)), to: period.from };
}

/** @param {Period} period @returns {Period} as many days, 52 weeks earlier, so that weekdays agree */
function yearBefore({ from, to }) {
  return { from: shift(from, -364), to: shift(to, -364) };
}

/**
 * The address of a period, of what it is set against, and of the view that shows it.
 *
 * @param {Chosen} chosen
 * @param {Chosen | null} [other]
 * @param {string} [view]
 */
export function address(chosen, other = null, view = "") {
  const days = (/** @type {Period} */ period) => ({ from: period.from, to: lastDay(period) });
  const query = new URLSearchParams(chosen.name ? { period: chosen.name } : days(chosen.period));
  if (other?.name) query.set("with", other.name);
  else if (other) {
    query.set("with_from", other.period.from);
    query.set("with_to", lastDay(other.period));
  }
  return `/use?${query}${view ? `#${view}` : ""}`;
}

/** @param {string | null} from @param {string | null} last @returns {Period} perhaps none that is real: ask `isPeriod` */
function ending(from, last) {
  return { from: from ?? "", to: isDate(last ?? "") ? shift(last ?? "", 1) : "" };
}

/** @param {string} date */
const isDate = (date) => DATE.test(date) && !Number.isNaN(Date.parse(date)) && shift(date, 0) === date;

/** @param {Period} period */
export function isPeriod(period) {
  return isDate(period.from) && isDate(period.to) && length(period) >= 1 && length(period) <= MOST_DAYS;
}

/** @param {string} date @returns {string} the Monday of its week */
function monday(date) {
  return shift(date, -((new Date(date).getUTCDay() + 6) % 7));
}

/** @param {string} date @param {number} months @returns {string} the first of a month */
function month(date, months) {
  const [year, number] = date.split("-").map(Number);
  return new Date(Date.UTC(year, number - 1 + months, 1)).toISOString().slice(0, 10);
}
