/** From the weekly looks that were kept of a room to what its page draws and lists: pure functions, no document. */

import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api-check.js").Kept} Kept
 * @typedef {import("/js/format.js").Formats} Formats
 */

const w = words.check;
const LABELS = 5;

/**
 * Look by look: found as a dot with its own limits, over what was designed.
 *
 * @param {string} room
 * @param {Kept[]} looks oldest first
 * @param {Formats} fmt
 * @returns {import("/js/forms/fit-plot.js").FitValue}
 */
export function looksValue(room, looks, fmt) {
  const step = Math.max(1, Math.ceil(looks.length / LABELS));
  return {
    columns: looks.map((look, index) => ({
      metered: look.measured_w_per_k,
      predicted: look.design_w_per_k,
      low: null,
      high: null,
      reach: look.low_w_per_k === null || look.high_w_per_k === null ? null : [look.low_w_per_k, look.high_w_per_k],
      used: true,
      sure: look.verdict !== "cannot-say-yet",
      label: index % step === Math.floor(step / 2) ? fmt.dayMonth(look.at) : "",
      said: `${fmt.day(look.at)}: ${foundInWords(look, fmt)}.`,
    })),
    // A first look may have limits far out; they end at the edge instead of squeezing all others.
    scale: amountScale(looks.flatMap((look) => [look.measured_w_per_k, look.design_w_per_k, Math.min(look.high_w_per_k ?? 0, 2 * (look.measured_w_per_k ?? 0))])),
    figure: fmt.level,
    unit: words.units.coefficient,
    change: null,
    summary: w.past.summary(room, looks.length, foundInWords(looks[looks.length - 1], fmt)),
    slider: w.past.slider,
  };
}

/** @param {Kept} look @param {Formats} fmt */
function foundInWords(look, fmt) {
  const verdict = w.verdicts[look.verdict] ?? look.verdict;
  if (look.measured_w_per_k === null) return verdict;
  const figure = words.withUnit(fmt.coefficient(look.measured_w_per_k), words.units.coefficient);
  return `${figure}${rangeOf(look, fmt)}, ${verdict.charAt(0).toLowerCase()}${verdict.slice(1)}`;
}

/** @param {Kept} look @param {Formats} fmt */
const rangeOf = ({ low_w_per_k, high_w_per_k }, fmt) =>
  low_w_per_k === null || high_w_per_k === null ? "" : ` (${w.range(fmt.coefficient(low_w_per_k), fmt.coefficient(high_w_per_k))})`;

/**
 * @param {Kept[]} looks oldest first
 * @param {Formats} fmt
 * @returns {import("/js/forms/why-line.js").Table} the newest first
 */
export function looksTable(looks, fmt) {
  const number = (/** @type {number | null} */ value) => (value === null ? w.absent : fmt.coefficient(value));
  const rows = looks.toReversed().map((look) => [
    fmt.day(look.at),
    number(look.measured_w_per_k),
    look.low_w_per_k === null || look.high_w_per_k === null ? w.absent : w.range(number(look.low_w_per_k), number(look.high_w_per_k)),
    number(look.design_w_per_k),
    w.verdicts[look.verdict] ?? look.verdict,
    look.probability === null ? w.absent : words.withUnit(fmt.percent(look.probability), "%"),
    look.design_version.slice(0, 12),
    w.past.version(look.method_version),
  ]);
  return { caption: w.past.table, columns: w.past.columns, rows };
}
