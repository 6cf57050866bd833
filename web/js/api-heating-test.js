/** Heating tests over HTTP. */

import { ask, json } from "/js/api.js";

/**
 * @typedef {{date: string, power_w: number | null, temp_c: number | null, outdoor_c: number | null, good: boolean,
 *   why_not: string | null, w_per_k: number | null, low_w_per_k: number | null, high_w_per_k: number | null}} NightSeen
 * @typedef {{id: string, name: string, design_w_per_k: number | null, design_low_w_per_k: number | null,
 *   design_high_w_per_k: number | null, measured_w_per_k: number | null, low_w_per_k: number | null,
 *   high_w_per_k: number | null, time_constant_h: number | null, good_nights: number, converged: boolean,
 *   missing: string[], nights: NightSeen[]}} RoomTested
 * @typedef {{number: number, computed: string, final: boolean, design_version: string, method: string,
 *   method_version: number, zones: RoomTested[]}} HeatingTestResult
 * @typedef {{number: number, zones: string[], guards: string[], temp_c: number, nights: number, who: string,
 *   start: string, measure_from: string, cool_from: string | null, end: string, stage: string, ended: string | null,
 *   reason: string}} HeatingTest
 * @typedef {{test: HeatingTest, nights_done: number, waits_for: string,
 *   result: HeatingTestResult | null}} HeatingTestShown
 * @typedef {{zones: string[], guards: string[], start: string, measure_from: string, cool_from: string | null,
 *   end: string, outdoor_c: number | null, expected_kwh: number | null, usual_kwh: number | null,
 *   money: string | null, currency: string | null, cautions: string[], refusals: string[]}} Outlook
 * @typedef {{zones: string[], temp_c: number, nights: number, empty: boolean, who: string, why?: string,
 *   cool_down?: boolean, mild_accepted?: boolean}} Plan
 */

const PATH = "/api/heating-tests";

/** @returns {Promise<HeatingTestShown[]>} newest first */
export async function heatingTests() {
  return (await ask(PATH)).tests;
}

/** @param {number} number @returns {Promise<HeatingTestShown>} */
export function heatingTest(number) {
  return ask(`${PATH}/${number}`);
}

/** What a test would do and cost, and what stands against it; nothing starts. @param {Plan} plan @returns {Promise<Outlook>} */
export function lookAhead(plan) {
  return ask(`${PATH}/look`, json("POST", plan));
}

/** @param {Plan} plan @returns {Promise<HeatingTestShown>} */
export function startTest(plan) {
  return ask(PATH, json("POST", plan));
}

/** @param {number} number @param {{who: string, why?: string}} stop @returns {Promise<HeatingTestShown>} */
export function stopTest(number, stop) {
  return ask(`${PATH}/${number}/stop`, json("POST", stop));
}
