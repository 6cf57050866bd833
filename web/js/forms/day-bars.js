/**
 * `<day-bars>`: what each day (or week, or month) used, as bars from one ground line, with how cold it was above them on
 * a scale of its own. A slider beneath reads any of them in words, by thumb, arrow key or mouse.
 */

import { el, say, svg } from "/js/dom.js";
import { usedAs } from "/js/forms/use-bars.js";
import { fraction } from "/js/scale.js";

/**
 * @typedef {import("/js/scale.js").Scale} Scale
 * @typedef {{kwh: number | null, quality: import("/js/api.js").Quality | null, outdoorC: number | null,
 *   label: string, said: string}} DayBar `label`: under the bar, "" for most; `said`: the bar in words
 * @typedef {{days: DayBar[], energy: Scale, outdoor: Scale | null, figure: (value: number) => string, summary: string,
 *   slider: string, units: {energy: string, outdoor: string}}} DayBarsValue
 */

/** From the top [px]: how cold it was, then the bars, then the dates. */
const COLD = { top: 26, foot: 70 };
const BARS = { top: 108, foot: 224 };
const DATES = 244;
const HEIGHT = 252;
/** Left of the plot, for the figures of the scales [px]; the style sheet keeps it free. */
const GUTTER = 48;

export class DayBars extends HTMLElement {
  /** @param {DayBarsValue} value */
  set value(value) {
    const { days, slider } = value;
    const drawing = svg("svg", { class: "day-bars", role: "img", "aria-label": value.summary, width: "100%", height: HEIGHT, focusable: "false" });
    drawing.append(...grid(value), ...days.map((day, index) => dayBar(value, day, index)));
    const chosen = svg("rect", { class: "chosen", y: COLD.top - 8, height: BARS.foot - COLD.top + 12, "aria-hidden": "true" });
    drawing.append(chosen);
    const said = el("output", { class: "read" });
    const input = /** @type {HTMLInputElement} */ (
      el("input", { type: "range", min: 0, max: days.length - 1, step: 1, value: days.length - 1, "aria-label": slider, input: () => show() })
    );
    const show = () => {
      const index = Number(input.value);
      chosen.setAttribute("x", at(index, days.length));
      chosen.setAttribute("width", at(1, days.length));
      say(said, days[index]?.said ?? "");
      input.setAttribute("aria-valuetext", days[index]?.said ?? "");
    };
    drawing.addEventListener("pointerdown", (event) => {
      const { left, width } = drawing.getBoundingClientRect();
      const index = Math.floor((days.length * (/** @type {PointerEvent} */ (event).clientX - left)) / width);
      input.value = `${Math.max(0, Math.min(days.length - 1, index))}`;
      show();
    });
    show();
    this.replaceChildren(el("div", { class: "plot" }, drawing), input, said);
  }
}

/** @param {number} index @param {number} count */
const at = (index, count) => `${((100 * index) / Math.max(1, count)).toFixed(3)}%`;

/** @param {Scale} scale @param {number} value @param {{top: number, foot: number}} lane */
const level = (scale, value, lane) => lane.foot - fraction(scale, value) * (lane.foot - lane.top);

/**
 * Lines and figures of both scales.
 *
 * @param {DayBarsValue} value
 */
function grid({ energy, outdoor, figure, units }) {
  const lanes = /** @type {[Scale, {top: number, foot: number}, string][]} */ ([[energy, BARS, units.energy]]);
  if (outdoor) lanes.push([{ ...outdoor, ticks: ends(outdoor) }, COLD, units.outdoor]);
  return lanes.flatMap(([scale, lane, unit]) =>
    scale.ticks.flatMap((tick) => {
      const y = level(scale, tick, lane);
      const top = tick === scale.ticks.at(-1);
      return [
        svg("line", { class: tick === 0 && lane === BARS ? "axis" : "grid", x1: 0, x2: "100%", y1: y, y2: y }),
        svg("text", { class: "figure", x: 0, dx: -6, y: y + 5, "text-anchor": "end" }, figure(tick)),
        top ? svg("text", { class: "figure of", x: 0, dx: -GUTTER, y: lane.top - 12 }, unit) : null,
      ].filter((node) => node !== null);
    }),
  );
}

/** @param {Scale} scale @returns {number[]} its coldest and warmest figure, and 0 where it lies between */
function ends({ min, max }) {
  return min < 0 && max > 0 ? [min, 0, max] : [min, max];
}

/**
 * @param {DayBarsValue} value
 * @param {DayBar} day
 * @param {number} index
 */
function dayBar({ days, energy, outdoor }, { kwh, quality, outdoorC, label }, index) {
  const [x, width] = [at(index + 0.12, days.length), at(0.76, days.length)];
  const group = svg("g", {});
  if (kwh === null) group.append(svg("rect", { class: "used is-unknown", fill: "none", x, width, y: BARS.foot - 12, height: 12 }));
  else {
    const y = level(energy, kwh, BARS);
    group.append(svg("rect", usedAs(quality, { x, width, y, height: Math.max(0.01, BARS.foot - y) })));
  }
  if (outdoor && outdoorC !== null) {
    const y = level(outdoor, outdoorC, COLD);
    group.append(svg("line", { class: "outdoor", x1: at(index, days.length), x2: at(index + 1, days.length), y1: y, y2: y }));
  }
  if (label) {
    const anchor = index === 0 ? "start" : index > 0.9 * days.length ? "end" : "middle";
    const middle = anchor === "start" ? index : anchor === "end" ? index + 1 : index + 0.5;
    group.append(svg("text", { class: "figure date", x: at(middle, days.length), y: DATES, "text-anchor": anchor }, label));
  }
  return group;
}

customElements.define("day-bars", DayBars);
