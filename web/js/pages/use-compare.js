/** One period against another: per day, and per degree day so that a cold month is not taken for a wasteful one. */

import "/js/forms/pair-bars.js";
import * as api from "/js/api-use.js";
import { el } from "/js/dom.js";
import { marginNote } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { asSentence } from "/js/judge.js";
import { otherPicker, periodPicker } from "/js/pages/use-period.js";
import { tabular } from "/js/pages/use-where.js";
import { periodInWords, qualityWord } from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/api-use.js").Comparison} Comparison
 * @typedef {import("/js/api-use.js").FigureChange} FigureChange
 * @typedef {import("/js/format.js").Formats} Formats
 */

const w = use.compare;

/** @param {Desk} desk @returns {Promise<import("/js/pages/use.js").Shown>} */
export async function compareView(desk) {
  const { fmt } = desk;
  const spans = [desk.chosen.period, desk.other.period];
  const [answer, ...costs] = await Promise.all([api.compare(spans[0], spans[1]), ...spans.map((period) => api.costs(period))]);
  const bars = /** @type {import("/js/forms/pair-bars.js").PairBars} */ (el("pair-bars"));
  bars.value = { pairs: [...pairs(desk, answer), ...moneyPair(desk, answer, costs)] };
  return {
    nodes: [
      el("div", { class: "both" }, periodPicker(desk, "compare"), otherPicker(desk)),
      el("p", { class: "summary said-of-both" }, bound(answer.sentence)),
      bars,
      ...answer.missing.map((body) => marginNote({ head: use.where.missing, body: named(body), urgent: false })),
      el("p", { class: "small" }, w.how),
      tabular(w.table, { caption: w.table, columns: w.columns, rows: rows(answer, fmt) }),
    ],
    shapes: "used other",
    period: true,
  };
}

/** @param {Desk} desk @param {Comparison} answer */
function pairs({ fmt, chosen, other }, { period, other: before, per_day, per_degree_day }) {
  const unit = words.units.kilowattHour;
  const names = [periodInWords(chosen.period, fmt), periodInWords(other.period, fmt)];
  const of = (/** @type {"kwh_per_day" | "kwh_per_degree_day"} */ key, /** @type {(value: number) => string} */ format) =>
    [period, before].map((each, index) => {
      const value = each[key];
      return { name: `${names[index]}, ${w.days(each.days, each.days_left_out)}`, value, quality: each.quality, text: value === null ? use.absent : words.withUnit(format(value), unit) };
    });
  return [
    { name: w.perDay, hint: changeSentence(per_day), bars: of("kwh_per_day", fmt.oneDecimal) },
    { name: w.perDegreeDay, hint: changeSentence(per_degree_day), bars: of("kwh_per_degree_day", fmt.twoDecimals) },
  ];
}

/**
 * Money a day, where it is known of every day: standing charges run on through days that nobody metered.
 *
 * @param {Desk} desk
 * @param {Comparison} answer
 * @param {import("/js/api-use.js").Costs[]} costs
 */
function moneyPair({ fmt, chosen, other }, { period, other: before }, costs) {
  const whole = period.days_left_out + before.days_left_out === 0 && costs.every(({ total, days }) => total !== null && days > 0);
  if (!whole || costs[0].currency !== costs[1].currency) return [];
  const bars = costs.map(({ total, days, currency, quality }, index) => ({
    name: periodInWords([chosen, other][index].period, fmt),
    value: Number(total) / days,
    quality,
    text: fmt.money(Number(total) / days, currency ?? ""),
  }));
  return [{ name: w.moneyPerDay, hint: w.moneyHint, bars }];
}

/** What the heading already says is left out. @param {FigureChange} change */
const changeSentence = ({ sentence }) => asSentence(sentence.replace(/^per (?:degree )?day: /u, ""));

/** Name the period where ingle names the parameter. @param {string} text */
const named = (text) => asSentence(text.replace(/^(with_from|from): /u, (_, name) => (name === "from" ? w.ofPeriod : w.ofOther)));

/** @param {Comparison} answer @param {Formats} fmt */
function rows({ period, other, per_day, per_degree_day }, fmt) {
  const r = w.rows;
  const number = (/** @type {number | null} */ value, /** @type {(value: number) => string} */ format) => (value === null ? use.absent : format(value));
  const line = (/** @type {string} */ name, /** @type {(of: import("/js/api-use.js").PeriodUse) => string} */ show, /** @type {FigureChange | null} */ change = null) => [
    name, show(period), show(other), change ? changeInWords(change, fmt) : "", change ? (w.words[change.word] ?? change.word) : "",
  ];
  return [
    line(r.days, (of) => `${of.days}`),
    line(r.kwh, (of) => number(of.kwh, fmt.oneDecimal)),
    line(r.perDay, (of) => number(of.kwh_per_day, fmt.oneDecimal), per_day),
    line(r.degreeDays, (of) => number(of.degree_days_kd, fmt.oneDecimal)),
    line(r.perDegreeDay, (of) => number(of.kwh_per_degree_day, fmt.twoDecimals), per_degree_day),
    line(r.outdoor, (of) => number(of.outdoor_c, fmt.temperature)),
    line(r.quality, (of) => qualityWord(of.quality)),
  ];
}

/** @param {FigureChange} change @param {Formats} fmt */
function changeInWords({ percent, low_percent, high_percent }, fmt) {
  if (percent === null) return use.absent;
  const text = (/** @type {number} */ value) => words.withUnit(value > 0 ? `+${fmt.whole(value)}` : fmt.whole(value), "%");
  return low_percent === null || high_percent === null ? text(percent) : w.limits(text(percent), text(low_percent), text(high_percent));
}
