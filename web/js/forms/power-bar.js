/**
 * `<power-bar>`: watts now against the plate, hatched while heating.
 *
 * One segment a heater, as wide as its share of the plates, so that one dead heater of three is seen. A held heater is
 * a bare outline with its reason in words; one that is not reached is dotted; old power is a dashed outline without the
 * hatch; unknown power is said, not drawn as 0.
 */

import { el, quantity, say, svg } from "/js/dom.js";
import { heatHatch } from "/js/forms/hatch.js";

/**
 * @typedef {{powerW: number | null, plateW: number, state: string, stale: boolean}} Segment
 * @typedef {{segments: Segment[], now: string, unit: string, of: string, state: string, summary: string}} PowerValue
 */

const HEIGHT = 14;

export class PowerBar extends HTMLElement {
  #drawn = "";

  /** @param {PowerValue} value */
  set value(value) {
    const drawn = JSON.stringify(value);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    this.replaceChildren(draw(value), caption(value));
  }
}

/** @param {PowerValue} value */
function draw({ segments, summary }) {
  const drawing = svg("svg", {
    class: "power-bar",
    role: "img",
    "aria-label": summary,
    width: "100%",
    height: HEIGHT,
    focusable: "false",
  });
  const total = segments.reduce((sum, { plateW }) => sum + plateW, 0) || 1;
  let from = 0;
  for (const { powerW, plateW, state, stale } of segments) {
    const share = (100 * plateW) / total;
    const filled = powerW === null || plateW <= 0 ? 0 : share * Math.min(1, Math.max(0, powerW / plateW));
    drawing.append(
      bar(from, filled, stale ? "heat stale" : powerW === null ? "none" : "heat", stale ? null : heatHatch()),
      bar(from, share, `plate ${state}${powerW === null ? " unknown" : ""}`, null),
    );
    from += share;
  }
  return drawing;
}

/**
 * @param {number} from [%]
 * @param {number} width [%]
 * @param {string} name class
 * @param {string | null} fill
 */
function bar(from, width, name, fill) {
  return svg("rect", { class: name, x: `${from.toFixed(2)}%`, y: 1, width: `${width.toFixed(2)}%`, height: HEIGHT - 2, fill });
}

/** @param {PowerValue} value */
function caption({ now, unit, of, state }) {
  const text = el("p", { class: "caption", "aria-hidden": "true" });
  const figures = el("span", { class: "figures" });
  if (now) figures.append(unit ? quantity(now, unit) : el("b", {}, now), " ");
  figures.append(el("span", { class: "of" }, of));
  text.append(figures, " ");
  const word = el("span", { class: "state" });
  say(word, state);
  text.append(word);
  return text;
}

customElements.define("power-bar", PowerBar);
