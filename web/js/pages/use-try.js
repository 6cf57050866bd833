/** Would another tariff pay? The use as it was, at the prices of an offer; nothing of it is stored in ingle. */

import "/js/forms/use-bars.js";
import * as api from "/js/api-use.js";
import { el, say } from "/js/dom.js";
import { readAmount } from "/js/forms/bill-form.js";
import { bound } from "/js/format.js";
import { asSentence } from "/js/judge.js";
import { problemInWords } from "/js/present.js";
import { money, periodInWords, qualityWord } from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/tariff.js").TariffDay} TariffDay
 */

const w = use.trial;
/** Where an offer half typed is kept in this browser. */
const KEPT = "ingle.offer";

/**
 * @param {Desk} desk
 * @param {TariffDay} day whose currency and tax an offer has where it says nothing
 */
export function trySection(desk, day) {
  const kept = read();
  const box = (/** @type {string} */ name, /** @type {string} */ unit, /** @type {import("/js/dom.js").Attributes} */ attributes = {}) => {
    const id = `offer-${name}`;
    const input = el("input", { id, name, type: "text", inputmode: "decimal", autocomplete: "off", value: kept[name] ?? "", ...attributes });
    return el("div", { class: "field" }, el("label", { for: id }, w.fields[name]), el("div", { class: "entry" }, input, unit && el("span", { class: "unit" }, unit)));
  };
  const time = (/** @type {string} */ name) => box(name, "", { type: "time", inputmode: null });
  const currency = day.currency ?? "";
  const clock = el(
    "div",
    { class: "field choice" },
    el("label", { for: "offer-clock" }, w.fields.clock),
    el("div", { class: "entry" }, el("select", { id: "offer-clock", name: "clock" }, ...Object.entries(w.clocks).map(([value, text]) => el("option", { value, selected: value === kept.clock }, text)))),
  );
  const wrong = el("p", { class: "note", role: "alert", hidden: true });
  const answer = el("div", { role: "status" });
  const form = /** @type {HTMLFormElement} */ (
    el(
      "form",
      { class: "changes", novalidate: true },
      el("h3", {}, w.offer),
      box("rest", `${currency}/kWh`),
      box("low", `${currency}/kWh`),
      time("from"),
      time("to"),
      clock,
      box("standing", currency),
      box("tax", "%", { placeholder: day.tax_percent === null ? "0" : `${day.tax_percent}` }),
      currency ? null : box("currency", "", { maxlength: 3, inputmode: null, placeholder: "GBP" }),
      wrong,
      el("button", { type: "submit" }, w.work),
    )
  );
  form.addEventListener("input", () => localStorage.setItem(KEPT, JSON.stringify(typed(form))));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const { tariff, fault } = asTariff(typed(form), day);
    let problem = fault;
    answer.replaceChildren();
    try {
      if (tariff) answer.replaceChildren(...drawn(desk, await api.tryTariff(desk.chosen.period, tariff)));
    } catch (error) {
      problem = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    }
    wrong.hidden = problem === "";
    say(wrong, problem);
  });
  return el("section", {}, el("h2", {}, w.heading), el("p", { class: "small" }, w.what(periodInWords(desk.chosen.period, desk.fmt))), answer, form);
}

/** @returns {Record<string, string>} */
function read() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "{}") ?? {};
  } catch {
    return {}; // something else wrote there
  }
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} */
function typed(form) {
  const fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("[name]")]);
  return Object.fromEntries(fields.map((input) => [input.name, input.value.trim()]));
}

/**
 * An offer as a tariff of a house file; its cheaper price only where both its times are given.
 *
 * @param {Record<string, string>} fields
 * @param {Pick<TariffDay, "date" | "currency" | "tax_percent">} day
 * @returns {{tariff: import("/js/api-use.js").Offer, fault: ""} | {tariff: null, fault: string}}
 */
export function asTariff(fields, day) {
  const number = (/** @type {string} */ name, /** @type {number | null} */ otherwise = null) => {
    if (!fields[name]) return otherwise;
    const text = readAmount(fields[name].replace("\u2212", "-"));
    return text === null ? Number.NaN : Number(text);
  };
  const [rest, low, standing, tax] = [number("rest"), number("low"), number("standing", 0), number("tax", day.tax_percent ?? 0)];
  if (rest === null) return { tariff: null, fault: w.wrong.rest };
  if ([rest, low, standing, tax].some(Number.isNaN)) return { tariff: null, fault: w.wrong.figure };
  const given = [low !== null, Boolean(fields.from), Boolean(fields.to)];
  if (given.some(Boolean) && !given.every(Boolean)) return { tariff: null, fault: w.wrong.window };
  const clock = /** @type {"local" | "utc"} */ (fields.clock);
  const windows = low === null ? [] : [{ per_kwh: low, from: fields.from, to: fields.to, clock }];
  const currency = day.currency ?? (fields.currency || "GBP").toUpperCase();
  return {
    tariff: { from: day.date, currency, tax_percent: tax ?? 0, standing_per_day: standing ?? 0, rates: [...windows, { per_kwh: rest }] },
    fault: "",
  };
}

/** @param {Desk} desk @param {import("/js/api-use.js").Trial} trial */
function drawn({ fmt }, trial) {
  const most = Math.max(0, ...trial.tariffs.map(({ total }) => Number(total))) || 1;
  const bars = /** @type {import("/js/forms/use-bars.js").UseBars} */ (el("use-bars"));
  bars.value = {
    heads: [w.heads[0], "", w.heads[1]],
    unit: "",
    rows: trial.tariffs.map((each) => ({
      name: each.number === 0 ? w.own : w.tried,
      place: `${each.number}`,
      length: Math.max(0, Number(each.total)) / most,
      kwh: "",
      money: money(fmt, each.total, trial.currency),
      quality: trial.quality,
      said: asSentence(each.number === 0 ? each.sentence : each.sentence.replace(/^tariff \d+; /u, "")),
      more: null,
    })),
    sums: [],
  };
  const kwh = words.withUnit(fmt.whole(trial.energy_wh / 1000), words.units.kilowattHour);
  return [
    el("p", { class: "summary said-of-both" }, bound(trial.sentence.replaceAll(/\btariff 1\b/giu, w.tried))),
    bars,
    el("p", { class: "small" }, w.rests(kwh, w.useFrom[trial.use_from] ?? trial.use_from, qualityWord(trial.quality))),
    ...trial.missing.map((text) => el("p", { class: "small" }, asSentence(text))),
  ];
}
