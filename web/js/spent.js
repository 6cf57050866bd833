/** From energy and costs of a period to what the Use page shows: pure functions, no document. */

import { lastDay, length, shift } from "/js/period.js";
import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/api-use.js").Costs} Costs
 * @typedef {import("/js/api-use.js").ZoneUse} ZoneUse
 * @typedef {import("/js/api-use.js").DayUse} DayUse
 * @typedef {import("/js/api.js").Quality} Quality
 * @typedef {import("/js/format.js").Formats} Formats
 * @typedef {import("/js/period.js").Period} Period
 * @typedef {"day" | "week" | "month"} Stretch
 * @typedef {{from: string, days: number, energy_wh: number | null, money: number | null, outdoor_c: number | null,
 *   degree_days_kd: number | null, quality: Quality | null}} Spell a day, or more days in one
 */

const w = use;
const QUALITIES = /** @type {const} */ (["metered", "estimated", "filled", "stale"]);

/** @param {Formats} fmt @param {number | null | undefined} wattHours */
export const kwh = (fmt, wattHours) => (wattHours === null || wattHours === undefined ? w.absent : fmt.kilowattHours(wattHours));

/** @param {Formats} fmt @param {string | number | null | undefined} amount @param {string | null} currency */
export const money = (fmt, amount, currency) =>
  amount === null || amount === undefined || !currency ? w.absent : fmt.money(Number(amount), currency);

/** @param {Quality | null | undefined} quality */
export const qualityWord = (quality) => (quality ? w.where.quality[quality] : w.where.noReading);

/** @param {(Quality | null)[]} qualities @returns {Quality | null} a sum is as good as its worst part */
export function worst(qualities) {
  const ranks = qualities.map((quality) => QUALITIES.indexOf(/** @type {Quality} */ (quality)));
  return QUALITIES[Math.max(-1, ...ranks)] ?? null;
}

/** @param {{energy_wh: number | null}[]} list @returns {any[]} largest first, unknown last */
export function byUse(list) {
  return [...list].sort((a, b) => (b.energy_wh ?? -1) - (a.energy_wh ?? -1));
}

/**
 * Costs in one sentence.
 *
 * @param {Costs} costs
 * @param {Formats} fmt
 */
export function summarySentence(costs, fmt) {
  const used = byUse(costs.zones).filter(({ energy_wh }) => energy_wh);
  const share = (/** @type {ZoneUse} */ zone) => fmt.percent((zone.energy_wh ?? 0) / (costs.energy_wh || 1));
  return w.where.summary({
    rooms: costs.zones.length,
    days: w.daysLong(Math.round(costs.days)),
    energy: words.withUnit(kwh(fmt, costs.energy_wh), words.units.kilowattHour),
    money: costs.total === null ? "" : money(fmt, costs.total, costs.currency),
    most: used.slice(0, 2).map((zone) => `${zone.name} (${words.withUnit(share(zone), "%")})`).join(" and "),
  });
}

/**
 * A room's bars: pure values; what a row opens is the page's.
 *
 * @param {Costs} costs
 * @param {Formats} fmt
 * @returns {Omit<import("/js/forms/use-bars.js").UseRow, "more">[]}
 */
export function zoneRows(costs, fmt) {
  const most = Math.max(0, ...costs.zones.map(({ energy_wh }) => energy_wh ?? 0)) || 1;
  return byUse(costs.zones).map((/** @type {ZoneUse} */ zone) => ({
    name: zone.name,
    place: zone.zone,
    length: zone.energy_wh === null ? null : zone.energy_wh / most,
    kwh: zone.energy_wh === null ? "" : kwh(fmt, zone.energy_wh),
    money: costs.currency ? money(fmt, zone.units, costs.currency) : "",
    quality: zone.quality,
    said: [
      qualityWord(zone.quality),
      zone.energy_wh !== null && costs.energy_wh ? w.where.share(fmt.percent(zone.energy_wh / costs.energy_wh)) : "",
    ].filter(Boolean).join(", "),
  }));
}

/**
 * The lines under the rooms, down to the total.
 *
 * @param {Costs} costs
 * @param {Formats} fmt
 * @returns {import("/js/forms/use-bars.js").SumRow[]}
 */
export function sumRows(costs, fmt) {
  const { sums } = w.where;
  const all = { name: sums.rooms, hint: costs.quality ? w.where.sumQuality[costs.quality] : "", kwh: kwh(fmt, costs.energy_wh), money: "", sum: true };
  if (!costs.currency || costs.total === null) return [all];
  const line = (/** @type {string} */ name, /** @type {string} */ hint, /** @type {string | null} */ amount, sum = false) => ({
    name, hint, kwh: "", money: money(fmt, amount, costs.currency), sum,
  });
  return [
    { ...all, money: money(fmt, costs.units, costs.currency) },
    line(sums.standing, w.daysLong(Math.round(costs.days)), costs.standing),
    line(sums.tax, "", costs.tax),
    line(sums.total, "", costs.total, true),
  ];
}

/**
 * Into how long stretches a period is cut, so that bars stay wide enough to be told apart on a phone.
 *
 * @param {number} days
 * @returns {Stretch}
 */
export function stretchOf(days) {
  if (days <= 62) return "day";
  return days <= 370 ? "week" : "month";
}

/**
 * Days as one list: energy, money, cold and quality of each; days without an answer are there, empty.
 *
 * @param {Period} period
 * @param {DayUse[]} uses
 * @param {import("/js/api-use.js").DayCost[]} costs
 * @returns {Spell[]}
 */
export function spells(period, uses, costs) {
  const used = new Map(uses.map((day) => [day.date, day]));
  const cost = new Map(costs.map((day) => [day.date, day]));
  return Array.from({ length: length(period) }, (_, index) => {
    const from = shift(period.from, index);
    const [day, paid] = [used.get(from), cost.get(from)];
    return {
      from,
      days: 1,
      energy_wh: day?.energy_wh ?? paid?.energy_wh ?? null,
      money: paid?.total === null || paid?.total === undefined ? null : Number(paid.total),
      outdoor_c: day?.outdoor_c ?? null,
      degree_days_kd: day?.degree_days_kd ?? null,
      quality: day?.quality ?? null,
    };
  });
}

/**
 * Days added up into weeks or months. A mean is of the days that have one; a sum with nothing in it is none.
 *
 * @param {Spell[]} days
 * @param {Stretch} stretch
 * @returns {Spell[]}
 */
export function grouped(days, stretch) {
  if (stretch === "day") return days;
  const key = (/** @type {string} */ date) =>
    stretch === "month" ? date.slice(0, 7) : shift(date, -((new Date(date).getUTCDay() + 6) % 7));
  /** @type {Map<string, Spell[]>} */
  const groups = new Map();
  for (const day of days) groups.set(key(day.from), [...(groups.get(key(day.from)) ?? []), day]);
  return [...groups.values()].map((group) => {
    const of = (/** @type {keyof Spell} */ name) => /** @type {number[]} */ (group.map((day) => day[name]).filter((value) => value !== null));
    const sum = (/** @type {keyof Spell} */ name) => (of(name).length ? of(name).reduce((total, value) => total + value, 0) : null);
    return {
      from: group[0].from,
      days: group.length,
      energy_wh: sum("energy_wh"),
      money: sum("money"),
      outdoor_c: of("outdoor_c").length ? (sum("outdoor_c") ?? 0) / of("outdoor_c").length : null,
      degree_days_kd: sum("degree_days_kd"),
      quality: worst(group.map(({ quality }) => quality)),
    };
  });
}

/** @param {Spell} spell @param {Stretch} stretch @param {Formats} fmt */
export function spellName({ from }, stretch, fmt) {
  if (stretch === "month") return fmt.month(from);
  return stretch === "week" ? w.where.weekOf(fmt.day(from)) : fmt.weekdayOf(from);
}

/**
 * The value of the day bars.
 *
 * @param {Spell[]} list
 * @param {Stretch} stretch
 * @param {string | null} currency
 * @param {Formats} fmt
 * @returns {import("/js/forms/day-bars.js").DayBarsValue}
 */
export function dayBarsValue(list, stretch, currency, fmt) {
  const energies = /** @type {number[]} */ (list.map(({ energy_wh }) => energy_wh).filter((value) => value !== null)).map((wh) => wh / 1000);
  const outdoors = /** @type {number[]} */ (list.map(({ outdoor_c }) => outdoor_c).filter((value) => value !== null));
  const scale = amountScale(energies);
  const step = Math.ceil(list.length / 5);
  const [one, many] = w.where.counted[stretch];
  const unit = words.units.kilowattHour;
  const figure = (/** @type {number} */ value) => words.withUnit(fmt.oneDecimal(value), unit);
  return {
    days: list.map((spell, index) => ({
      kwh: spell.energy_wh === null ? null : spell.energy_wh / 1000,
      quality: spell.quality,
      outdoorC: spell.outdoor_c,
      label: index % step === 0 && index <= list.length - step / 2 ? (stretch === "month" ? fmt.month(spell.from) : fmt.dayMonth(spell.from)) : "",
      said: spellInWords(spell, stretch, currency, fmt),
    })),
    energy: { ...scale, ticks: scale.ticks.length > 5 ? scale.ticks.filter((_, index) => index % 2 === 0) : scale.ticks },
    outdoor: outdoors.length ? { min: 5 * Math.floor(Math.min(...outdoors) / 5), max: 5 * Math.ceil((Math.max(...outdoors) + 0.1) / 5), ticks: [] } : null,
    figure: fmt.level,
    slider: w.where.slider,
    units: { energy: unit, outdoor: `${words.units.celsius} ${w.where.outside("").trim()}` },
    summary: w.where.plot({
      count: list.length,
      unit: list.length === 1 ? one : many,
      least: figure(Math.min(...energies, Infinity) === Infinity ? 0 : Math.min(...energies)),
      most: figure(Math.max(0, ...energies)),
    }),
  };
}

/**
 * @param {Spell} spell
 * @param {Stretch} stretch
 * @param {string | null} currency
 * @param {Formats} fmt
 */
function spellInWords(spell, stretch, currency, fmt) {
  const cold = [
    spell.outdoor_c === null ? "" : w.where.outside(words.withUnit(fmt.temperature(spell.outdoor_c), words.units.celsius)),
    spell.degree_days_kd === null ? "" : w.where.kelvinDays(fmt.oneDecimal(spell.degree_days_kd)),
  ].filter(Boolean);
  const used =
    spell.energy_wh === null
      ? [w.where.noReading]
      : [
          words.withUnit(kwh(fmt, spell.energy_wh), words.units.kilowattHour),
          spell.money === null || !currency ? "" : money(fmt, spell.money, currency),
          spell.quality === "metered" ? "" : qualityWord(spell.quality),
        ].filter(Boolean);
  return `${spellName(spell, stretch, fmt)}: ${[...used, ...cold].join(", ")}`;
}

/**
 * @param {Spell[]} list
 * @param {Stretch} stretch
 * @param {string | null} currency
 * @param {Formats} fmt
 * @returns {string[][]}
 */
export function dayTable(list, stretch, currency, fmt) {
  return list.map((spell) => [
    spellName(spell, stretch, fmt),
    kwh(fmt, spell.energy_wh),
    money(fmt, spell.money, currency),
    spell.outdoor_c === null ? w.absent : fmt.temperature(spell.outdoor_c),
    spell.degree_days_kd === null ? w.absent : fmt.oneDecimal(spell.degree_days_kd),
    qualityWord(spell.quality),
  ]);
}

/**
 * Every day and room as comma-separated values: plain figures with a point, for a spreadsheet.
 *
 * @param {Spell[]} list by day
 * @param {DayUse[]} uses
 * @param {Costs} costs
 */
export function csv(list, uses, costs) {
  const quoted = (/** @type {unknown} */ value) => (/[",\n]/u.test(`${value}`) ? `"${`${value}`.replaceAll('"', '""')}"` : `${value ?? ""}`);
  const used = new Map(uses.map((day) => [day.date, new Map(day.zones.map((zone) => [zone.zone, zone]))]));
  const heads = ["date", "outdoor_c", "degree_days_kd", "total_kwh", `total_money_${costs.currency ?? "none"}`, "quality", ...costs.zones.map(({ zone }) => `${zone}_kwh`)];
  const line = (/** @type {Spell} */ day) => [
    day.from,
    day.outdoor_c,
    day.degree_days_kd,
    day.energy_wh === null ? null : day.energy_wh / 1000,
    day.money,
    day.quality,
    ...costs.zones.map(({ zone }) => {
      const wh = used.get(day.from)?.get(zone)?.energy_wh;
      return wh === null || wh === undefined ? null : wh / 1000;
    }),
  ];
  return [heads, ...list.map(line)].map((row) => row.map(quoted).join(",")).join("\r\n");
}

/** @param {Period} period @param {Formats} fmt */
export function periodInWords(period, fmt) {
  return w.range(fmt.day(period.from), fmt.day(lastDay(period)));
}
