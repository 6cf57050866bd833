/** What one room's verdict rests on, as its page shows it: pure functions, no document. */

import { bound } from "/js/format.js";
import { asSentence, bandOf, causeName } from "/js/judge.js";
import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 * @typedef {import("/js/api-check.js").Cause} Cause
 * @typedef {import("/js/format.js").Formats} Formats
 * @typedef {{name: string, said: string, plot: import("/js/forms/interval-plot.js").PlotValue | null}} Comparison
 */

const w = words.check;

/**
 * A room against its design, against the house's other rooms, against its own past: one scale of ratios.
 *
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 * @returns {Comparison[]}
 */
export function comparisons(zone, fmt) {
  const found = [againstDesign(zone, fmt), againstHouse(zone, fmt), againstPast(zone, fmt)];
  const most = Math.max(1.5, ...found.flatMap(({ metered }) => (metered ? [metered.value, Math.min(metered.high, 3)] : [])));
  const scale = amountScale([most]);
  return found.map(({ name, said, metered, design, verdict }) => ({
    name,
    said,
    plot: metered && { design: design ?? { value: 1, low: 1, high: 1, text: "" }, metered, verdict, scale, figure: fmt.level, summary: w.against.summary(name, said) },
  }));
}

/** @param {ZoneVerdict} zone @param {Formats} fmt */
function againstDesign(zone, fmt) {
  const { design_w_per_k: design, measured_w_per_k: measured, verdict } = zone;
  const name = w.against.design;
  if (!design || measured === null) return { name, said: measured === null ? w.against.none : w.noDesign, metered: null, verdict };
  const metered = interval(measured / design, (zone.low_w_per_k ?? measured) / design, (zone.high_w_per_k ?? measured) / design, fmt);
  const low = (zone.design_low_w_per_k ?? design) / design;
  const high = (zone.design_high_w_per_k ?? design) / design;
  const said = saidOf(metered, w.verdicts[verdict] ?? verdict, zone.probability, fmt);
  return { name, said, metered, design: { value: 1, low, high, text: "" }, verdict };
}

/** @param {ZoneVerdict} zone @param {Formats} fmt */
function againstHouse({ against_house: house }, fmt) {
  const name = w.against.house;
  if (!house) return { name, said: w.against.none, metered: null, verdict: "cannot-say-yet" };
  const metered = interval(house.ratio, house.low, house.high, fmt);
  return { name, said: saidOf(metered, w.against.house_[house.verdict] ?? house.verdict, house.probability, fmt), metered, verdict: house.verdict };
}

/** @param {ZoneVerdict} zone @param {Formats} fmt */
function againstPast({ against_past: past, measured_w_per_k }, fmt) {
  const name = w.against.past;
  if (!past) return { name, said: measured_w_per_k === null ? w.against.none : w.against.noPast, metered: null, verdict: "" };
  const metered = interval(past.after_w_per_k / past.before_w_per_k, past.low, past.high, fmt);
  const unit = words.units.coefficient;
  const moved = w.against.past_(fmt.coefficient(past.before_w_per_k), words.withUnit(fmt.coefficient(past.after_w_per_k), unit), fmt.day(past.since));
  const verdict = past.low > 1 ? "loses-more" : past.high < 1 ? "loses-less" : "as-designed";
  return { name, said: `${moved}; ${w.against.changed(fmt.percent(past.probability))}`, metered, verdict };
}

/** @param {number} value @param {number} low @param {number} high @param {Formats} fmt */
const interval = (value, low, high, fmt) => ({ value, low, high, text: fmt.twoDecimals(value) });

/**
 * @param {{value: number, low: number, high: number}} metered
 * @param {string} verdict
 * @param {number | null} probability
 * @param {Formats} fmt
 */
function saidOf({ value, low, high }, verdict, probability, fmt) {
  const ratio = w.against.ratio(fmt.twoDecimals(value), fmt.twoDecimals(low), fmt.twoDecimals(high));
  const sure = probability === null ? "" : `, ${w.sure(fmt.percent(probability))}`;
  return `${ratio}: ${verdict.charAt(0).toLowerCase()}${verdict.slice(1)}${sure}`;
}

/**
 * @param {Cause} cause
 * @param {Formats} fmt
 * @returns {import("/js/forms/cause-list.js").CauseValue}
 */
export function causeValue(cause, fmt) {
  const { code, probability, evidence, against, check_next } = cause;
  return {
    name: causeName(code),
    probability,
    likely: `${words.withUnit(fmt.percent(probability), "%")} ${w.causes.likely}`,
    facts: [
      { term: w.causes.for, text: asSentence(evidence) },
      { term: w.causes.against, text: against ? asSentence(against) : w.causes.noAgainst },
      check_next && { term: w.causes.next, text: asSentence(check_next) },
      { term: w.causes.cost, text: costInWords(cause, fmt) },
    ].filter(Boolean),
  };
}

/**
 * What a cause takes in 30 days: energy, then money, each with its band.
 *
 * @param {Cause} cause
 * @param {Formats} fmt
 */
export function costInWords({ kwh, kwh_low, kwh_high, money, money_low, money_high, currency }, fmt) {
  if (kwh === null) return w.causes.noCost;
  const energy = w.causes.takes(words.withUnit(fmt.whole(kwh), words.units.kilowattHour), bandOf(kwh_low, kwh_high, fmt.whole));
  if (money === null || !currency) return energy;
  const write = (/** @type {number} */ value) => fmt.wholeMoney(value, currency);
  return `${energy}; ${w.causes.takes(write(money), bandOf(money_low, money_high, write))}`;
}

/**
 * @param {NonNullable<ZoneVerdict["moisture"]>} moisture
 * @param {Formats} fmt
 * @returns {import("/js/forms/damp-gauge.js").DampValue | null} null where nobody measures
 */
export function dampValue({ surface_rh_percent: surface, room_rh_percent: room, limit_percent: limit }, fmt) {
  if (surface === null) return null;
  const percent = (/** @type {number} */ value) => words.withUnit(fmt.whole(value), "%");
  return { surface, room, limit, said: percent(surface), figure: fmt.level, summary: w.mould.summary(percent(surface), percent(limit)) };
}

/**
 * What is missing, and from when on more can be said.
 *
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 * @returns {{missing: string[], when: string}}
 */
export function missingInWords({ missing, possible_from }, fmt) {
  return { missing: missing.map(asSentence), when: possible_from ? w.possible(fmt.day(possible_from)) : w.noDate };
}

/** @param {{sentence: string, check_next: string}} look */
export const lookInWords = ({ sentence, check_next }) =>
  [asSentence(sentence), check_next && asSentence(w.next(check_next))].filter(Boolean).map((text) => bound(text)).join(" ");
