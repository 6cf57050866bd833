/**
 * `<verdict-row>`: a room, its interval plot, and at the row's end what can be said of it - or what is missing. Its name
 * leads to all that the verdict rests on.
 */

import "/js/forms/interval-plot.js";
import { el } from "/js/dom.js";
import { asSentence, causeName, figuresInWords, plotValue, ratio } from "/js/judge.js";
import { costInWords, missingInWords } from "/js/verdict-facts.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
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
    this.replaceChildren(name(zone, fmt), plot, verdictBlock(zone, fmt));
  }
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function name(zone, fmt) {
  const times = ratio(zone);
  const address = `/check?zone=${encodeURIComponent(zone.id)}`;
  return el(
    "div",
    { class: "name" },
    el("h3", {}, el("a", { class: "to-room", href: address }, zone.name)),
    zone.verdict !== "cannot-say-yet" && times !== null && el("p", { class: "state" }, words.check.ratio(fmt.twoDecimals(times))),
    el("p", { class: "state figures" }, figuresInWords(zone, fmt)),
  );
}

/**
 * What can be said, or in a dotted frame what is missing; then the likeliest cause.
 *
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
function verdictBlock(zone, fmt) {
  if (zone.verdict === "cannot-say-yet") return el("div", { class: "verdict unsaid" }, unsaid(zone, fmt), ...cause(zone, fmt), besides(zone));
  return el("div", { class: "verdict" }, verdictLine(zone, fmt), ...cause(zone, fmt), besides(zone), used(zone, fmt));
}

/**
 * What waits on the room's page beside its verdict: mould, and devices that behave oddly.
 *
 * @param {ZoneVerdict} zone
 */
function besides({ findings = [], moisture }) {
  const { mould, looks } = words.check;
  const said = [
    moisture && ["risk", "watch"].includes(moisture.verdict) && mould.short(mould.verdicts[moisture.verdict]),
    findings.length > 0 && looks.count(findings.length),
  ].filter(Boolean);
  return said.length > 0 && el("p", { class: "small besides" }, said.join(" "));
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
export function unsaid(zone, fmt) {
  const { missing, when } = missingInWords(zone, fmt);
  return el(
    "div",
    { class: "frame-of" },
    verdictLine(zone, fmt),
    missing.length > 0 && el("ul", { class: "missing" }, ...missing.map((text) => el("li", {}, text))),
    el("p", { class: "small" }, when),
  );
}

/**
 * @param {ZoneVerdict} zone
 * @param {Formats} fmt
 */
export function verdictLine({ verdict, probability }, fmt) {
  const sure = verdict === "cannot-say-yet" || probability === null ? "" : `, ${words.check.sure(fmt.percent(probability))}`;
  return el("p", { class: "line" }, el("strong", {}, words.check.verdicts[verdict] ?? verdict), `${sure}.`);
}

/**
 * The likeliest cause, the next check on site, what it takes in a month; none where nothing stands out.
 *
 * @param {Pick<ZoneVerdict, "causes">} zone
 * @param {Formats} fmt
 */
export function cause({ causes: [first, ...rest] }, fmt) {
  if (!first) return [];
  const { code, probability, check_next, kwh } = first;
  const more = [kwh !== null && asSentence(words.check.causes.about(costInWords(first, fmt))), rest.length > 0 && asSentence(words.check.moreCauses(rest.length))];
  return [
    el(
      "div",
      { class: "causes" },
      el("p", { class: "cause" }, asSentence(words.check.likely(causeName(code), fmt.percent(probability)))),
      check_next && el("p", { class: "next" }, asSentence(words.check.next(check_next))),
      more.some(Boolean) && el("p", { class: "small" }, more.filter(Boolean).join(" ")),
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
