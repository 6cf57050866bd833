/** Energy, money, bills and forecasts over HTTP. Money comes as decimal strings in whole units, null where no tariff is. */

import { ask, json, send } from "/js/api.js";
import { lastDay } from "/js/period.js";

/**
 * @typedef {import("/js/api.js").Quality} Quality
 * @typedef {import("/js/period.js").Period} Period
 * @typedef {string | null} Money
 * @typedef {{per_kwh: string, energy_wh: number, money: Money}} RateUse
 * @typedef {{heater: string, energy_wh: number | null, units: Money, quality: Quality | null}} HeaterUse
 * @typedef {{zone: string, name: string, energy_wh: number | null, units: Money, tax: Money, total: Money,
 *   quality: Quality | null, rates: RateUse[], heaters: HeaterUse[]}} ZoneUse
 * @typedef {{date: string, energy_wh: number | null, total: Money}} DayCost
 * @typedef {{from: string, to: string, currency: string | null, days: number, energy_wh: number | null, units: Money,
 *   standing: Money, tax: Money, total: Money, quality: Quality | null, zones: ZoneUse[], by_day: DayCost[],
 *   booked: {booking: string, zone: string, energy_wh: number | null, total: Money}[], missing: string[]}} Costs
 * @typedef {{date: string, zones: {zone: string, energy_wh: number | null, quality: Quality | null}[],
 *   energy_wh: number | null, quality: Quality | null, outdoor_c: number | null, degree_days_kd: number | null,
 *   hours: number}} DayUse
 * @typedef {{base_c: number, days: DayUse[], missing: string[]}} Days
 * @typedef {{from: string, to: string, days: number, days_left_out: number, kwh: number | null,
 *   kwh_per_day: number | null, degree_days_kd: number | null, kwh_per_degree_day: number | null,
 *   outdoor_c: number | null, quality: Quality | null}} PeriodUse
 * @typedef {{name: string | null, region: string | null, source: string | null, kg: number | null,
 *   years: {year: number, kg_per_kwh: number | null, kg: number | null}[], missing: string[]}} Carbon
 * @typedef {{from: string, currency: string, tax_percent: number, standing_per_day: number,
 *   rates: {per_kwh: number, from?: string, to?: string, clock?: "local" | "utc"}[]}} Offer
 * @typedef {{currency: string, use_from: string, energy_wh: number, quality: Quality | null, sentence: string,
 *   missing: string[], tariffs: {number: number, total: string, more: Money, sentence: string}[]}} Trial
 * @typedef {{word: string, percent: number | null, low_percent: number | null, high_percent: number | null,
 *   sentence: string}} FigureChange
 * @typedef {{period: PeriodUse, other: PeriodUse, per_day: FigureChange, per_degree_day: FigureChange,
 *   sentence: string, missing: string[]}} Comparison
 * @typedef {{from: string, to: string, kwh: number, money: Money, currency: string | null, estimated_read: boolean,
 *   kind: "bill" | "meter", note: string}} Bill `to`: the first day that is not in it
 * @typedef {Bill & {number: number, heaters_kwh: number | null, heaters_quality: Quality | null,
 *   supply_kwh: number | null, other_kwh: number | null, other_from: string | null, missing: string[]}} BillShown
 * @typedef {{zone: string, name: string, method: string | null, kwh: number | null, kwh_low: number | null,
 *   kwh_high: number | null, money: Money, missing: string | null}} ZoneForecast
 * @typedef {{made: string, who: string, from: string, to: string, currency: string | null, kwh: number | null,
 *   kwh_low: number | null, kwh_high: number | null, money: Money, zones: ZoneForecast[], assumptions: string[],
 *   missing: string[]}} Forecast
 * @typedef {{state: string, kwh_was: number | null, sentence: string, missing: string[],
 *   zones: {zone: string, kwh_was: number | null}[]}} Score
 * @typedef {{number: number, intact: boolean, forecast: Forecast, score: Score}} KeptForecast
 * @typedef {{day: string | null, start: string, until: string, wanted_c: number, lowest_c: number, reached: boolean}} ColdSpell
 * @typedef {{code: string, title: string, kwh_per_day: number, money_per_day: Money, against_programme_kwh: number,
 *   against_programme_percent: number | null, against_programme_money: Money, mean_c: number, warm_up_h: number,
 *   cold: ColdSpell[], reaches: boolean, sentence: string}} Case
 * @typedef {{zone: string, name: string, outdoor_c: number, loss_w_per_k: number, loss_from: string, tau_h: number,
 *   power_w: number, currency: string | null, cases: Case[], assumptions: string[], missing: string[]}} WhatIf
 */

/** A date that ends a span is its last day, over HTTP. @param {Period} period */
const span = (period) => ({ from: period.from, to: lastDay(period) });

/** @param {Record<string, string>} query */
const asked = (query) => `?${new URLSearchParams(query)}`;

/** @param {Period} period @returns {Promise<Costs>} */
export function costs(period) {
  return ask(`/api/costs${asked(span(period))}`);
}

/** @param {Period} period @returns {Promise<Days>} */
export function days(period) {
  return ask(`/api/energy/days${asked(span(period))}`);
}

/** @param {Period} period @returns {Promise<Carbon>} */
export function carbon(period) {
  return ask(`/api/carbon${asked(span(period))}`);
}

/** @param {Period} period @param {Period} other @returns {Promise<Comparison>} */
export function compare(period, other) {
  return ask(`/api/energy/compare${asked({ ...span(period), with_from: other.from, with_to: lastDay(other) })}`);
}

/** @returns {Promise<BillShown[]>} */
export async function bills() {
  return (await ask("/api/bills")).bills;
}

/** @param {Bill} bill @returns {Promise<BillShown>} as it is kept, with its number */
export function addBill(bill) {
  return ask("/api/bills", json("POST", bill));
}

/**
 * Change a bill, or take it away, as it was when it was last read.
 *
 * @param {"PUT" | "DELETE"} method
 * @param {number} number
 * @param {Bill} [bill]
 */
export async function changeBill(method, number, bill) {
  const path = `/api/bills/${number}`;
  const tag = (await send(path)).headers.get("ETag") ?? "";
  const { headers, ...rest } = bill ? json(method, bill) : { headers: {}, method };
  await send(path, { ...rest, headers: { ...headers, "If-Match": tag } });
}

/** @param {number} number @param {number} against @returns {Promise<import("/js/steps.js").Steps>} */
export function why(number, against) {
  return ask(`/api/bills/${number}/why${asked({ against: `${against}` })}`);
}

/** @param {string} zone @param {Record<string, string>} query @returns {Promise<WhatIf>} */
export function whatIf(zone, query) {
  return ask(`/api/zones/${encodeURIComponent(zone)}/what-if${asked(query)}`);
}

/** @returns {Promise<{forecasts: KeptForecast[], scored: number, typical_error_percent: number | null}>} */
export function forecasts() {
  return ask("/api/forecasts");
}

/** @param {{from: string, to: string, outdoor_c: number | null}} asked `to`: the first day after @returns {Promise<KeptForecast>} */
export function makeForecast(asked) {
  return ask("/api/forecasts", json("POST", asked));
}

/** @param {Period} period @param {Offer} offer @returns {Promise<Trial>} what the use of a period would have cost */
export function tryTariff(period, offer) {
  return ask(`/api/costs/try${asked(span(period))}`, json("POST", { tariff: [offer] }));
}

/** @param {string} date @returns {Promise<import("/js/tariff.js").TariffDay>} */
export function tariffDay(date) {
  return ask(`/api/tariff${asked({ date })}`);
}
