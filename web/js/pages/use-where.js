/** Where it went: energy and money of a period by room, by day, and down to the total. */

import "/js/forms/day-bars.js";
import "/js/forms/use-bars.js";
import * as api from "/js/api-use.js";
import { el, quantity } from "/js/dom.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { asSentence } from "/js/judge.js";
import { periodPicker } from "/js/pages/use-period.js";
import { lastDay, length } from "/js/period.js";
import { problemInWords } from "/js/present.js";
import * as spent from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/api-use.js").Costs} Costs
 * @typedef {import("/js/api-use.js").ZoneUse} ZoneUse
 */

const w = use;
const o = w.where;

/** @param {Desk} desk @returns {Promise<import("/js/pages/use.js").Shown>} */
export async function whereView(desk) {
  const { period } = desk.chosen;
  const [costs, uses, carbon] = await Promise.all([
    api.costs(period),
    api.days(period).catch((/** @type {import("/js/api.js").Problem} */ problem) => problem),
    api.carbon(period).catch(() => null), // it stands beside the figures, and never instead of them
  ]);
  const nodes = costs.zones.length ? sheet(desk, costs, uses, carbon) : [noZones()];
  return { nodes: [periodPicker(desk, "where"), ...nodes], shapes: "used estimated filled outdoorDay", period: true };
}

function noZones() {
  return el("div", { class: "empty" }, el("p", {}, o.noZones), el("p", {}, el("code", {}, words.now.loadCommand)));
}

/**
 * @param {Desk} desk
 * @param {Costs} costs
 * @param {import("/js/api-use.js").Days | import("/js/api.js").Problem} uses
 * @param {import("/js/api-use.js").Carbon | null} carbon
 * @returns {Node[]}
 */
function sheet(desk, costs, uses, carbon) {
  const { fmt } = desk;
  const days = uses instanceof Error ? [] : uses.days;
  const list = spent.spells(desk.chosen.period, days, costs.by_day);
  if (costs.energy_wh === null) {
    return [el("div", { class: "empty" }, el("p", {}, el("strong", {}, o.nothing)), el("p", {}, o.nothingYet)), ...missing(costs)];
  }
  return [
    el("p", { class: "summary" }, spent.summarySentence(costs, fmt)),
    figures(desk, costs, list, uses instanceof Error ? null : uses.base_c),
    ...missing(costs),
    el("section", {}, el("h2", {}, o.rooms), bars(desk, costs), tabular(o.roomsTable, roomTable(desk, costs)), el("p", { class: "to-check" }, el("a", { href: "/check" }, o.toCheck))),
    daily(desk, costs, list, uses instanceof Error ? uses : null),
    ...booked(desk, costs),
    ...carbonLines(desk, carbon),
    el("p", { class: "doing" }, exportButton(desk, list, days, costs), el("button", { type: "button", click: () => print() }, w.print)),
  ];
}

/**
 * @param {Desk} desk
 * @param {Costs} costs
 * @param {import("/js/spent.js").Spell[]} list
 * @param {number | null} base_c from where degree days count
 */
function figures({ fmt, chosen, today }, costs, list, base_c) {
  const known = list.filter(({ energy_wh, from }) => energy_wh !== null && from < today); // today is not over
  const cold = list.filter(({ degree_days_kd }) => degree_days_kd !== null);
  const mean = list.filter(({ outdoor_c }) => outdoor_c !== null);
  const sum = (/** @type {any[]} */ of, /** @type {string} */ name) => of.reduce((total, day) => total + day[name], 0);
  const days = w.daysLong(length(chosen.period));
  const energy = figure(o.energy, spent.kwh(fmt, costs.energy_wh), words.units.kilowattHour, chosen.period.to > today ? w.period.running(days) : days);
  const paid =
    costs.total === null
      ? figure(o.money, o.noMoney, "", "")
      : figure(o.money, spent.money(fmt, costs.total, costs.currency), "", o.allIn);
  const perDay = known.length ? fmt.oneDecimal(sum(known, "energy_wh") / 1000 / known.length) : w.absent;
  const outside = mean.length ? o.outdoor(words.withUnit(fmt.temperature(sum(mean, "outdoor_c") / mean.length), words.units.celsius)) : "";
  return el(
    "dl",
    { class: "figures" },
    energy,
    paid,
    figure(o.perDay, perDay, words.units.kilowattHour, ""),
    ...(cold.length && base_c !== null
      ? [figure(o.cold, fmt.whole(sum(cold, "degree_days_kd")), "K·d", [o.base(words.withUnit(fmt.level(base_c), words.units.celsius)), outside].filter(Boolean).join("; "))]
      : []),
  );
}

/**
 * @param {string} term
 * @param {string} text
 * @param {string} unit
 * @param {string} hint
 */
function figure(term, text, unit, hint) {
  return el("div", {}, el("dt", {}, term), el("dd", {}, unit ? quantity(text, unit) : el("b", {}, text), hint && el("span", { class: "hint" }, hint)));
}

/** @param {Costs} costs */
function missing(costs) {
  const notes = costs.missing.map((body) => marginNote({ head: o.missing, body: asSentence(body), urgent: false }));
  if (costs.currency || costs.energy_wh === null) return notes;
  return [el("p", { class: "note" }, o.noTariff, " ", el("a", { href: "#tariff" }, o.toTariff)), ...notes];
}

/** @param {Desk} desk @param {Costs} costs */
function bars({ fmt }, costs) {
  const node = /** @type {import("/js/forms/use-bars.js").UseBars} */ (el("use-bars"));
  const zones = new Map(costs.zones.map((zone) => [zone.zone, zone]));
  node.value = {
    heads: costs.currency ? o.heads : o.heads.slice(0, 2).concat(""),
    unit: words.units.kilowattHour,
    rows: spent.zoneRows(costs, fmt).map((row) => {
      const zone = /** @type {ZoneUse} */ (zones.get(row.place));
      return { ...row, more: zone.heaters.length ? () => unfolded(zone, costs.currency, fmt) : null };
    }),
    sums: spent.sumRows(costs, fmt),
  };
  return node;
}

/**
 * What a room is made of: its heaters, and the prices at which it used.
 *
 * @param {ZoneUse} zone
 * @param {string | null} currency
 * @param {import("/js/format.js").Formats} fmt
 */
function unfolded(zone, currency, fmt) {
  const heaters = spent.byUse(zone.heaters).map((heater) => [
    heater.heater,
    spent.kwh(fmt, heater.energy_wh),
    spent.money(fmt, heater.units, currency),
    spent.qualityWord(heater.quality),
  ]);
  const rates = zone.rates.map((rate) => [
    currency ? fmt.price(Number(rate.per_kwh), currency) : rate.per_kwh,
    spent.kwh(fmt, rate.energy_wh),
    spent.money(fmt, rate.money, currency),
  ]);
  return el(
    "div",
    {},
    table({ caption: o.heatersOf(zone.name), columns: o.heaterColumns, rows: heaters }),
    rates.length > 0 && table({ caption: o.ratesOf(zone.name), columns: o.rateColumns, rows: rates }),
    zone.total !== null && currency && el("p", { class: "small" }, o.withTax(spent.money(fmt, zone.total, currency))),
  );
}

/** @param {Desk} desk @param {Costs} costs */
function roomTable({ fmt }, costs) {
  const paid = (/** @type {string | null} */ amount) => spent.money(fmt, amount, costs.currency);
  return {
    caption: o.roomsTable,
    columns: o.roomColumns,
    rows: [
      ...spent.byUse(costs.zones).map((zone) => [zone.name, spent.kwh(fmt, zone.energy_wh), paid(zone.units), paid(zone.tax), paid(zone.total), spent.qualityWord(zone.quality)]),
      ...(costs.currency ? [[o.sums.standing, "", paid(costs.standing), "", "", ""]] : []),
      [o.sums.total, spent.kwh(fmt, costs.energy_wh), "", paid(costs.tax), paid(costs.total), spent.qualityWord(costs.quality)],
    ],
  };
}

/**
 * @param {string} summary
 * @param {{caption: string, columns: string[], rows: string[][]}} value
 */
export function tabular(summary, value) {
  return el("details", { class: "tabular" }, el("summary", {}, summary), table(value));
}

/**
 * @param {Desk} desk
 * @param {Costs} costs
 * @param {import("/js/spent.js").Spell[]} list
 * @param {import("/js/api.js").Problem | null} problem
 */
function daily({ fmt }, costs, list, problem) {
  const stretch = spent.stretchOf(list.length);
  const shown = spent.grouped(list, stretch);
  const node = /** @type {import("/js/forms/day-bars.js").DayBars} */ (el("day-bars"));
  node.value = spent.dayBarsValue(shown, stretch, costs.currency, fmt);
  const heading = { day: o.days, week: o.weeks, month: o.months }[stretch];
  return el(
    "section",
    {},
    el("h2", {}, heading),
    problem && marginNote({ head: o.partly, body: `${w.partFailed(o.cold)} ${problemInWords(problem)}`, urgent: false }),
    node,
    tabular(o.daysTable, { caption: heading, columns: o.dayColumns, rows: spent.dayTable(shown, stretch, costs.currency, fmt) }),
  );
}

/**
 * Carbon, only by factors that the house has, with whose they are and of which year.
 *
 * @param {Desk} desk
 * @param {import("/js/api-use.js").Carbon | null} carbon
 */
function carbonLines({ fmt }, carbon) {
  if (!carbon?.name) return [];
  const factors = carbon.years.filter(({ kg_per_kwh }) => kg_per_kwh !== null).map(({ year, kg_per_kwh }) => o.factor(`${year}`, fmt.worked(kg_per_kwh ?? 0)));
  const whose = [carbon.name, carbon.region, carbon.source].filter(Boolean).join(", ");
  return [
    el("section", {}, el("h2", {}, o.carbon), carbon.kg !== null && el("p", {}, quantity(fmt.oneDecimal(carbon.kg), "kg CO₂e"), ` ${o.factors(factors, whose)}`), ...carbon.missing.map((text) => el("p", { class: "small" }, asSentence(text)))),
  ];
}

/** @param {Desk} desk @param {Costs} costs */
function booked({ fmt }, costs) {
  if (costs.booked.length === 0) return [];
  const names = new Map(costs.zones.map(({ zone, name }) => [zone, name]));
  const rows = costs.booked.map((each) => [each.booking, names.get(each.zone) ?? each.zone, spent.kwh(fmt, each.energy_wh), spent.money(fmt, each.total, costs.currency)]);
  return [el("section", {}, el("h2", {}, o.bookings), table({ caption: o.bookings, columns: o.bookingColumns, rows }))];
}

/**
 * @param {Desk} desk
 * @param {import("/js/spent.js").Spell[]} list
 * @param {import("/js/api-use.js").DayUse[]} days
 * @param {Costs} costs
 */
function exportButton({ chosen }, list, days, costs) {
  const save = () => {
    const url = URL.createObjectURL(new Blob([spent.csv(list, days, costs)], { type: "text/csv" }));
    el("a", { href: url, download: `use-${chosen.period.from}-to-${lastDay(chosen.period)}.csv` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 1000);
  };
  return el("button", { type: "button", click: save }, w.csv);
}
