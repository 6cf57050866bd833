/**
 * `<heater-options>`: numbers and ratings of heaters that meet a room's load, what is listed now first; each opens what
 * one should know of it. Then the ways of heating the room over a year, and the cautions, always.
 */

import { el } from "/js/dom.js";
import { table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneOptions} ZoneOptions
 * @typedef {import("/js/api.js").HeaterOption} HeaterOption
 * @typedef {import("/js/api.js").Range} Range
 * @typedef {import("/js/format.js").Formats} Formats
 */

const w = words.design;

export class HeaterOptions extends HTMLElement {
  /**
   * @param {ZoneOptions} found
   * @param {Formats} fmt
   */
  update(found, fmt) {
    const { options, installed, places, ways = [], cautions } = found;
    this.replaceChildren(
      places.length ? el("p", { class: "small" }, w.options.places(places)) : "",
      el(
        "ol",
        {},
        ...(installed ? [el("li", {}, option(installed, fmt, w.options.installed(installed.label)))] : []),
        ...options.map((each) => el("li", {}, option(each, fmt, each.label))),
      ),
      ways.length ? el("div", { class: "ways" }, table(waysTable(ways, fmt))) : "",
      ...cautions.map((text) => el("p", { class: "note" }, bound(text))),
    );
  }
}

/**
 * @param {HeaterOption} option
 * @param {Formats} fmt
 * @param {string} label
 */
function option({ output_w, rated_w, margin_percent, shortfall_w, current_a, spread, design_day, ordinary_day, notes }, fmt, label) {
  const short = shortfall_w > 0;
  const margin = short
    ? w.options.short(words.withUnit(fmt.watts(shortfall_w), words.units.watt))
    : w.options.over(words.withUnit(fmt.oneDecimal(margin_percent), "%"));
  const amps = words.withUnit(fmt.oneDecimal(current_a), "A");
  const gives = words.withUnit(fmt.watts(output_w ?? rated_w), words.units.watt);
  return el(
    "details",
    {},
    el(
      "summary",
      { class: "option" },
      el("span", { class: "what" }, bound(label), el("span", { class: "hint" }, w.options.draws(gives, amps))),
      el("span", { class: short ? "margin-word short" : "margin-word" }, el("b", {}, margin)),
    ),
    el(
      "ul",
      { class: "lines" },
      ...[
        `${w.options.coldest} ${design_day.says}.`,
        `${w.options.ordinary} ${ordinary_day.says}.`,
        ...notes,
        ...(spread.length ? [`${spread.join("; ")}.`] : []),
      ].map((text) => el("li", {}, bound(text))),
    ),
  );
}

/**
 * @param {import("/js/api.js").Way[]} ways
 * @param {Formats} fmt
 */
function waysTable(ways, fmt) {
  const range = (/** @type {Range | null} */ band, /** @type {(value: number) => string} */ write) =>
    band ? w.ways.range(write(band.mid), write(band.low), write(band.high)) : w.ways.none;
  const rows = ways.map(({ kind, kwh, money, currency, needs, missing }) => [
    w.ways.kinds[kind] ?? kind,
    range(kwh, fmt.whole),
    range(money, (value) => fmt.wholeMoney(value, currency ?? "GBP")),
    bound([...needs, missing.length && w.ways.missing(missing.map(unsaid))].filter(Boolean).join(" ")),
  ]);
  return { caption: w.ways.title, columns: w.ways.columns, rows };
}

/** @param {string} text what the house file does not say, its key first */
const unsaid = (text) => text.replace(/\bhouse\.(\w+)/u, (_, key) => w.ways.tables[key] ?? key.replaceAll("_", " "));

customElements.define("heater-options", HeaterOptions);
