/**
 * One room of the Check page: its verdict as a picture, the days that it rests on, what it is compared with, what may
 * explain it, damp, things to look at, a heating test, and what earlier looks found.
 */

import "/js/forms/cause-list.js";
import "/js/forms/damp-gauge.js";
import "/js/forms/interval-plot.js";
import { el, quantity } from "/js/dom.js";
import { cause, unsaid, verdictLine } from "/js/forms/verdict-row.js";
import { marginNote } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { asSentence, coefficientScale, plotValue, ratio } from "/js/judge.js";
import { benchSection } from "/js/pages/check-bench.js";
import { fitSection } from "/js/pages/check-fit.js";
import { pastSection } from "/js/pages/check-past.js";
import { cell } from "/js/forms/figure-cell.js";
import { causeValue, comparisons, dampValue, lookInWords } from "/js/verdict-facts.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/check.js").Seen} Seen
 * @typedef {import("/js/api-check.js").ZoneVerdict} ZoneVerdict
 */

const w = words.check;

/**
 * @param {Seen} seen
 * @param {ZoneVerdict} zone
 * @returns {(Node | false)[]}
 */
export function roomView(seen, zone) {
  const { fmt } = seen;
  return [
    ...zone.findings?.map((look) => marginNote({ head: words.notice.attention, body: lookInWords(look), urgent: false })) ?? [],
    el(
      "div",
      { class: `verdict-of ${zone.verdict}` },
      picture(seen, zone),
      el("div", { class: "unsaid" }, zone.verdict === "cannot-say-yet" ? unsaid(zone, fmt) : verdictLine(zone, fmt), ...cause(zone, fmt)),
    ),
    figures(seen, zone),
    fitSection(seen, zone),
    against(seen, zone),
    causes(seen, zone),
    mould(seen, zone),
    benchSection(seen, zone),
    pastSection(seen, zone),
  ];
}

/** @param {Seen} seen @param {ZoneVerdict} zone */
function picture({ assessment, fmt }, zone) {
  const plot = /** @type {import("/js/forms/interval-plot.js").IntervalPlot} */ (el("interval-plot"));
  plot.value = plotValue(zone, coefficientScale(assessment.zones), fmt);
  return plot;
}

/** @param {Seen} seen @param {ZoneVerdict} zone */
function figures({ fmt }, zone) {
  const f = w.figures;
  const unit = words.units.coefficient;
  const band = (/** @type {number | null} */ low, /** @type {number | null} */ high) =>
    low === null || high === null ? "" : f.range95(fmt.coefficient(low), fmt.coefficient(high));
  const figure = (/** @type {number | null} */ value) => (value === null ? w.absent : quantity(fmt.coefficient(value), unit));
  const times = ratio(zone);
  const kwh = (/** @type {number | null} */ value) => (value === null ? w.absent : quantity(fmt.whole(value), words.units.kilowattHour));
  return el(
    "dl",
    { class: "figures" },
    cell(f.metered, figure(zone.measured_w_per_k), band(zone.low_w_per_k, zone.high_w_per_k)),
    cell(f.design, figure(zone.design_w_per_k), band(zone.design_low_w_per_k, zone.design_high_w_per_k)),
    times !== null && cell(f.ratio, el("b", {}, fmt.twoDecimals(times))),
    cell(f.days, el("b", {}, f.daysOf(zone.days_used))),
    zone.metered_kwh !== null && cell(f.used, kwh(zone.metered_kwh)),
    zone.expected_kwh !== null && cell(f.expected, kwh(zone.expected_kwh)),
  );
}

/** @param {Seen} seen @param {ZoneVerdict} zone */
function against({ fmt }, zone) {
  const rows = comparisons(zone, fmt).map(({ name, said, plot }) => {
    const drawn = plot && /** @type {import("/js/forms/interval-plot.js").IntervalPlot} */ (el("interval-plot"));
    if (drawn) drawn.value = plot;
    return el("li", { class: "against" }, el("h3", {}, name), drawn, el("p", {}, asSentence(said)));
  });
  return el("section", {}, el("h2", {}, w.against.title), el("p", { class: "small" }, w.against.lead), el("ul", { class: "rows" }, ...rows));
}

/** @param {Seen} seen @param {ZoneVerdict} zone */
function causes({ fmt }, { causes, verdict }) {
  const list = /** @type {import("/js/forms/cause-list.js").CauseList} */ (el("cause-list"));
  list.value = causes.map((cause) => causeValue(cause, fmt));
  const none = verdict === "as-designed" ? w.causes.asIs : w.causes.none;
  return el("section", {}, el("h2", {}, w.causes.title), causes.length ? list : el("p", { class: "small" }, none));
}

/** @param {Seen} seen @param {ZoneVerdict} zone */
function mould({ fmt }, { moisture }) {
  if (!moisture) return false;
  const value = dampValue(moisture, fmt);
  const gauge = value && /** @type {import("/js/forms/damp-gauge.js").DampGauge} */ (el("damp-gauge"));
  if (gauge) gauge.value = value;
  const { verdict, sentence, check_next, days, days_over, limit_percent } = moisture;
  const counted = value && [w.mould.surface(words.withUnit(fmt.whole(limit_percent), "%")), w.mould.days(days_over, days)].join("; ");
  return el(
    "section",
    { class: "damp" },
    el("h2", {}, w.mould.title),
    gauge,
    el("p", { class: verdict === "risk" ? "note" : null }, el("strong", {}, `${w.mould.verdicts[verdict] ?? verdict}.`), " ", bound(sentence)),
    check_next && el("p", {}, asSentence(w.next(check_next))),
    counted && el("p", { class: "small" }, `${counted.charAt(0).toUpperCase()}${counted.slice(1)}.`),
  );
}
