/** `<verdict-row>`: a room, its interval plot, and at the row's end what can be said of it - or what is missing. */

import "/js/forms/interval-plot.js";
import { el } from "/js/dom.js";
import { asSentence, causeName, figuresInWords, plotValue, ratio } from "/js/judge.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneVerdict} ZoneVerdict
 * @typedef {import("/js/api.js").Cause} Cause
 * @typedef {import("/js/format.js").Formats} Formats
 */

export class VerdictRow extends HTMLElement {
  /**
   * @param {ZoneVerdict} zone
   * @param {import("/js/scale.js").Scale} scale
   * @param {Formats} fmt
   */
  update(zone, scale, fmt) {
    const plot = /** @type {import("/js/forms/interval-plot.js").IntervalPlot} */ (el("interval-plot"));
    plot.value = plotValue(zone, scale, fmt);
    this.className = zone.verdict;
    this.replaceChildren(name(zone, fmt), plot, zone.verdict === "cannot-say-yet" ? missing(zone, fmt) : said(zone, fmt));
  }
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function name(zone, fmt) {
  const times = ratio(zone);
  return el(
    "div",
    { class: "name" },
    el("h3", {}, zone.name),
    zone.verdict !== "cannot-say-yet" && times !== null && el("p", { class: "state" }, words.check.ratio(fmt.twoDecimals(times))),
    el("p", { class: "state figures" }, figuresInWords(zone, fmt)),
  );
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function said(zone, fmt) {
  const sure = zone.probability === null ? "" : `, ${words.check.sure(fmt.percent(zone.probability))}`;
  return el("div", { class: "verdict" }, verdictLine(zone, `${sure}.`), causes(zone, fmt), used(zone, fmt));
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function missing(zone, fmt) {
  return el(
    "div",
    { class: "verdict unsaid" },
    el(
      "div",
      {},
      verdictLine(zone, "."),
      zone.missing.length > 0 && el("ul", { class: "missing" }, ...zone.missing.map((text) => el("li", {}, asSentence(text)))),
      el("p", { class: "small" }, zone.possible_from ? words.check.possible(fmt.day(zone.possible_from)) : words.check.noDate),
    ),
    causes(zone, fmt),
  );
}

/** @param {ZoneVerdict} zone @param {string} rest */
function verdictLine({ verdict }, rest) {
  return el("p", { class: "line" }, el("strong", {}, words.verdicts[verdict] ?? verdict), rest);
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function causes({ causes: found }, fmt) {
  if (found.length === 0) return null;
  return el("ul", { class: "causes" }, ...found.map((cause) => el("li", {}, ...causeText(cause, fmt))));
}

/**
 * @param {Cause} cause
 * @param {Formats} fmt
 */
function causeText({ code, probability, evidence, check_next }, fmt) {
  const line = asSentence(words.check.likely(causeName(code), fmt.percent(probability)));
  return [
    el(
      "details",
      {},
      el(
        "summary",
        {},
        el("span", { class: "cause" }, line),
        check_next && el("span", { class: "next" }, asSentence(words.check.next(check_next))),
        el("span", { class: "more" }, words.check.more),
      ),
      el("p", {}, asSentence(evidence)),
    ),
  ];
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function used({ metered_kwh, expected_kwh, days_used }, fmt) {
  const unit = words.units.kilowattHour;
  const energy =
    metered_kwh !== null && expected_kwh !== null
      ? `${words.check.kwh(words.withUnit(fmt.whole(metered_kwh), unit), words.withUnit(fmt.whole(expected_kwh), unit))} `
      : "";
  return el("p", { class: "small" }, `${energy}${asSentence(words.check.days(days_used))}`);
}

customElements.define("verdict-row", VerdictRow);
