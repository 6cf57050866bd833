/** The HTTP face, from the page's side: JSON in, JSON out, and every refusal as words a person can act on. */

/**
 * @typedef {{pointer: string, value?: unknown, allowed?: string}} Fault
 * @typedef {"attention" | "urgent"} Severity
 * @typedef {{key: string, severity: Severity, zone: string | null, cause: string, effect: string,
 *   next_step: string, since: string}} Notice
 * @typedef {{at: string, level: string | null, wanted_c: number}} Next
 * @typedef {"metered" | "estimated" | "filled" | "stale"} Quality
 * @typedef {{id: string, zone: string, name: string, state: string, held_by: string | null, reason: string,
 *   until: string | null, power_w: number | null, plate_w: number, temp_c: number | null, setpoint_c: number | null,
 *   wanted_c: number, limit_w: number, driven: boolean, quality: Quality, t: string | null}} HeaterNow
 * @typedef {{id: string, name: string, use: string, temp_c: number | null, wanted_c: number, level: string | null,
 *   state: string, rule: string, reason: string, until: string | null, next: Next | null, power_w: number | null,
 *   plate_w: number, quality: Quality, t: string | null, held: boolean, heaters: HeaterNow[]}} ZoneNow
 * @typedef {{name: string, timezone: string, t: string, power_w: number | null, cap_w: number | null, plate_w: number,
 *   energy_today_wh: number | null, energy_quality?: Quality | null, money_today: number | null,
 *   currency: string | null, outdoor_c: number | null, outdoor_t: string | null, clock: string, broker: "up" | "down",
 *   history: "kept" | "paused", notices: Notice[]}} HouseNow
 * @typedef {{do: string, temp_c?: number, level?: string, for?: string, until?: string}} ZoneRequest
 * @typedef {{item: string, inputs: Record<string, number | string>, formula: string, value: number, unit: string,
 *   source: string}} WorkingLine
 * @typedef {{kind: string, name: string, item: string, zone: string, element: number | null, beyond: string | null,
 *   area_m2: number | null, u_w_per_m2k: number | null, w_per_k: number, w: number}} LossPart
 * @typedef {{zone: string | null, element: string | null, key: string, name: string, kind: string,
 *   value: number | null, low: number | null, high: number | null, down_w: number, up_w: number,
 *   tenth_w: number | null}} UncertainInput
 * @typedef {{id: string, name: string, design_c: number, heat_loss_w_per_k: number, in_use_w_per_k: number,
 *   in_use_low_w_per_k: number, in_use_high_w_per_k: number, reheat_w: number, heat_loss_w: number, low_w: number,
 *   high_w: number, installed_w: number, working: WorkingLine[], warnings: string[], parts: LossPart[],
 *   inputs: UncertainInput[], measure_first: string, beside: Beside[], findings: Finding[]}} ZoneDesign
 * @typedef {{item: string, value: number, unit: string, low: number, high: number, standing: string, source: string,
 *   sentence: string}} Beside
 * @typedef {{code: string, zone: string | null, element: string | null, key: string, sentence: string}} Finding
 * @typedef {{design_version: string, method: string, outdoor_design_c: number, total_w: number,
 *   total_low_w?: number | null, total_high_w?: number | null, one_source_w?: number | null,
 *   year?: {mid_kwh: number, low_kwh: number, high_kwh: number} | null,
 *   spaces?: {id: string, name: string, temperature_c: number}[],
 *   zones: ZoneDesign[], findings: Finding[], notes: string[]}} Design
 * @typedef {{says: string}} Running
 * @typedef {{label: string, output_w: number | null, rated_w: number, margin_percent: number, shortfall_w: number,
 *   current_a: number, spread: string[], design_day: Running, ordinary_day: Running, notes: string[]}} HeaterOption
 * @typedef {{low: number, mid: number, high: number}} Range
 * @typedef {{kind: string, kwh: Range | null, money: Range | null, currency: string | null, needs: string[],
 *   assumptions: string[], missing: string[]}} Way
 * @typedef {{load_w: number, places: string[], options: HeaterOption[], installed: HeaterOption | null, ways?: Way[],
 *   warnings: string[], cautions: string[]}} ZoneOptions
 * @typedef {Record<string, any>} Fields a table of the house file, keys as in the file
 * @typedef {{house: Fields, zone: Fields[]} & Fields} HouseDocument
 * @typedef {{revision: number, t: string, who: string, why: string, digest: string}} Revision
 */

/** A request that ingle answered with a problem (RFC 9457), or did not answer at all (status 0). */
export class Problem extends Error {
  /**
   * @param {{status?: number, title?: string, detail?: string, errors?: Fault[]}} problem
   */
  constructor({ status = 0, title = "", detail = "", errors = [] }) {
    super(detail || title);
    this.name = "Problem";
    this.status = status;
    this.title = title;
    this.detail = detail;
    this.errors = errors;
  }
}

/** @returns {Promise<ZoneNow[]>} */
export async function zones() {
  return (await ask("/api/zones")).zones;
}

/** @returns {Promise<HouseNow>} */
export function house() {
  return ask("/api/house/now");
}

/**
 * Vouch for the time of ingle's machine, so that programmes run.
 *
 * @returns {Promise<HouseNow>}
 */
export function confirmClock() {
  return ask("/api/clock/confirm", { method: "POST" });
}

/** @returns {Promise<Design>} */
export function design() {
  return ask("/api/design");
}

/**
 * What could heat a zone.
 *
 * @param {string} zone
 * @returns {Promise<ZoneOptions>}
 */
export function options(zone) {
  return ask(`/api/zones/${encodeURIComponent(zone)}/options`);
}

/** @returns {Promise<{id: string, conductivity_w_per_mk: number, source: string}[]>} what a layer may be of */
export async function materials() {
  return (await ask("/api/materials")).materials;
}

/**
 * What a house document would need, worked out and not stored.
 *
 * @param {HouseDocument} document
 * @param {string} [zone] only this one; the total stays the house's
 * @returns {Promise<{design: Design, faults: []} | {design: null, faults: Fault[]}>}
 */
export function tryDesign(document, zone) {
  const query = zone === undefined ? "" : `?zone=${encodeURIComponent(zone)}`;
  return ask(`/api/design/try${query}`, json("POST", document));
}

/** @returns {Promise<{document: HouseDocument, tag: string}>} the house document and its version */
export async function houseDocument() {
  const answer = await send("/api/house");
  return { document: { zone: [], ...(await answer.json()) }, tag: answer.headers.get("ETag") ?? "" };
}

/**
 * Make a document the house's next revision, if `tag` is still the version that runs.
 *
 * @param {HouseDocument} document
 * @param {string} tag
 * @param {string} why for the history
 * @returns {Promise<string>} the new version
 */
export async function putHouse(document, tag, why) {
  const { headers, ...rest } = json("PUT", document);
  const query = why ? `?why=${encodeURIComponent(why)}` : "";
  const answer = await send(`/api/house${query}`, { ...rest, headers: { ...headers, "If-Match": tag } });
  return answer.headers.get("ETag") ?? "";
}

/** @returns {Promise<Revision[]>} oldest first */
export async function history() {
  return (await ask("/api/house/history")).revisions;
}

/**
 * Ask something of a zone: an override, a level, or the release of either.
 *
 * @param {string} zone
 * @param {ZoneRequest} request
 * @returns {Promise<ZoneNow>} the zone as it is after it
 */
export function request(zone, request) {
  return ask(`/api/zones/${encodeURIComponent(zone)}/overrides`, json("POST", request));
}

/**
 * @param {string} method
 * @param {unknown} body
 * @returns {RequestInit}
 */
export function json(method, body) {
  return { method, headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
}

/**
 * @param {string} path
 * @param {RequestInit} [options]
 * @returns {Promise<any>}
 */
export async function ask(path, options = {}) {
  return (await send(path, options)).json();
}

/**
 * @param {string} path
 * @param {RequestInit} [options]
 * @returns {Promise<Response>} never one that is a problem
 */
export async function send(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, { ...options, cache: "no-store" });
  } catch (cause) {
    throw Object.assign(new Problem({ status: 0 }), { cause });
  }
  if (answer.ok) return answer;
  if (answer.status === 401) signIn();
  throw await problem(answer);
}

/** Go and say who asks, and come back here; on the account page itself that is what the page is for. */
export function signIn() {
  if (location.pathname === "/account") return;
  location.replace(`/account?next=${encodeURIComponent(location.pathname + location.search + location.hash)}`);
}

/**
 * @param {Response} answer
 * @returns {Promise<Problem>}
 */
export async function problem(answer) {
  try {
    return new Problem({ ...(await answer.json()), status: answer.status });
  } catch {
    // Something between us and ingle answered: its words would not help, the number might.
    return new Problem({ status: answer.status, title: answer.statusText });
  }
}
