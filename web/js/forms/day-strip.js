/**
 * `<day-strip>`: one day of the house's own clock as a strip, with a block for each stretch; a night in which the clocks
 * change is drawn with its 23 or 25 hours.
 */

import { el, svg } from "/js/dom.js";
import { lossHatch } from "/js/forms/hatch.js";

/**
 * @typedef {{from: number, to: number, ink: number, label: string}} Block minutes since midnight, as they pass
 * @typedef {{at: number, label: string}} Hour
 * @typedef {{blocks: Block[], hours: Hour[], minutes: number, summary: string, now: number | null}} StripValue
 */

const STRIP = { top: 24, height: 40 };

export class DayStrip extends HTMLElement {
  /** @param {StripValue} value */
  set value({ blocks, hours, minutes, summary, now }) {
    const x = (/** @type {number} */ minute) => `${((100 * minute) / minutes).toFixed(3)}%`;
    const drawing = svg("svg", { class: "day-strip", role: "img", "aria-label": summary, width: "100%", height: 88, focusable: "false" });
    for (const { from, to, ink, label } of blocks) {
      drawing.append(
        svg("rect", { class: "block", fill: ink ? lossHatch(ink) : "none", x: x(from), width: x(to - from), y: STRIP.top, height: STRIP.height }),
      );
      // A short block has no room for its price; the table has it.
      if (to - from >= minutes / 6) drawing.append(svg("text", { class: "figure", x: x((from + to) / 2), y: STRIP.top - 8, "text-anchor": "middle" }, label));
    }
    for (const { at, label } of hours) {
      const anchor = at === 0 ? "start" : at === minutes ? "end" : "middle";
      drawing.append(
        svg("line", { class: "axis", x1: x(at), x2: x(at), y1: STRIP.top + STRIP.height, y2: STRIP.top + STRIP.height + 5 }),
        svg("text", { class: "figure", x: x(at), y: 84, "text-anchor": anchor }, label),
      );
    }
    if (now !== null) drawing.append(svg("line", { class: "tick", x1: x(now), x2: x(now), y1: STRIP.top - 4, y2: STRIP.top + STRIP.height + 4 }));
    this.replaceChildren(drawing);
  }
}

customElements.define("day-strip", DayStrip);
