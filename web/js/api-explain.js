/** Why a room is as it is, over HTTP. */

import { ask } from "/js/api.js";

/**
 * @typedef {{kind: string, id: string, what: string, value: number, unit: string, t: string, age_s: number,
 *   quality: import("/js/api.js").Quality}} Witness
 * @typedef {{rule: string, sentence: string, wanted_c: number, level: string | null, until: string | null,
 *   wins: boolean}} RuleSaid
 * @typedef {{code: string, probability: number | null, evidence: string | null, check_next: string | null}} CauseSaid
 * @typedef {{at: string | null, verdict: string, measured_w_per_k: number | null, low_w_per_k: number | null,
 *   high_w_per_k: number | null, probability: number | null, causes: CauseSaid[]}} VerdictSaid
 * @typedef {{zone: string, name: string, at: string, source: "live" | "record", basis: string, sentence: string,
 *   comes_next: string, rules: RuleSaid[], readings: Witness[], verdict: VerdictSaid | null}} Explanation
 */

/**
 * @param {string} zone
 * @param {string} [at] an instant that is past; now where it is left out
 * @returns {Promise<Explanation>}
 */
export function explain(zone, at) {
  const query = at ? `?at=${encodeURIComponent(at)}` : "";
  return ask(`/api/zones/${encodeURIComponent(zone)}/explain${query}`);
}
