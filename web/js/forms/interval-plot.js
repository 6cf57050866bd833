/**
 * `<interval-plot>`: one room on the page's W/K scale.
 *
 * Design is a grey band from its low to its high 95 % limit with a line at its value; metered is a dot with its 95 %
 * line; what a room surely loses beyond its design is hatched as heat. What cannot be said yet is drawn hollow and
 * dashed. A line that leaves the scale ends in an arrow head. Of a room that is only designed, the heaters' plates
 * stand as a bar beside it.
 */

import { svg } from "/js/dom.js";
import { heatHatch } from "/js/forms/hatch.js";
import { LANE, at, box, frame, label, sheet, span, stroke } from "/js/forms/drawing.js";

/**
 * @typedef {{value: number, low: number, high: number, text: string}} Interval
 * @typedef {{
 *   design: Interval | null, metered: Interval | null, verdict: string,
 *   scale: import("/js/scale.js").Scale, figure: (value: number) => string, summary: string,
 *   plates?: {value: number, text: string} | null,
 * }} PlotValue
 */

export class IntervalPlot extends HTMLElement {
  /** @param {PlotValue} value */
  set value({ design, metered, verdict, scale, figure, summary, plates = null }) {
    const drawing = sheet("interval-plot", summary);
    drawing.append(frame(scale, figure));
    if (design) drawing.append(...designed(scale, design));
    if (design && metered && verdict === "loses-more") drawing.append(surplus(scale, design.value, metered.value));
    if (metered) drawing.append(...measured(scale, metered, verdict));
    if (plates) drawing.append(...plated(scale, plates));
    this.replaceChildren(drawing);
  }
}

/**
 * @param {import("/js/scale.js").Scale} scale
 * @param {Interval} design
 */
function designed(scale, { value, low, high, text }) {
  return [
    box(scale, low, high, 18, "design"),
    stroke(scale, value, 18, "design-line"),
    ...(text ? [label(scale, value, LANE.target, "target under", 0.06, () => [text])] : []),
  ];
}

/**
 * What a room loses beyond its design, hatched as heat.
 *
 * @param {import("/js/scale.js").Scale} scale
 * @param {number} design
 * @param {number} metered
 */
function surplus(scale, design, metered) {
  const hatched = box(scale, design, metered, 8, "surplus");
  hatched.setAttribute("fill", heatHatch());
  return hatched;
}

/**
 * @param {import("/js/scale.js").Scale} scale
 * @param {Interval} metered
 * @param {string} verdict
 */
function measured(scale, { value, low, high, text }, verdict) {
  const beyond = high > scale.max;
  return [
    span(scale, low, high, `metered ${verdict}`),
    stroke(scale, low, 10, `cap ${verdict}`),
    beyond
      ? at(scale, scale.max, svg("path", { class: `arrow ${verdict}`, d: "M -8 -5 L 0 0 L -8 5" }))
      : stroke(scale, high, 10, `cap ${verdict}`),
    at(scale, value, svg("circle", { class: `dot ${verdict}`, r: 5 })),
    label(scale, value, LANE.value, "value", 0.06, () => [text]),
  ];
}

/**
 * @param {import("/js/scale.js").Scale} scale
 * @param {{value: number, text: string}} plates
 */
function plated(scale, { value, text }) {
  return [stroke(scale, value, 24, "plates"), label(scale, value, LANE.value, "target", 0.12, () => [text])];
}

customElements.define("interval-plot", IntervalPlot);
