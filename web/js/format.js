/**
 * Numbers and times as people of the house write them: by Intl, in the house's own time zone.
 *
 * Decimals are fixed for each kind of figure, and the style sheet asks for tabular figures, so that a sheet of numbers
 * does not fidget as they change.
 */

const NARROW = "\u202f"; // a thin space at which no line breaks
const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;

/** @typedef {ReturnType<typeof formats>} Formats */

/**
 * @param {{locale?: string, timeZone?: string}} [options]
 */
export function formats({ locale = "en-GB", timeZone = "UTC" } = {}) {
  const fixed = (/** @type {number} */ digits) =>
    new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
  const [whole, one, two] = [fixed(0), fixed(1), fixed(2)];
  const significant = new Intl.NumberFormat(locale, { maximumSignificantDigits: 4 });
  const date = (/** @type {Intl.DateTimeFormatOptions} */ options) =>
    new Intl.DateTimeFormat(locale, { timeZone, ...options });
  const clock = date({ hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const seconds = date({ hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23" });
  const weekday = date({ weekday: "short" });
  const dayMonth = date({ day: "numeric", month: "short" });
  const full = date({ weekday: "short", day: "numeric", month: "short", year: "numeric" });
  const key = new Intl.DateTimeFormat("en-CA", { timeZone, year: "numeric", month: "2-digit", day: "2-digit" });
  const utc = (/** @type {Intl.DateTimeFormatOptions} */ options) => new Intl.DateTimeFormat(locale, { timeZone: "UTC", ...options });
  const [dateOnly, monthOnly, dayOnly] = [{ day: "numeric", month: "short" }, { month: "short", year: "numeric" }, { weekday: "short", day: "numeric", month: "short" }].map(
    (options) => utc(/** @type {Intl.DateTimeFormatOptions} */ (options)),
  );
  const plain = new Intl.DateTimeFormat(locale, { timeZone: "UTC", day: "numeric", month: "short", year: "numeric" });

  return {
    /** @param {number} celsius */
    temperature: (celsius) => minus(one.format(celsius + 0)),
    /** @param {number} celsius without a needless ".0" */
    level: (celsius) => minus(Number.isInteger(celsius) ? whole.format(celsius) : one.format(celsius)),
    /** @param {number} watts */
    watts: (watts) => minus(whole.format(Math.round(watts))),
    /** @param {number} watts @returns {string} kilowatts */
    kilowatts: (watts) => minus(two.format(watts / 1000)),
    /** @param {number} watts @returns {string} kilowatts, one decimal, for a fixed rating */
    rating: (watts) => minus(one.format(watts / 1000)),
    /** @param {number} wattHours @returns {string} kilowatt-hours */
    kilowattHours: (wattHours) => minus(one.format(wattHours / 1000)),
    /** @param {number} value */
    whole: (value) => minus(whole.format(value)),
    /** @param {number} value */
    twoDecimals: (value) => minus(two.format(value)),
    /** @param {number} value in a line of working: four significant digits */
    worked: (value) => minus(significant.format(value)),
    /** @param {number} value */
    oneDecimal: (value) => minus(one.format(value)),
    /** @param {number} value a W/K figure: three significant digits are all a metered house can give */
    coefficient: (value) => minus(value < 10 ? one.format(value) : whole.format(value)),
    /** @param {number} value @param {string} currency */
    money: (value, currency) => minus(new Intl.NumberFormat(locale, { style: "currency", currency }).format(value)),
    /** @param {number} value @param {string} currency for a scale */
    wholeMoney: (value, currency) => minus(new Intl.NumberFormat(locale, { style: "currency", currency, maximumFractionDigits: 0 }).format(value)),
    /** @param {number} share @returns {string} percent; "over 99" rather than a certainty nobody has */
    percent: (share) => (share > 0.99 ? "over 99" : share < 0.01 ? "under 1" : whole.format(100 * share)),
    /** @param {number | string} instant */
    time: (instant) => clock.format(new Date(instant)),
    /** @param {number | string} instant */
    seconds: (instant) => seconds.format(new Date(instant)),
    /** @param {number | string} instant */
    fullDate: (instant) => full.format(new Date(instant)),
    /** @param {string} day a date without time, such as 2026-02-03 */
    day: (day) => plain.format(new Date(`${day.slice(0, 10)}T00:00:00Z`)),

    /** @param {number | string} instant @returns {string} its date on the house's clock, such as 2026-02-03 */
    isoDay: (instant) => key.format(new Date(instant)),
    /** @param {string} day a date without time @returns {string} 3 Feb */
    dayMonth: (day) => dateOnly.format(new Date(day.slice(0, 10))),
    /** @param {string} day a date without time @returns {string} Tue, 3 Feb */
    weekdayOf: (day) => dayOnly.format(new Date(day.slice(0, 10))),
    /** @param {string} day a date without time @returns {string} Feb 2026 */
    month: (day) => monthOnly.format(new Date(day.slice(0, 10))),
    /** @param {number} value @param {string} currency a price per kWh, with all the digits that tariffs have */
    price: (value, currency) =>
      minus(new Intl.NumberFormat(locale, { style: "currency", currency, minimumFractionDigits: 3, maximumFractionDigits: 5 }).format(value)),

    /**
     * A time with as much of its date as `now` leaves open: 22:30, Fri 06:30, 3 Feb 06:30.
     *
     * @param {number | string} instant
     * @param {number} now
     */
    when: (instant, now) => {
      const at = new Date(instant);
      const hour = clock.format(at);
      if (key.format(at) === key.format(now)) return hour;
      const away = Math.abs(at.getTime() - now);
      return away < 6 * DAY ? `${weekday.format(at)} ${hour}` : `${dayMonth.format(at)} ${hour}`;
    },
  };
}

/**
 * How long ago, in the largest unit that still tells something.
 *
 * @param {number} ms
 * @returns {{count: number, unit: "s" | "min" | "h" | "d"}}
 */
export function age(ms) {
  if (ms < MINUTE) return { count: Math.max(0, Math.round(ms / 1000)), unit: "s" };
  if (ms < 120 * MINUTE) return { count: Math.floor(ms / MINUTE), unit: "min" };
  if (ms < 2 * DAY) return { count: Math.floor(ms / (60 * MINUTE)), unit: "h" };
  return { count: Math.floor(ms / DAY), unit: "d" };
}

/**
 * A sentence in which no number parts from its unit at a line's end.
 *
 * @param {string} text
 * @returns {string}
 */
export function bound(text) {
  return text.replace(/(\d) (?=(?:°C|K|W|kW|Wh|kWh|W\/K|V|A|%|s|min|h|d)(?![\p{L}\d]))/gu, `$1${NARROW}`);
}

/**
 * @param {string} text
 * @returns {string} with a true minus sign
 */
function minus(text) {
  return text.replace("-", "\u2212").replace(/^\u2212(0(?:\.0+)?)$/u, "$1");
}
