/**
 * Scales: pure arithmetic from values to fractions of a drawing's width.
 *
 * One page has one scale, so that rooms compare by eye. A scale may grow while the page is open and never shrinks:
 * a room that cools by a tenth must not make every other room's tick jump.
 */

/**
 * @typedef {{min: number, max: number, ticks: number[]}} Scale
 */

/** Held by every temperature scale [°C]: a house at rest still shows how far it is from frost. */
const ROOMS_C = [4, 24];
const STEP_K = 5;

/**
 * The scale that holds all these temperatures, in steps of 5 K (10 K where figures would get crowded).
 *
 * @param {(number | null)[]} values [°C]
 * @param {Scale | null} [previous] kept inside, so that the scale only grows
 * @returns {Scale}
 */
export function degreeScale(values, previous = null) {
  const known = [...values.filter(isNumber), ...ROOMS_C];
  // A tick within 1 K of the edge would have its figure cut off, so the scale goes one step further.
  const low = Math.floor((Math.min(...known) - 1) / STEP_K) * STEP_K;
  const high = Math.ceil((Math.max(...known) + 1) / STEP_K) * STEP_K;
  const min = Math.min(low, previous?.min ?? low);
  const max = Math.max(high, previous?.max ?? high);
  return framed(min, max, max - min > 40 ? 2 * STEP_K : STEP_K);
}

/**
 * The scale from zero that holds these amounts, with about five round steps.
 *
 * @param {(number | null)[]} values
 * @returns {Scale}
 */
export function amountScale(values) {
  const top = Math.max(0, ...values.filter(isNumber)) || 1;
  const step = roundStep(top / 5);
  return framed(0, Math.ceil((top * 1.02) / step) * step, step);
}

/**
 * Where a value lies: 0 at the scale's start, 1 at its end; held at the edges.
 *
 * @param {Scale} scale
 * @param {number} value
 * @returns {number}
 */
export function fraction(scale, value) {
  return Math.min(1, Math.max(0, (value - scale.min) / (scale.max - scale.min)));
}

/**
 * @param {Scale} scale
 * @param {number} value
 * @returns {string} a percentage for an SVG coordinate
 */
export function percent(scale, value) {
  return `${(100 * fraction(scale, value)).toFixed(2)}%`;
}

/**
 * How text is hung on a point so that it stays inside the drawing.
 *
 * @param {number} at fraction of the width
 * @param {number} half half the text's width, as a fraction of the drawing's
 * @returns {"start" | "middle" | "end"}
 */
export function anchor(at, half) {
  if (at < half) return "start";
  return at > 1 - half ? "end" : "middle";
}

/**
 * @param {number} min
 * @param {number} max
 * @param {number} step
 * @returns {Scale}
 */
function framed(min, max, step) {
  const first = Math.ceil(min / step) * step;
  const count = Math.floor((max - first) / step + 1e-9) + 1;
  return { min, max, ticks: Array.from({ length: count }, (_, index) => first + index * step) };
}

/**
 * @param {number} least
 * @returns {number} 1, 2 or 5 times a power of ten, at least `least`
 */
function roundStep(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5].find((factor) => factor * power >= least - 1e-9) ?? 10);
}

/**
 * @param {unknown} value
 * @returns {value is number}
 */
function isNumber(value) {
  return typeof value === "number" && Number.isFinite(value);
}
