/**
 * Is a room really getting warmer? An arrow is a claim, so it must clear the noise of the sensor.
 *
 * Room sensors report in steps of about 0.1 K and wander by as much again (common practice for digital room sensors),
 * so a change counts only beyond 0.3 K within the last half hour.
 */

const NOISE_K = 0.3;
const WINDOW_MS = 30 * 60_000;

/**
 * @typedef {{ms: number, tempC: number}} Sample
 */

/**
 * Add a sample and forget those outside the window.
 *
 * @param {Sample[]} samples in time order
 * @param {Sample} sample
 * @returns {Sample[]}
 */
export function remember(samples, sample) {
  const last = samples.at(-1);
  if (last && sample.ms <= last.ms) return samples;
  return [...samples.filter(({ ms }) => ms >= sample.ms - WINDOW_MS), sample];
}

/**
 * @param {Sample[]} samples
 * @returns {-1 | 0 | 1} falling, no claim, rising
 */
export function trend(samples) {
  const [first, last] = [samples[0], samples.at(-1)];
  if (!first || !last) return 0;
  const change = last.tempC - first.tempC;
  // A sensor's tenths are not exact in binary: 18.3 − 18.0 is a hair more than 0.3.
  if (Math.abs(change) < NOISE_K + 0.001) return 0;
  return change > 0 ? 1 : -1;
}
