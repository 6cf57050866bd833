/** Verdicts over HTTP: of the house, of one room with the days behind it, and the weekly looks that were kept. */

import { ask, send } from "/js/api.js";

/**
 * @typedef {"loses-more" | "loses-less" | "as-designed" | "cannot-say-yet"} VerdictName
 * @typedef {{code: string, probability: number, evidence: string, against?: string | null, check_next: string,
 *   kwh: number | null, kwh_low?: number | null, kwh_high?: number | null, money: number | null,
 *   money_low?: number | null, money_high?: number | null, currency?: string | null}} Cause
 * @typedef {{code: string, sentence: string, check_next: string}} Finding something to look at that names no cause
 * @typedef {{verdict: "risk" | "watch" | "none" | "cannot-say-yet", days: number, days_over: number, limit_percent: number,
 *   surface_rh_percent: number | null, surface_c: number | null, room_rh_percent: number | null, room_c: number | null,
 *   f_rsi: number, f_rsi_source: string, lever: "heat" | "air" | "moisture" | null, sentence: string,
 *   check_next?: string | null}} Moisture
 * @typedef {{ratio: number, low: number, high: number, probability: number | null, verdict: VerdictName}} Against
 * @typedef {{since: string, before_w_per_k: number, after_w_per_k: number, low: number, high: number,
 *   probability: number}} Change
 * @typedef {{date: string, metered_w: number | null, predicted_w: number | null, low_w: number | null,
 *   high_w: number | null, temp_c: number | null, outdoor_c: number | null, used: boolean, why_not: string | null,
 *   quality: "metered" | "estimated" | "filled" | null}} FitDay
 * @typedef {{id: string, name: string, design_w_per_k: number | null, design_low_w_per_k: number | null,
 *   design_high_w_per_k: number | null, measured_w_per_k: number | null, low_w_per_k: number | null,
 *   high_w_per_k: number | null, probability: number | null, verdict: VerdictName, causes: Cause[], days_used: number,
 *   missing: string[], possible_from: string | null, metered_kwh: number | null, expected_kwh: number | null,
 *   findings?: Finding[], moisture?: Moisture | null, against_house?: Against | null, against_past?: Change | null,
 *   fit?: FitDay[]}} ZoneVerdict
 * @typedef {{from: string, to: string, design_version: string, method: string, method_version?: number,
 *   zones: ZoneVerdict[]}} Assessment
 */

/**
 * The verdicts, and how long ago they were worked out.
 *
 * @param {{anew?: boolean}} [options] `anew`: do not take what was worked out lately
 * @returns {Promise<{assessment: Assessment, ageMs: number}>}
 */
export async function verdicts({ anew = false } = {}) {
  const answer = anew ? await send("/api/verdicts/refresh", { method: "POST" }) : await send("/api/verdicts");
  return { assessment: await answer.json(), ageMs: 1000 * Number(answer.headers.get("Age") ?? 0) };
}

/**
 * One room, with the days that its estimate rests on.
 *
 * @param {string} zone
 * @returns {Promise<ZoneVerdict>}
 */
export async function verdict(zone) {
  const answer = await ask(`/api/verdicts/${encodeURIComponent(zone)}`);
  return answer.zones?.[0] ?? answer;
}

/**
 * @typedef {{id: string, name: string, design_w_per_k: number | null, measured_w_per_k: number | null,
 *   low_w_per_k: number | null, high_w_per_k: number | null, probability: number | null, verdict: VerdictName,
 *   causes: string[], days_used: number}} LookedAt
 * @typedef {{number: number, at: string, from: string, to: string, digest: string, design_version: string,
 *   method_version: number, zones: LookedAt[]}} Look a weekly look as it was kept
 * @typedef {Look & LookedAt} Kept one room at one look
 */

/**
 * What the weekly looks said of a room, the oldest first; a look from before the room was there has nothing of it.
 *
 * @param {string} zone
 * @returns {Promise<Kept[]>}
 */
export async function looks(zone) {
  const { looks } = await ask(`/api/verdicts/history?zone=${encodeURIComponent(zone)}`);
  return roomOf(looks, zone);
}

/**
 * @param {Look[]} looks newest first
 * @param {string} zone
 * @returns {Kept[]} oldest first
 */
export function roomOf(looks, zone) {
  return looks.toReversed().flatMap((look) => {
    const room = look.zones.find(({ id }) => id === zone);
    return room ? [{ ...look, ...room }] : [];
  });
}
