/**
 * `<step-chart>`: from one amount to another by steps that sum exactly, read from top to bottom like a sheet of figures.
 *
 * Every step starts where the one before it ended. The scale need not start at zero, so the two amounts are strokes,
 * not bars. What nothing explains is a step like the others.
 */

import { el, svg } from "/js/dom.js";
import { gainHatch, heatHatch } from "/js/forms/hatch.js";
import { percent } from "/js/scale.js";

/**
 * @typedef {{name: string, from: number, to: number, text: string, sentence: string, code: string}} Step
 * @typedef {{name: string, value: number, text: string, hint: string}} End
 * @typedef {{start: End, steps: Step[], end: End, scale: import("/js/scale.js").Scale, figure: (value: number) => string,
 *   foot: string}} StepsValue `foot`: how the steps were parted
 */

/** The least height of a step's lane, and the thickness of its bar [px]. */
const HEIGHT = 36;
const BAR = 16;

export class StepChart extends HTMLElement {
  /** @param {StepsValue} value */
  set value({ start, steps, end, scale, figure, foot }) {
    const axis = svg("svg", { class: "step-axis", width: "100%", height: 20, "aria-hidden": "true", focusable: "false" });
    for (const tick of scale.ticks) {
      const anchor = tick === scale.min ? "start" : tick === scale.max ? "end" : "middle";
      axis.append(svg("text", { class: "figure", x: percent(scale, tick), y: 15, "text-anchor": anchor }, figure(tick)));
    }
    this.replaceChildren(
      el("div", { class: "rung axis-line" }, axis),
      el(
        "ol",
        {},
        endLine(start, scale, "from"),
        ...steps.map((step) => stepLine(step, scale)),
        endLine(end, scale, "to"),
      ),
      el("p", { class: "small" }, foot),
    );
  }
}

/**
 * @param {Step} step
 * @param {import("/js/scale.js").Scale} scale
 */
function stepLine({ name, from, to, text, sentence, code }, scale) {
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  const less = to < from;
  const width = `${Math.max(0.01, parseFloat(percent(scale, high)) - parseFloat(percent(scale, low))).toFixed(2)}%`;
  const box = { x: percent(scale, low), width, y: "50%", height: BAR, transform: `translate(0 ${-BAR / 2})` };
  const drawing = lane(scale);
  drawing.append(
    svg("rect", { class: less ? "step fall" : "step rise", fill: less ? gainHatch() : heatHatch(), ...box }),
    joint(scale, from, 0, "50%"),
    joint(scale, to, "50%", "100%"),
  );
  return line(`rung ${code}`, name, drawing, text, sentence);
}

/**
 * @param {End} end
 * @param {import("/js/scale.js").Scale} scale
 * @param {"from" | "to"} which
 */
function endLine({ name, value, text, hint }, scale, which) {
  const drawing = lane(scale);
  const x = percent(scale, value);
  drawing.append(
    which === "from" ? joint(scale, value, "50%", "100%") : joint(scale, value, 0, "50%"),
    svg("rect", { class: "amount-at", x, y: "50%", width: 4, height: 24, transform: "translate(-2 -12)" }),
  );
  return line("rung end", name, drawing, text, hint);
}

/**
 * @param {string} kind
 * @param {string} name
 * @param {SVGElement} drawing
 * @param {string} text
 * @param {string} sentence
 */
function line(kind, name, drawing, text, sentence) {
  return el(
    "li",
    { class: kind },
    el("span", { class: "what" }, name),
    drawing,
    el("span", { class: "money" }, text),
    sentence && el("span", { class: "said" }, sentence),
  );
}

/** @param {import("/js/scale.js").Scale} scale */
function lane(scale) {
  const drawing = svg("svg", { class: "step-lane", width: "100%", height: HEIGHT, "aria-hidden": "true", focusable: "false" });
  for (const tick of scale.ticks) {
    const x = percent(scale, tick);
    drawing.append(svg("line", { class: "grid", x1: x, x2: x, y1: 0, y2: "100%" }));
  }
  return drawing;
}

/**
 * @param {import("/js/scale.js").Scale} scale
 * @param {number} value
 * @param {number | string} y1
 * @param {number | string} y2
 */
function joint(scale, value, y1, y2) {
  const x = percent(scale, value);
  return svg("line", { class: "joint", x1: x, x2: x, y1, y2 });
}

customElements.define("step-chart", StepChart);
