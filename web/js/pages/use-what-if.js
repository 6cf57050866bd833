/** What if: a room run another way - cooler, shorter, held all day, with another cap - in kWh and money a day. */

import "/js/forms/use-bars.js";
import * as now from "/js/api.js";
import * as api from "/js/api-use.js";
import { el } from "/js/dom.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { forecastSection } from "/js/pages/use-forecasts.js";
import { asSentence } from "/js/judge.js";
import { readAmount } from "/js/forms/bill-form.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/api-use.js").WhatIf} WhatIf
 * @typedef {import("/js/api-use.js").Case} Case
 */

const w = use.whatIf;
/** What may be changed, with its unit and what holds where nothing is typed. */
const CHANGES = /** @type {const} */ ({ less_k: "K", less_h: "h", held_c: "°C", cap_a: "A", outdoor_c: "°C" });

/** @param {Desk} desk @param {string[]} args the room, and what is changed @returns {Promise<import("/js/pages/use.js").Shown>} */
export async function whatIfView(desk, [asked, changed]) {
  const zones = await now.zones();
  const zone = zones.find(({ id }) => id === asked) ?? zones[0];
  if (!zone) return { nodes: [el("p", { class: "empty" }, use.where.noZones, " ", el("code", {}, words.now.loadCommand))], shapes: "", period: false };
  const changes = Object.fromEntries(new URLSearchParams(changed ?? ""));
  const [answer, forecasts] = await Promise.all([
    api.whatIf(zone.id, changes).catch((/** @type {import("/js/api.js").Problem} */ problem) => problem),
    forecastSection(desk),
  ]);
  const links = zones.map(({ id, name }) => el("li", {}, el("a", { href: `#what-if/${id}`, "aria-current": id === zone.id ? "true" : null }, name)));
  return {
    nodes: [
      el("nav", { class: "period", "aria-label": use.where.rooms }, el("ul", {}, ...links)),
      el("h2", {}, zone.name),
      ...(answer instanceof Error ? refusal(answer) : sheet(desk, answer)),
      changeForm(zone.id, changes),
      ...forecasts,
    ],
    shapes: answer instanceof Error ? "said" : "mark said",
    period: false,
  };
}

/** @param {import("/js/api.js").Problem} problem */
function refusal(problem) {
  if (problem.status === 0) throw problem;
  const faults = problem.errors.map(({ allowed }) => allowed && words.problem.allowed(allowed)).filter(Boolean);
  return [marginNote({ head: w.cannot, body: bound([asSentence(problem.detail || problem.title), ...faults].join(" ")), urgent: false })];
}

/** @param {Desk} desk @param {WhatIf} answer @returns {Node[]} */
function sheet({ fmt }, answer) {
  const most = Math.max(0, ...answer.cases.map(({ kwh_per_day }) => kwh_per_day)) || 1;
  const usual = answer.cases.find(({ code }) => code === "programme");
  const bars = /** @type {import("/js/forms/use-bars.js").UseBars} */ (el("use-bars"));
  bars.value = {
    heads: [w.heads[0], w.heads[1], answer.currency ? w.heads[2] : ""],
    unit: words.units.kilowattHour,
    rows: answer.cases.map((each) => ({
      name: bound(each.title),
      place: each.code,
      length: each.kwh_per_day / most,
      mark: usual && each !== usual ? usual.kwh_per_day / most : null,
      kwh: fmt.oneDecimal(each.kwh_per_day),
      money: each.money_per_day === null || !answer.currency ? "" : fmt.money(Number(each.money_per_day), answer.currency),
      quality: "estimated",
      said: [difference(each, answer.currency, fmt), each.cold.length ? w.coldTimes(each.cold.length) : "", each.reaches ? "" : w.never].filter(Boolean).join(" "),
      more: () => unfolded(each, fmt),
    })),
    sums: [],
  };
  const loss = words.withUnit(fmt.coefficient(answer.loss_w_per_k), words.units.coefficient);
  return [
    el("p", { class: "small" }, w.rests({
      outdoor: words.withUnit(fmt.temperature(answer.outdoor_c), words.units.celsius),
      loss: `${loss} (${w.lossFrom[answer.loss_from] ?? answer.loss_from})`,
      tau: words.withUnit(fmt.whole(answer.tau_h), words.units.h),
      power: words.withUnit(fmt.watts(answer.power_w), words.units.watt),
    })),
    bars,
    ...answer.missing.map((body) => marginNote({ head: use.where.missing, body: asSentence(body), urgent: false })),
    el("details", { class: "tabular", open: true }, el("summary", {}, w.assumptions), el("ul", { class: "plain" }, ...answer.assumptions.map((text) => el("li", {}, bound(text))))),
    el("details", { class: "tabular" }, el("summary", {}, w.table), table({ caption: w.table, columns: w.columns, rows: answer.cases.map((each) => row(each, answer.currency, fmt)) })),
  ];
}

/**
 * @param {Case} each
 * @param {string | null} currency
 * @param {import("/js/format.js").Formats} fmt
 */
function difference(each, currency, fmt) {
  if (each.code === "programme") return "";
  const kwh = words.withUnit(plus(each.against_programme_kwh, fmt.oneDecimal), words.units.kilowattHour);
  const percent = each.against_programme_percent === null ? "" : ` (${words.withUnit(plus(each.against_programme_percent, fmt.whole), "%")})`;
  const money = each.against_programme_money === null || !currency ? "" : `, ${plus(Number(each.against_programme_money), (value) => fmt.money(value, currency))}`;
  return w.against(`${kwh}${percent}${money}`);
}

/** @param {number} value @param {(value: number) => string} format */
const plus = (value, format) => (value > 0 ? `+${format(value)}` : format(value));

/**
 * @param {Case} each
 * @param {string | null} currency
 * @param {import("/js/format.js").Formats} fmt
 */
function row(each, currency, fmt) {
  return [
    each.title,
    fmt.oneDecimal(each.kwh_per_day),
    each.money_per_day === null || !currency ? use.absent : fmt.money(Number(each.money_per_day), currency),
    plus(each.against_programme_kwh, fmt.oneDecimal),
    fmt.temperature(each.mean_c),
    fmt.oneDecimal(each.warm_up_h),
    each.reaches ? w.yes : w.no,
  ];
}

/** @param {Case} each @param {import("/js/format.js").Formats} fmt */
function unfolded(each, fmt) {
  const celsius = (/** @type {number} */ value) => words.withUnit(fmt.temperature(value), words.units.celsius);
  const rows = each.cold.map((spell) => [
    spell.day ?? w.everyDay, spell.start, spell.until, celsius(spell.wanted_c), celsius(spell.lowest_c), spell.reached ? w.yes : w.no,
  ]);
  return el("div", {}, el("p", {}, bound(each.sentence)), rows.length > 0 && table({ caption: w.cold, columns: w.coldColumns, rows }));
}

/** @param {string} zone @param {Record<string, string>} changes */
function changeForm(zone, changes) {
  const fields = Object.entries(CHANGES).map(([name, unit]) => {
    const id = `if-${name}`;
    return el(
      "div",
      { class: "field" },
      el("label", { for: id }, w.fields[name]),
      el("div", { class: "entry" }, el("input", { id, name, type: "text", inputmode: "decimal", autocomplete: "off", value: changes[name] ?? "", placeholder: w.usual[name] }), el("span", { class: "unit" }, unit)),
    );
  });
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    const query = new URLSearchParams();
    for (const name of Object.keys(CHANGES)) {
      const input = /** @type {HTMLInputElement} */ (document.getElementById(`if-${name}`));
      // What is no number goes as it stands: ingle says what is allowed there.
      if (input.value.trim()) query.set(name, readAmount(input.value) ?? input.value.trim());
    }
    location.hash = `what-if/${zone}${`${query}` ? `/${encodeURIComponent(`${query}`)}` : ""}`;
  };
  return el("form", { class: "changes", submit }, el("h3", {}, w.change), ...fields, el("button", { type: "submit" }, w.work));
}
