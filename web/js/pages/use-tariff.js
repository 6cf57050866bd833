/** The tariff: what a kWh costs through a day, with the standing charge and the tax beside it. */

import "/js/forms/day-strip.js";
import * as api from "/js/api-use.js";
import { el } from "/js/dom.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { trySection } from "/js/pages/use-try.js";
import { shift } from "/js/period.js";
import { endTime, price, stripValue } from "/js/tariff.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

const w = use.tariff;
/** What stands in a house file, for whoever has none yet. */
const EXAMPLE = `[[tariff]]
from = "2026-04-01"
currency = "GBP"
tax_percent = 5.0
standing_per_day = 0.55
rates = [
  {per_kwh = 0.15, from = "00:30", to = "07:30", clock = "utc"},
  {per_kwh = 0.30},
]`;

/**
 * @param {import("/js/pages/use.js").Desk} desk
 * @param {string[]} args the day
 * @returns {Promise<import("/js/pages/use.js").Shown>}
 */
export async function tariffView(desk, [asked]) {
  const { fmt, house, today } = desk;
  const date = /^\d{4}-\d\d-\d\d$/u.test(asked ?? "") ? asked : today;
  const day = await api.tariffDay(date);
  const nav = el(
    "nav",
    { class: "period", "aria-label": w.day },
    el("p", { class: "days" }, el("b", {}, fmt.weekdayOf(date)), day.hours === 24 ? "" : ` (${w.hours(day.hours)})`),
    el("ul", {}, ...[-7, -1, 0, 1, 7].map((days) => dayLink(date, today, days))),
  );
  const how = el("p", { class: "small" }, w.edit, " ", el("code", {}, words.now.loadCommand));
  if (!day.currency) {
    return { nodes: [nav, el("p", { class: "note" }, w.none), el("pre", { class: "scroll", tabindex: 0, "aria-label": w.example }, EXAMPLE), how], shapes: "", period: false };
  }
  const strip = /** @type {import("/js/forms/day-strip.js").DayStrip} */ (el("day-strip"));
  strip.value = stripValue(day, fmt, date === today ? Date.parse(house.t) : null);
  const currency = day.currency;
  const taxed = (/** @type {string | null} */ value) => (value === null ? use.absent : fmt.price(Number(value) * (1 + (day.tax_percent ?? 0) / 100), currency));
  const rows = day.stretches.map((each) => [w.stretch(fmt.time(each.from), endTime(day, each, fmt), "").trim(), price(day, each, fmt), each.per_kwh === null ? use.absent : w.perKwh(taxed(each.per_kwh))]);
  return {
    nodes: [
      nav,
      strip,
      table({ caption: w.table, columns: w.columns, rows }),
      el(
        "dl",
        { class: "figures" },
        fact(w.standing, fmt.price(Number(day.standing), currency), w.beforeTax),
        fact(w.tax, words.withUnit(fmt.level(day.tax_percent ?? 0), "%"), w.onBoth),
        fact(w.since, fmt.day(day.since ?? date), ""),
        ...(day.series ? [fact(w.series, day.series, w.seriesHint)] : []),
      ),
      ...(day.stretches.some(({ per_kwh }) => Number(per_kwh) < 0) ? [marginNote({ head: w.negative, body: w.negativeBody, urgent: false })] : []),
      how,
      trySection(desk, day),
    ],
    shapes: "prices",
    period: false,
  };
}

/**
 * @param {string} date
 * @param {string} today
 * @param {number} days
 */
function dayLink(date, today, days) {
  const to = days === 0 ? today : shift(date, days);
  return el("li", {}, el("a", { href: days === 0 ? "#tariff" : `#tariff/${to}`, "aria-current": days === 0 && date === today ? "true" : null }, w.steps[`${days}`]));
}

/**
 * @param {string} term
 * @param {string} text
 * @param {string} hint
 */
function fact(term, text, hint) {
  return el("div", {}, el("dt", {}, term), el("dd", {}, el("b", {}, text), hint && el("span", { class: "hint" }, hint)));
}
