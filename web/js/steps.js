/** From the steps between two bills to their chart: pure functions, no document. Money in whole cents, so sums are exact. */

import { asSentence } from "/js/judge.js";
import { periodInWords } from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {{code: string, money: string | null, kwh: number | null, sentence: string}} BillStep
 * @typedef {import("/js/api-use.js").Bill} Bill
 * @typedef {{from_bill: number, to_bill: number, difference: string | null, difference_kwh: number,
 *   currency: string | null, steps: BillStep[], order: string, sentence: string, missing: string[]}} Steps
 */

const w = use.bill;

/**
 * @param {Steps} answer
 * @param {Bill} before what the other is set against
 * @param {Bill} after
 * @param {import("/js/format.js").Formats} fmt
 * @returns {import("/js/forms/step-chart.js").StepsValue & {rows: string[][]}}
 */
export function stepsValue({ steps, order, currency, difference: sum }, before, after, fmt) {
  const inMoney = currency !== null && sum !== null;
  const text = (/** @type {number} */ value) => (inMoney ? fmt.money(value, currency ?? "") : words.withUnit(fmt.whole(value), words.units.kilowattHour));
  const signed = (/** @type {number} */ value) => (value > 0 ? `+${text(value)}` : text(value));
  const amount = (/** @type {{money: string | null, kwh: number | null}} */ of) => Number((inMoney ? of.money : of.kwh) ?? 0);
  const [first, last] = [amount(before), amount(after)];
  let at = first;
  const shown = steps.map((step) => {
    const [from, size] = [at, amount(step)];
    at = Math.round(100 * (at + size)) / 100;
    return { code: step.code, name: w.steps[step.code] ?? step.code, from, to: at, text: signed(size), sentence: asSentence(step.sentence) };
  });
  const kwh = (/** @type {number | null} */ value) => (value === null ? use.absent : fmt.whole(value));
  return {
    start: { name: periodInWords(before, fmt), value: first, text: text(first), hint: "" },
    steps: shown,
    end: { name: periodInWords(after, fmt), value: last, text: text(last), hint: "" },
    scale: scaleOf([first, ...shown.map(({ to }) => to), last]),
    figure: (value) => (inMoney ? fmt.wholeMoney(value, currency ?? "") : fmt.whole(value)),
    foot: w.order(order),
    rows: [
      [periodInWords(before, fmt), text(first), kwh(before.kwh), ""],
      ...shown.map((step, index) => [step.name, step.text, kwh(steps[index].kwh), step.sentence]),
      [periodInWords(after, fmt), text(last), kwh(after.kwh), ""],
    ],
  };
}

/**
 * The scale that holds the running sum, with room on either side; it need not start at zero.
 *
 * @param {number[]} values
 * @returns {import("/js/scale.js").Scale}
 */
export function scaleOf(values) {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const rough = (high - low || Math.abs(high) || 1) / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5].find((factor) => factor * power >= rough) ?? 10);
  const min = Math.floor((low - 0.1 * step) / step) * step;
  const max = Math.ceil((high + 0.1 * step) / step) * step;
  return { min, max, ticks: Array.from({ length: Math.round((max - min) / step) + 1 }, (_, index) => min + index * step) };
}
