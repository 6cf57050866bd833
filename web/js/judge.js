/** From an assessment to what the Check page shows: pure functions, no document. */

import { bound } from "/js/format.js";
import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 * @typedef {import("/js/format.js").Formats} Formats
 */

/**
 * Metered over designed: the figure by which rooms are sorted.
 *
 * @param {ZoneVerdict} zone
 * @returns {number | null}
 */
export function ratio({ measured_w_per_k, design_w_per_k }) {
  return measured_w_per_k === null || !design_w_per_k ? null : measured_w_per_k / design_w_per_k;
}

/**
 * Rooms by ratio, worst first; those that cannot be judged yet stand last, as their ratio is no finding.
 *
 * @param {ZoneVerdict[]} zones
 * @returns {ZoneVerdict[]}
 */
export function byRatio(zones) {
  const rank = (/** @type {ZoneVerdict} */ zone) => (zone.verdict === "cannot-say-yet" ? 1 : 0);
  return [...zones].sort((a, b) => rank(a) - rank(b) || (ratio(b) ?? -1) - (ratio(a) ?? -1));
}

/**
 * One scale for the page. A room that cannot be judged may have limits far out; they must not squeeze all others, so
 * they may stretch the scale by a fifth and end in an arrow head beyond.
 *
 * @param {ZoneVerdict[]} zones
 */
export function coefficientScale(zones) {
  const sure = zones.flatMap((zone) => [
    zone.design_high_w_per_k,
    zone.measured_w_per_k,
    zone.verdict === "cannot-say-yet" ? null : zone.high_w_per_k,
  ]);
  const most = Math.max(1, ...sure.map((value) => value ?? 0));
  return amountScale([most, ...zones.map(({ high_w_per_k }) => Math.min(1.2 * most, high_w_per_k ?? 0))]);
}

/**
 * @param {ZoneVerdict} zone
 * @param {import("/js/scale.js").Scale} scale
 * @param {Formats} fmt
 * @returns {import("/js/forms/interval-plot.js").PlotValue}
 */
export function plotValue(zone, scale, fmt) {
  return {
    design: interval(zone.design_w_per_k, zone.design_low_w_per_k, zone.design_high_w_per_k, fmt),
    metered: interval(zone.measured_w_per_k, zone.low_w_per_k, zone.high_w_per_k, fmt),
    verdict: zone.verdict,
    scale,
    figure: fmt.level,
    summary: summary(zone, fmt),
  };
}

/**
 * Metered and designed in words, for the line under a room's name.
 *
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
export function figuresInWords(zone, fmt) {
  const unit = words.units.coefficient;
  const design = zone.design_w_per_k;
  if (design === null) return words.check.noDesign;
  if (zone.measured_w_per_k === null) return words.check.designOnly(words.withUnit(fmt.coefficient(design), unit));
  return words.check.metered(fmt.coefficient(zone.measured_w_per_k), words.withUnit(fmt.coefficient(design), unit));
}

/**
 * All verdicts in one sentence, with the first day on which more can be said.
 *
 * @param {ZoneVerdict[]} zones
 * @param {Formats} fmt
 */
export function summarySentence(zones, fmt) {
  /** @type {Record<string, number>} */
  const counts = {};
  for (const { verdict } of zones) counts[verdict] = (counts[verdict] ?? 0) + 1;
  const days = zones.map(({ possible_from }) => possible_from).filter((day) => day !== null);
  const first = days.sort()[0];
  return words.check.verdictSentence(counts, first ? fmt.day(first) : null);
}

/**
 * The table behind the plot, one row a room.
 *
 * @param {ZoneVerdict[]} zones
 * @param {Formats} fmt
 */
export function figuresTable(zones, fmt) {
  const { columns, absent, range } = words.check;
  const number = (/** @type {number | null} */ value) => (value === null ? absent : fmt.coefficient(value));
  const kwh = (/** @type {number | null} */ value) => (value === null ? absent : fmt.whole(value));
  const limits = (/** @type {number | null} */ low, /** @type {number | null} */ high) =>
    low === null || high === null ? absent : range(number(low), number(high));
  const rows = byRatio(zones).map((zone) => {
    const times = ratio(zone);
    return [
      zone.name,
      number(zone.design_w_per_k),
      limits(zone.design_low_w_per_k, zone.design_high_w_per_k),
      number(zone.measured_w_per_k),
      limits(zone.low_w_per_k, zone.high_w_per_k),
      times === null ? absent : fmt.twoDecimals(times),
      words.check.verdicts[zone.verdict] ?? zone.verdict,
      zone.probability === null ? absent : words.withUnit(fmt.percent(zone.probability), "%"),
      zone.causes.map(({ code, probability }) => words.check.likely(causeName(code), fmt.percent(probability))).join("; ") || absent,
      kwh(zone.metered_kwh),
      kwh(zone.expected_kwh),
    ];
  });
  return { caption: words.check.heading, columns: Object.values(columns), rows };
}

/**
 * @param {number | null | undefined} low
 * @param {number | null | undefined} high
 * @param {(value: number) => string} write
 * @returns {string} empty where there are none
 */
export const bandOf = (low, high, write) =>
  typeof low === "number" && typeof high === "number" ? words.check.range(write(low), write(high)) : "";

/** @param {string} code */
export function causeName(code) {
  return words.check.names[code] ?? code;
}

/** @param {string} text @returns {string} ending in a full stop, starting with a capital */
export function asSentence(text) {
  const closed = /[.!?…]$/u.test(text) ? text : `${text}.`;
  const id = /^(?=\S*\d)[a-z]\S*-\S/u.test(closed); // such as loft-1: no word, it stands as it is
  return bound(id ? closed : closed.charAt(0).toUpperCase() + closed.slice(1));
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function summary(zone, fmt) {
  const limits =
    zone.low_w_per_k === null || zone.high_w_per_k === null
      ? ""
      : ` (${words.check.range(fmt.coefficient(zone.low_w_per_k), fmt.coefficient(zone.high_w_per_k))})`;
  return `${zone.name}: ${figuresInWords(zone, fmt)}${limits}. ${words.check.verdicts[zone.verdict] ?? zone.verdict}.`;
}

/**
 * @param {number | null} value
 * @param {number | null} low
 * @param {number | null} high
 * @param {Formats} fmt
 */
function interval(value, low, high, fmt) {
  return value === null ? null : { value, low: low ?? value, high: high ?? value, text: fmt.coefficient(value) };
}
