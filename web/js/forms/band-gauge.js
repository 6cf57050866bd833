/**
 * `<band-gauge>`: a room on the page's scale of degrees.
 *
 * The wanted band is shaded; the room is a tick with its figure above; the wanted temperature stands below; outside is
 * a small hollow tick. A dimension line spans what is still to go. A stale reading is a hollow figure with its age and
 * a broken tick; no reading is said in words, and draws no tick at all: no data is neither cold nor warm.
 */

import { svg } from "/js/dom.js";
import { LANE, at, beside, box, frame, label, sheet, span, stroke } from "/js/forms/drawing.js";

/** Half the width of a figure with its unit, and some air [px]. */
const BESIDE = 44;

/**
 * @typedef {{
 *   tempC: number | null, wantedC: number, outdoorC: number | null, proposedC: number | null,
 *   halfBandK: number, scale: import("/js/scale.js").Scale, state: string, stale: boolean,
 *   temp: string, wanted: string, age: string, unit: string, noReading: string, trend: -1 | 0 | 1,
 *   figure: (value: number) => string, summary: string,
 * }} GaugeValue
 */

export class BandGauge extends HTMLElement {
  #drawn = "";

  /** @param {GaugeValue} value */
  set value(value) {
    const drawn = JSON.stringify(value);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    this.replaceChildren(draw(value));
  }
}

/** @param {GaugeValue} value */
function draw(value) {
  const { scale, wantedC, halfBandK, outdoorC, tempC, proposedC, summary, figure } = value;
  const drawing = sheet("band-gauge", summary);
  drawing.append(frame(scale, figure), box(scale, wantedC - halfBandK, wantedC + halfBandK, 16, "band"));
  if (proposedC !== null) drawing.append(box(scale, proposedC - halfBandK, proposedC + halfBandK, 24, "proposed"));
  if (outdoorC !== null) drawing.append(at(scale, outdoorC, svg("rect", { class: "outside", x: -2.5, y: -6, width: 5, height: 12 })));
  drawing.append(label(scale, wantedC, LANE.target, "target", 0.12, () => quantity(value.wanted, value.unit)));
  if (tempC === null) drawing.append(label(scale, scale.min, LANE.value, "no-reading", 0.5, () => [value.noReading]));
  else drawing.append(...room(value, tempC));
  return drawing;
}

/**
 * @param {GaugeValue} value
 * @param {number} tempC
 */
function room({ scale, wantedC, halfBandK, state, stale, temp, age, unit, trend }, tempC) {
  const edge = tempC < wantedC ? wantedC - halfBandK : wantedC + halfBandK;
  const short = Math.abs(tempC - wantedC) > halfBandK && !stale;
  const parts = () => [
    ...quantity(temp, unit),
    ...(trend ? [svg("tspan", { class: "trend", dx: 4 }, trend > 0 ? "↗" : "↘")] : []),
  ];
  return [
    ...(short ? [span(scale, tempC, edge, `togo ${state}`)] : []),
    stroke(scale, tempC, 24, stale ? "tick stale" : "tick"),
    label(scale, tempC, LANE.value, stale ? "value hollow" : "value", 0.12, parts),
    ...(age ? [beside(scale, tempC, LANE.value, "age", BESIDE, age)] : []),
  ];
}

/**
 * @param {string} figure
 * @param {string} unit
 */
function quantity(figure, unit) {
  return [svg("tspan", {}, figure), svg("tspan", { class: "unit" }, `\u202f${unit}`)];
}

customElements.define("band-gauge", BandGauge);
