/** `<load-row>`: a room of the design - its name as the way in, its load on the house's scale, and where most of it goes. */

import "/js/forms/interval-plot.js";
import { el, quantity } from "/js/dom.js";
import { bandInWords, partName, platesInWords, shares } from "/js/losses.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneDesign} ZoneDesign
 * @typedef {import("/js/format.js").Formats} Formats
 */

const MOST = 2;

export class LoadRow extends HTMLElement {
  /**
   * @param {ZoneDesign} zone
   * @param {import("/js/scale.js").Scale} scale
   * @param {Formats} fmt
   * @param {(id: string) => string} nameOf
   */
  update(zone, scale, fmt, nameOf) {
    const plates = platesInWords(zone, fmt);
    const plot = /** @type {import("/js/forms/interval-plot.js").IntervalPlot} */ (el("interval-plot"));
    plot.value = plotValue(zone, scale, fmt);
    this.replaceChildren(
      el(
        "div",
        { class: "name" },
        el("h3", {}, el("a", { class: "to-room", href: `#room/${zone.id}` }, zone.name)),
        el("p", { class: "load" }, quantity(fmt.watts(zone.heat_loss_w), "W"), " ", quantity(fmt.oneDecimal(zone.heat_loss_w_per_k), "W/K")),
      ),
      plot,
      el(
        "div",
        { class: "said" },
        el("p", {}, mostly(zone, fmt, nameOf)),
        el("p", { class: plates.short ? "note" : "small" }, plates.text),
        zone.warnings.length > 0 && el("p", { class: "small" }, `${words.design.looks(zone.warnings.length)}.`),
      ),
    );
  }
}

/**
 * @param {ZoneDesign} zone
 * @param {Formats} fmt
 * @param {(id: string) => string} nameOf
 */
function mostly(zone, fmt, nameOf) {
  const largest = shares(zone).filter(({ ink }) => ink > 0).slice(0, MOST);
  if (largest.length === 0) return "";
  return words.design.most(
    largest.map(({ part, share }) =>
      words.design.share(lower(partName(part, zone.id, nameOf), part.element), words.withUnit(fmt.percent(share), "%")),
    ),
  );
}

/** @param {string} name @param {number | null} element */
const lower = (name, element) => (element === null ? name.toLowerCase() : name);

/**
 * @param {ZoneDesign} zone
 * @param {import("/js/scale.js").Scale} scale
 * @param {Formats} fmt
 * @returns {import("/js/forms/interval-plot.js").PlotValue}
 */
function plotValue(zone, scale, fmt) {
  const load = words.withUnit(fmt.watts(zone.heat_loss_w), "W");
  return {
    design: { value: zone.heat_loss_w, low: zone.low_w, high: zone.high_w, text: fmt.watts(zone.heat_loss_w) },
    metered: null,
    verdict: "",
    plates: zone.installed_w ? { value: zone.installed_w, text: fmt.watts(zone.installed_w) } : null,
    scale,
    figure: fmt.watts,
    summary: words.design.plotSummary(zone.name, load, bandInWords(zone, fmt), platesInWords(zone, fmt).text),
  };
}

customElements.define("load-row", LoadRow);
