/** From the prices of one day to its strip: pure functions, no document. */

import { INKS } from "/js/forms/hatch.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {{from: string, to: string, per_kwh: string | null}} Stretch instants; null where no tariff holds
 * @typedef {{date: string, hours: number, currency: string | null, standing: string | null, tax_percent: number | null,
 *   since: string | null, series: string | null, stretches: Stretch[]}} TariffDay
 */

const w = use.tariff;
const MINUTE_MS = 60_000;

/**
 * @param {TariffDay} day
 * @param {import("/js/format.js").Formats} fmt
 * @param {number | null} nowMs null: the day is not today
 * @returns {import("/js/forms/day-strip.js").StripValue}
 */
export function stripValue(day, fmt, nowMs) {
  const start = Date.parse(day.stretches[0].from);
  const minutes = day.hours * 60;
  const at = (/** @type {string | number} */ instant) => (new Date(instant).getTime() - start) / MINUTE_MS;
  const prices = [...new Set(day.stretches.map(({ per_kwh }) => Number(per_kwh)))].sort((a, b) => a - b);
  const step = minutes > 720 ? 6 * 60 : 3 * 60;
  const hours = Array.from({ length: Math.floor(minutes / step) }, (_, index) => index * step).filter((minute) => minutes - minute > 120);
  return {
    minutes,
    now: nowMs === null ? null : at(nowMs),
    blocks: day.stretches.map((each) => ({
      from: at(each.from),
      to: at(each.to),
      ink: each.per_kwh === null ? 0 : inkOf(Number(each.per_kwh), prices),
      label: each.per_kwh === null || !day.currency ? use.absent : fmt.price(Number(each.per_kwh), day.currency),
    })),
    hours: [...hours.map((minute) => ({ at: minute, label: fmt.time(start + minute * MINUTE_MS) })), { at: minutes, label: "24:00" }],
    summary: w.summary(day.hours, day.stretches.map((each) => w.stretch(fmt.time(each.from), endTime(day, each, fmt), price(day, each, fmt)))),
  };
}

/**
 * The dearest price is the darkest; below zero there is no ink at all.
 *
 * @param {number} value
 * @param {number[]} prices all of the day, the lowest first
 */
function inkOf(value, prices) {
  if (value <= 0) return 0;
  if (prices.length === 1) return 3;
  return 1 + Math.round((prices.indexOf(value) / (prices.length - 1)) * (INKS.length - 1));
}

/** @param {TariffDay} day @param {Stretch} each @param {import("/js/format.js").Formats} fmt */
export function price(day, each, fmt) {
  return each.per_kwh === null || !day.currency ? use.absent : w.perKwh(fmt.price(Number(each.per_kwh), day.currency));
}

/** @param {TariffDay} day @param {Stretch} each @param {import("/js/format.js").Formats} fmt */
export function endTime(day, each, fmt) {
  return each === day.stretches.at(-1) ? "24:00" : fmt.time(each.to);
}
