/** What every drawing on a scale has in common: lanes, the axis, its figures, and text with a halo of paper. */

import { svg } from "/js/dom.js";
import { anchor, fraction, percent } from "/js/scale.js";

/** @typedef {import("/js/scale.js").Scale} Scale */

/**
 * The lanes, from the top [px]. Text has lanes of its own and never shares one with a shape: figures of the value
 * above, shapes on the axis, figures of the target below, figures of the scale under all.
 */
export const LANE = { value: 17, axis: 35, target: 61, figures: 79 };

/**
 * @param {string} form class of the drawing
 * @param {string} summary one sentence for those who do not see it
 * @returns {SVGElement}
 */
export function sheet(form, summary) {
  return svg("svg", { class: form, role: "img", "aria-label": summary, width: "100%", focusable: "false" });
}

/**
 * Grid lines at the scale's steps, the axis, and the figures of the scale.
 *
 * @param {Scale} scale
 * @param {(value: number) => string} format
 * @returns {SVGElement}
 */
export function frame(scale, format) {
  const group = svg("g", { class: "frame" });
  for (const tick of scale.ticks) {
    const x = percent(scale, tick);
    group.append(svg("line", { class: "grid", x1: x, x2: x, y1: 0, y2: "100%" }));
    group.append(
      svg("text", { class: "figure", x, y: LANE.figures, "text-anchor": edge(scale, tick) }, format(tick)),
    );
  }
  group.append(svg("line", { class: "axis", x1: 0, x2: "100%", y1: LANE.axis, y2: LANE.axis }));
  return group;
}

/**
 * A box from one value to another.
 *
 * @param {Scale} scale
 * @param {number} low
 * @param {number} high
 * @param {number} height [px], centred on the axis
 * @param {string} name class
 * @returns {SVGElement}
 */
export function box(scale, low, high, height, name) {
  const width = 100 * (fraction(scale, high) - fraction(scale, low));
  const y = LANE.axis - height / 2;
  return svg("rect", { class: name, x: percent(scale, low), y, width: `${width.toFixed(2)}%`, height });
}

/**
 * An upright stroke at a value.
 *
 * @param {Scale} scale
 * @param {number} value
 * @param {number} height [px], centred on the axis
 * @param {string} name class
 * @returns {SVGElement}
 */
export function stroke(scale, value, height, name) {
  const x = percent(scale, value);
  return svg("line", { class: name, x1: x, x2: x, y1: LANE.axis - height / 2, y2: LANE.axis + height / 2 });
}

/**
 * A level stroke on the axis between two values.
 *
 * @param {Scale} scale
 * @param {number} from
 * @param {number} to
 * @param {string} name class
 * @returns {SVGElement}
 */
export function span(scale, from, to, name) {
  return svg("line", { class: name, x1: percent(scale, from), x2: percent(scale, to), y1: LANE.axis, y2: LANE.axis });
}

/**
 * A point on the axis at which small shapes can be drawn in pixels around (0, 0).
 *
 * @param {Scale} scale
 * @param {number} value
 * @param {...SVGElement} shapes
 * @returns {SVGElement}
 */
export function at(scale, value, ...shapes) {
  return svg("svg", { x: percent(scale, value), y: LANE.axis, class: "point" }, ...shapes);
}

/**
 * Text hung on a value: a copy as a halo of paper first, so that grid lines do not run through the figures.
 *
 * @param {Scale} scale
 * @param {number} value
 * @param {number} lane [px]
 * @param {string} name class
 * @param {number} half half of the text's width as a fraction of the drawing's
 * @param {() => (SVGElement | string)[]} parts called twice: for the halo and for the text
 * @returns {SVGElement}
 */
export function label(scale, value, lane, name, half, parts) {
  return haloed(name, { x: percent(scale, value), y: lane, "text-anchor": anchor(fraction(scale, value), half) }, parts);
}

/**
 * Text beside what stands centred on a value, on the side that has room for it.
 *
 * @param {Scale} scale
 * @param {number} value
 * @param {number} lane [px]
 * @param {string} name class
 * @param {number} away [px] from the value
 * @param {string} text
 * @returns {SVGElement}
 */
export function beside(scale, value, lane, name, away, text) {
  const left = fraction(scale, value) > 0.5;
  const where = { x: percent(scale, value), y: lane, dx: left ? -away : away, "text-anchor": left ? "end" : "start" };
  return haloed(name, where, () => [text]);
}

/**
 * @param {string} name
 * @param {Record<string, string | number>} where
 * @param {() => (SVGElement | string)[]} parts
 */
function haloed(name, where, parts) {
  return svg(
    "g",
    {},
    svg("text", { class: `${name} halo`, ...where }, ...parts()),
    svg("text", { class: name, ...where }, ...parts()),
  );
}

/**
 * @param {Scale} scale
 * @param {number} tick
 */
function edge(scale, tick) {
  if (tick === scale.min) return "start";
  return tick === scale.max ? "end" : "middle";
}
