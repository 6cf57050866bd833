/** What the coming days should take and cost: said beforehand, kept as it was said, and scored when they are over. */

import * as api from "/js/api-use.js";
import { el, svg } from "/js/dom.js";
import { readAmount } from "/js/forms/bill-form.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { shift } from "/js/period.js";
import { problemInWords } from "/js/present.js";
import { percent } from "/js/scale.js";
import * as spent from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/api-use.js").KeptForecast} Kept
 * @typedef {import("/js/format.js").Formats} Formats
 */

const w = use.forecast;
const HEIGHT = 28;

/** @param {Desk} desk @returns {Promise<Node[]>} */
export async function forecastSection(desk) {
  const answer = await api.forecasts().catch((/** @type {import("/js/api.js").Problem} */ problem) => problem);
  if (answer instanceof Error) {
    return [el("h2", {}, w.heading), marginNote({ head: words.notice.attention, body: `${use.partFailed(w.heading)} ${problemInWords(answer)}`, urgent: false })];
  }
  const most = Math.max(1, ...answer.forecasts.flatMap(({ forecast, score }) => [forecast.kwh_high ?? forecast.kwh ?? 0, score.kwh_was ?? 0]));
  const rows = answer.forecasts.map((kept) => el("li", {}, forecastRow(desk, kept, { min: 0, max: most, ticks: [] })));
  const typical = answer.typical_error_percent;
  return [
    el("h2", {}, w.heading),
    el("p", { class: "small" }, w.kept, typical === null ? "" : ` ${w.typical(answer.scored, words.withUnit(desk.fmt.whole(typical), "%"))}`),
    rows.length ? el("ol", { class: "rows forecasts" }, ...rows) : el("p", {}, w.none),
    askForm(desk),
  ];
}

/**
 * @param {Desk} desk
 * @param {Kept} kept
 * @param {import("/js/scale.js").Scale} scale
 */
function forecastRow({ fmt, house }, { forecast, score, intact }, scale) {
  const period = { from: fmt.isoDay(forecast.from), to: fmt.isoDay(forecast.to) };
  const kwh = (/** @type {number} */ value) => words.withUnit(fmt.whole(value), words.units.kilowattHour);
  const said = forecast.kwh === null ? use.absent : kwh(forecast.kwh);
  const range = forecast.kwh_low === null || forecast.kwh_high === null ? "" : w.range(fmt.whole(forecast.kwh_low), fmt.whole(forecast.kwh_high));
  const cost = forecast.money === null ? "" : spent.money(fmt, forecast.money, forecast.currency);
  const rows = forecast.zones.map((zone) => {
    const was = score.zones.find((each) => each.zone === zone.zone);
    const number = (/** @type {number | null | undefined} */ value) => (value === null || value === undefined ? use.absent : fmt.oneDecimal(value));
    return [
      zone.name, number(zone.kwh), zone.kwh_low === null || zone.kwh_high === null ? use.absent : use.range(number(zone.kwh_low), number(zone.kwh_high)),
      spent.money(fmt, zone.money, forecast.currency), number(was?.kwh_was), zone.method ? w.methods[zone.method] : (zone.missing ?? use.absent),
    ];
  });
  return el(
    "details",
    { class: "forecast" },
    el(
      "summary",
      { class: "use-line" },
      el("span", { class: "what" }, spent.periodInWords(period, fmt)),
      drawing(forecast, score, scale),
      el("span", { class: "kwh" }, said),
      el("span", { class: "money" }, cost),
      el("span", { class: "said" }, [range, bound(score.sentence)].filter(Boolean).join(" ")),
    ),
    el(
      "div",
      { class: "lines" },
      el("p", { class: "small" }, w.made(fmt.when(forecast.made, Date.parse(house.t)), forecast.who)),
      !intact && marginNote({ head: words.notice.attention, body: w.broken, urgent: true }),
      table({ caption: w.rooms, columns: w.columns, rows }),
      el("ul", { class: "plain" }, ...[...forecast.assumptions, ...forecast.missing, ...score.missing].map((text) => el("li", {}, bound(text)))),
    ),
  );
}

/**
 * What was said as a band with its middle, and what came as a stroke.
 *
 * @param {Kept["forecast"]} forecast
 * @param {Kept["score"]} score
 * @param {import("/js/scale.js").Scale} scale
 */
function drawing({ kwh, kwh_low, kwh_high }, { kwh_was }, scale) {
  const line = (/** @type {number} */ value, /** @type {string} */ name) => svg("line", { class: name, x1: percent(scale, value), x2: percent(scale, value), y1: 4, y2: HEIGHT - 4 });
  const low = kwh_low ?? kwh ?? 0;
  const width = `${(parseFloat(percent(scale, kwh_high ?? low)) - parseFloat(percent(scale, low))).toFixed(2)}%`;
  return svg(
    "svg",
    { class: "use-bar", width: "100%", height: HEIGHT, "aria-hidden": "true", focusable: "false" },
    svg("line", { class: "axis", x1: 0, x2: "100%", y1: HEIGHT / 2, y2: HEIGHT / 2 }),
    kwh !== null && svg("rect", { class: "design", x: percent(scale, low), width, y: 6, height: HEIGHT - 12 }),
    kwh !== null && line(kwh, "design-line"),
    kwh_was !== null && line(kwh_was, "tick"),
  );
}

/** @param {Desk} desk */
function askForm(desk) {
  const field = (/** @type {string} */ name, /** @type {import("/js/dom.js").Attributes} */ attributes, /** @type {string} */ unit = "") => {
    const id = `ahead-${name}`;
    const input = /** @type {HTMLInputElement} */ (el("input", { id, name, autocomplete: "off", ...attributes }));
    const node = el("div", { class: "field" }, el("label", { for: id }, w.fields[name]), el("div", { class: "entry" }, input, unit && el("span", { class: "unit" }, unit)));
    return { input, node };
  };
  const [first, last, outdoor] = [
    field("from", { type: "date", value: shift(desk.today, 1) }),
    field("last", { type: "date", value: shift(desk.today, 7) }),
    field("outdoor_c", { type: "text", inputmode: "decimal", placeholder: w.lately }, words.units.celsius),
  ];
  const wrong = el("p", { class: "note", role: "alert", hidden: true });
  const submit = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const typed = outdoor.input.value.trim();
    const outdoor_c = typed === "" ? null : Number(readAmount(typed.replace("\u2212", "-")) ?? Number.NaN);
    const faults = [Number.isNaN(outdoor_c) && w.wrongTemperature, !(first.input.value && last.input.value >= first.input.value) && w.wrongDays].filter(Boolean);
    try {
      if (faults.length === 0) {
        await api.makeForecast({ from: first.input.value, to: shift(last.input.value, 1), outdoor_c });
        await desk.again();
        return;
      }
      wrong.textContent = faults.join(" ");
    } catch (error) {
      wrong.textContent = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    }
    wrong.hidden = false;
  };
  return el("form", { class: "changes", submit, novalidate: true }, el("h3", {}, w.ask), first.node, last.node, outdoor.node, wrong, el("button", { type: "submit" }, w.say));
}
