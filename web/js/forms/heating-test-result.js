/** What a heating test tells of one room: a sentence, the picture on a W/K scale, and its nights as a table. */

import "/js/forms/interval-plot.js";
import { el } from "/js/dom.js";
import { coefficientScale, plotValue } from "/js/judge.js";
import * as w from "/js/words-heating-test.js";

/**
 * @typedef {import("/js/api-heating-test.js").RoomTested} RoomTested
 * @typedef {import("/js/api-heating-test.js").NightSeen} NightSeen
 * @typedef {import("/js/format.js").Formats} Formats
 */

/**
 * @param {RoomTested} room
 * @param {Formats} fmt
 * @param {import("/js/api-heating-test.js").HeatingTestResult} [result] of a test that is over
 */
export function tested(room, fmt, result) {
  const r = w.result;
  const { design_w_per_k: design, time_constant_h: slow } = room;
  return el(
    "div",
    { class: "tested" },
    el("p", { class: "figure" }, sentence(room, fmt), design === null ? "" : ` ${r.design(fmt.coefficient(design))}`, slow === null ? "" : ` ${r.cools(slow)}`),
    room.measured_w_per_k !== null && picture(room, fmt),
    ...room.missing.map((text) => el("p", { class: "small" }, text)),
    room.nights.length > 0 && nights(room, fmt),
    result && el("p", { class: "small" }, r.rests(result.design_version, result.method_version)),
  );
}

/** @param {RoomTested} room @param {Formats} fmt */
function sentence({ measured_w_per_k: value, low_w_per_k: low, high_w_per_k: high, nights }, fmt) {
  if (value !== null && low !== null && high !== null) return w.result.loses(...figures(value, low, high, fmt));
  const last = nights.at(-1);
  if (!last || last.w_per_k === null || last.low_w_per_k === null || last.high_w_per_k === null) return w.result.none;
  return w.result.running(...figures(last.w_per_k, last.low_w_per_k, last.high_w_per_k, fmt));
}

/**
 * @param {number} value
 * @param {number} low
 * @param {number} high
 * @param {Formats} fmt
 * @returns {[string, string, string]}
 */
function figures(value, low, high, fmt) {
  return [fmt.oneDecimal(value), fmt.oneDecimal(low), fmt.oneDecimal(high)];
}

/** @param {RoomTested} room @param {Formats} fmt */
function picture(room, fmt) {
  const { measured_w_per_k: value, low_w_per_k: low, high_w_per_k: high, design_low_w_per_k: from, design_high_w_per_k: to } = room;
  const apart = value === null || low === null || high === null || from === null || to === null;
  const verdict = apart ? "cannot-say-yet" : low > to ? "loses-more" : high < from ? "loses-less" : "as-designed";
  const zone = /** @type {import("/js/api-check.js").ZoneVerdict} */ (/** @type {unknown} */ ({ ...room, verdict, probability: null, causes: [], possible_from: null }));
  const plot = /** @type {import("/js/forms/interval-plot.js").IntervalPlot} */ (el("interval-plot"));
  plot.value = plotValue(zone, coefficientScale([zone]), fmt);
  return plot;
}

/** @param {RoomTested} room @param {Formats} fmt */
function nights({ name, nights }, fmt) {
  const [first, ...rest] = w.result.columns;
  const figure = (/** @type {number | null} */ value, /** @type {(value: number) => string} */ format) => (value === null ? "–" : format(value));
  const row = (/** @type {NightSeen} */ night) =>
    el(
      "tr",
      { class: night.good ? null : "unused" },
      el("th", { scope: "row" }, fmt.dayMonth(night.date)),
      el("td", {}, figure(night.power_w, fmt.watts)),
      el("td", {}, figure(night.temp_c, fmt.temperature)),
      el("td", {}, figure(night.outdoor_c, fmt.temperature)),
      el("td", {}, figure(night.w_per_k, fmt.oneDecimal)),
      el("td", {}, night.low_w_per_k === null || night.high_w_per_k === null ? "–" : `${fmt.oneDecimal(night.low_w_per_k)}–${fmt.oneDecimal(night.high_w_per_k)}`),
      el("td", { class: "words" }, night.why_not ?? w.result.yes),
    );
  return el(
    "div",
    { class: "scroll", tabindex: 0, role: "region", "aria-label": `${name}: ${w.result.caption}` },
    el(
      "table",
      { class: "nights" },
      el("caption", {}, w.result.caption),
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, first), ...rest.map((text) => el("th", { scope: "col" }, text)))),
      el("tbody", {}, ...nights.map(row)),
    ),
  );
}
