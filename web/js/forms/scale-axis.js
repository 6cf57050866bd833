/** `<scale-axis>`: the figures of a page's one scale, once, above the column of drawings that share it. */

import { el, svg } from "/js/dom.js";
import { percent } from "/js/scale.js";

/**
 * @typedef {{scale: import("/js/scale.js").Scale, unit: string, format: (value: number) => string}} AxisValue
 */

export class ScaleAxis extends HTMLElement {
  /** @param {AxisValue} value */
  set value({ scale, unit, format }) {
    const key = `${scale.min} ${scale.max} ${unit}`;
    if (this.dataset.scale === key) return;
    this.dataset.scale = key;
    this.setAttribute("aria-hidden", "true"); // each drawing says its own values in words
    const drawing = svg("svg", { class: "scale-axis", width: "100%", focusable: "false" });
    for (const tick of scale.ticks) {
      const x = percent(scale, tick);
      const hung = tick === scale.min ? "start" : tick === scale.max ? "end" : "middle";
      drawing.append(
        svg("text", { class: "figure", x, y: 15, "text-anchor": hung }, format(tick)),
        svg("line", { class: "grid", x1: x, x2: x, y1: 20, y2: "100%" }),
      );
    }
    this.replaceChildren(drawing, el("span", { class: "unit" }, unit));
  }
}

customElements.define("scale-axis", ScaleAxis);
