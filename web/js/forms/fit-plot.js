/**
 * `<fit-plot>`: what each day took as a dot, over what the estimate says it should have taken, a line with its band.
 *
 * The same form shows look by look what was found, each dot with its own limits, over what was designed. Days that
 * were not used are crosses; days whose energy was not metered throughout are hollow. Where the room changed,
 * a line stands. A slider beneath reads any day in words, by thumb, arrow key or mouse.
 */

import { el, say, svg } from "/js/dom.js";
import { fraction } from "/js/scale.js";

/**
 * @typedef {{metered: number | null, predicted: number | null, low: number | null, high: number | null, used: boolean,
 *   sure: boolean, label: string, said: string, reach?: [number, number] | null}} FitColumn `sure`: metered throughout;
 *   `label`: under it, "" for most; `reach`: the dot's own 95 % limits
 * @typedef {{columns: FitColumn[], scale: import("/js/scale.js").Scale, figure: (value: number) => string, unit: string,
 *   change: {at: number, text: string} | null, summary: string, slider: string}} FitValue `at`: the first day after it
 */

/** From the top [px]. */
const PLOT = { top: 34, foot: 216 };
const DATES = 238;
const HEIGHT = 246;
const DOT = 3.5;

export class FitPlot extends HTMLElement {
  /** @param {FitValue} value */
  set value(value) {
    const { columns, slider, summary } = value;
    const drawing = svg("svg", { class: "fit-plot", role: "img", "aria-label": summary, width: "100%", height: HEIGHT, focusable: "false" });
    const pointed = svg("line", { class: "pointed", y1: PLOT.top, y2: PLOT.foot });
    drawing.append(...grid(value), pointed);
    drawing.append(...columns.flatMap((column, index) => predicted(value, column, index)));
    drawing.append(...columns.flatMap((column, index) => metered(value, column, index)));
    if (value.change) drawing.append(...changed(value.change, columns.length));
    const said = el("output", { class: "read" });
    const input = /** @type {HTMLInputElement} */ (
      el("input", { type: "range", min: 0, max: columns.length - 1, step: 1, value: columns.length - 1, "aria-label": slider, input: () => show() })
    );
    const show = () => {
      const index = Number(input.value);
      const x = across(index + 0.5, columns.length);
      pointed.setAttribute("x1", x);
      pointed.setAttribute("x2", x);
      say(said, columns[index]?.said ?? "");
      input.setAttribute("aria-valuetext", columns[index]?.said ?? "");
    };
    drawing.addEventListener("pointerdown", (event) => {
      const { left, width } = drawing.getBoundingClientRect();
      const index = Math.floor((columns.length * (/** @type {PointerEvent} */ (event).clientX - left)) / width);
      input.value = `${Math.max(0, Math.min(columns.length - 1, index))}`;
      show();
    });
    show();
    this.replaceChildren(el("div", { class: "plot" }, drawing), input, said);
  }
}

/** @param {number} index @param {number} count @returns {string} where a column begins */
const across = (index, count) => `${((100 * index) / Math.max(1, count)).toFixed(3)}%`;

/** @param {import("/js/scale.js").Scale} scale @param {number} value @returns {number} [px] */
const level = (scale, value) => PLOT.foot - fraction(scale, value) * (PLOT.foot - PLOT.top);

/** @param {FitValue} value */
function grid({ scale, figure, unit, columns }) {
  const lines = scale.ticks.flatMap((tick) => {
    const y = level(scale, tick);
    return [
      svg("line", { class: tick === 0 ? "axis" : "grid", x1: 0, x2: "100%", y1: y, y2: y }),
      svg("text", { class: "figure", x: 0, dx: -6, y: y + 5, "text-anchor": "end" }, figure(tick)),
    ];
  });
  const dates = columns.flatMap(({ label }, index) =>
    label
      ? [
          svg("line", { class: "grid", x1: across(index + 0.5, columns.length), x2: across(index + 0.5, columns.length), y1: PLOT.top, y2: PLOT.foot + 4 }),
          svg("text", { class: "figure", x: across(index + 0.5, columns.length), y: DATES, "text-anchor": hung(index, columns.length) }, label),
        ]
      : [],
  );
  return [...lines, ...dates, svg("text", { class: "figure", x: 0, dx: -6, y: PLOT.top - 16, "text-anchor": "end" }, unit)];
}

/** @param {number} index @param {number} count @returns {string} how a date hangs so that it stays inside */
const hung = (index, count) => (index + 0.5 < 0.04 * count ? "start" : index + 0.5 > 0.96 * count ? "end" : "middle");

/**
 * @param {FitValue} value
 * @param {FitColumn} column
 * @param {number} index
 */
function predicted({ scale, columns }, { predicted, low, high }, index) {
  if (predicted === null) return [];
  const [x, width] = [across(index, columns.length), across(1.01, columns.length)]; // neighbours touch without a seam
  const [top, foot] = [level(scale, high ?? predicted), level(scale, Math.max(scale.min, low ?? predicted))];
  const y = level(scale, predicted);
  return [
    svg("rect", { class: "fit-band", x, width, y: top, height: Math.max(0, foot - top) }),
    svg("line", { class: "fit-line", x1: x, x2: across(index + 1, columns.length), y1: y, y2: y }),
  ];
}

/**
 * @param {FitValue} value
 * @param {FitColumn} column
 * @param {number} index
 */
function metered({ scale, columns }, { metered, used, sure, reach }, index) {
  if (metered === null) return [];
  const cross = `M ${-DOT} ${-DOT} L ${DOT} ${DOT} M ${-DOT} ${DOT} L ${DOT} ${-DOT}`;
  const shape = used
    ? svg("circle", { class: sure ? "day" : "day unsure", r: DOT })
    : svg("path", { class: "day unused", d: cross });
  const x = across(index + 0.5, columns.length);
  const dot = svg("svg", { class: "point", x, y: level(scale, metered) }, shape);
  if (!reach) return [dot];
  const [y1, y2] = reach.map((limit) => level(scale, limit));
  return [svg("line", { class: "reach", x1: x, x2: x, y1, y2 }), dot];
}

/** @param {{at: number, text: string}} change @param {number} count */
function changed({ at, text }, count) {
  const x = across(at, count);
  const end = at > count / 2;
  return [
    svg("line", { class: "change", x1: x, x2: x, y1: PLOT.top - 12, y2: PLOT.foot }),
    svg("text", { class: "change-said", x, dx: end ? -6 : 6, y: PLOT.top - 8, "text-anchor": end ? "end" : "start" }, text),
  ];
}

customElements.define("fit-plot", FitPlot);
