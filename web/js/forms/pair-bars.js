/** `<pair-bars>`: the same measure of two periods, one bar under the other on one scale, measure by measure. */

import { el, svg } from "/js/dom.js";
import { usedAs } from "/js/forms/use-bars.js";

/**
 * @typedef {{name: string, hint: string, bars: {name: string, value: number | null, text: string, quality?: import("/js/api.js").Quality | null}[]}} Pair
 * @typedef {{pairs: Pair[]}} PairsValue the first bar is hatched by how it is known, the second hollow
 */

const HEIGHT = 16;

export class PairBars extends HTMLElement {
  /** @param {PairsValue} value */
  set value({ pairs }) {
    this.replaceChildren(el("ol", {}, ...pairs.map(pair)));
  }
}

/** @param {Pair} value */
function pair({ name, hint, bars }) {
  const most = Math.max(0, ...bars.map(({ value }) => value ?? 0)) || 1;
  return el(
    "li",
    {},
    el("h2", {}, name, hint && el("span", { class: "hint" }, hint)),
    el(
      "dl",
      {},
      ...bars.map(({ name: period, value, text, quality }, index) =>
        el(
          "div",
          {},
          el("dt", {}, period),
          el("dd", {}, bar(value === null ? null : Math.max(0, value) / most, index === 0 ? (quality ?? "metered") : null), el("span", { class: "amount" }, text)),
        ),
      ),
    ),
  );
}

/** @param {number | null} length @param {import("/js/api.js").Quality | null} quality null: of the other period */
function bar(length, quality) {
  const box = { x: 0.5, y: 0.5, width: `${(100 * (length ?? 0)).toFixed(1)}%`, height: HEIGHT - 1 };
  return svg(
    "svg",
    { class: "use-bar", width: "100%", height: HEIGHT, "aria-hidden": "true", focusable: "false" },
    length === null
      ? svg("line", { class: "used is-unknown", x1: 0, x2: "100%", y1: HEIGHT / 2, y2: HEIGHT / 2 })
      : svg("rect", quality ? usedAs(quality, box) : { class: "used other", fill: "none", ...box }),
  );
}

customElements.define("pair-bars", PairBars);
