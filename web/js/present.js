/** From what ingle says of a room to what its drawings show: pure functions, no document. */

import { age, bound } from "/js/format.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneNow} ZoneNow
 * @typedef {import("/js/api.js").HeaterNow} HeaterNow
 * @typedef {import("/js/api.js").Notice} Notice
 * @typedef {{
 *   fmt: import("/js/format.js").Formats, scale: import("/js/scale.js").Scale, nowMs: number,
 *   outdoorC: number | null, offline: boolean, trend: -1 | 0 | 1, notices: Notice[], proposedC: number | null,
 * }} View what a room is seen against: the page's scale, the time, the link
 */

/** Half the width of the wanted band [K]: the daemon calls a room `within` inside it. */
export const HALF_BAND_K = 0.5;
/** What a heater may be doing that a person should see even when its neighbour is heating. */
const TROUBLE = ["fault", "unreachable", "held", "isolated"];

/**
 * @param {ZoneNow} zone
 * @param {View} view
 * @returns {import("/js/forms/band-gauge.js").GaugeValue}
 */
export function gaugeValue(zone, view) {
  const { fmt, scale, outdoorC, offline, trend, nowMs, proposedC } = view;
  const stale = zone.temp_c !== null && (offline || zone.quality === "stale");
  const age = stale && zone.t ? words.old(ageOf(zone.t, nowMs)) : "";
  const temp = zone.temp_c === null ? "" : fmt.temperature(zone.temp_c);
  const wanted = fmt.level(zone.wanted_c);
  return {
    tempC: zone.temp_c,
    wantedC: zone.wanted_c,
    outdoorC,
    proposedC,
    halfBandK: HALF_BAND_K,
    scale,
    state: zone.state,
    stale,
    temp,
    wanted,
    age,
    unit: words.units.celsius,
    noReading: words.gauge.noReading,
    trend: stale ? 0 : trend,
    figure: fmt.level,
    summary: words.gauge.summary({
      name: zone.name,
      temp: temp && words.withUnit(temp, words.units.celsius),
      wanted: words.withUnit(wanted, words.units.celsius),
      state: words.states[zone.state] ?? zone.state,
      outside: outdoorC === null ? null : words.withUnit(fmt.temperature(outdoorC), words.units.celsius),
      age,
    }),
  };
}

/**
 * @param {ZoneNow} zone
 * @param {View} view
 * @returns {import("/js/forms/power-bar.js").PowerValue}
 */
export function powerValue(zone, { fmt, offline }) {
  const { watt } = words.units;
  const plate = words.withUnit(fmt.watts(zone.plate_w), watt);
  const now = zone.power_w === null ? words.power.unknown : fmt.watts(zone.power_w);
  const heaters = offline ? zone.heaters.map((heater) => ({ ...heater, quality: /** @type {const} */ ("stale") })) : zone.heaters;
  const state = heatersInWords(heaters);
  return {
    segments: heaters.map(({ power_w, plate_w, state, quality }) => ({
      powerW: power_w,
      plateW: plate_w,
      state,
      stale: quality === "stale",
    })),
    now: zone.heaters.length ? now : "",
    unit: zone.power_w === null ? "" : watt,
    of: zone.heaters.length ? words.power.of(plate) : "",
    state,
    summary: words.power.summary({ name: zone.name, now: zone.power_w === null ? now : words.withUnit(now, watt), plate, state }),
  };
}

/**
 * The heaters of a room in a few words: what all of them do, or what some of them do that matters.
 *
 * @param {HeaterNow[]} heaters
 * @returns {string}
 */
export function heatersInWords(heaters) {
  if (heaters.length === 0) return words.power.none;
  const odd = TROUBLE.map((state) => heaters.filter((heater) => heater.state === state)).find((some) => some.length > 0);
  if (!odd) return withQuality(heaters.some(({ state }) => state === "heating") ? words.states.heating : words.states.satisfied, heaters);
  const word = heaterState(odd[0]);
  return odd.length === heaters.length ? word : words.power.some(odd.length, heaters.length, word);
}

/**
 * @param {ZoneNow} zone
 * @param {View} view
 * @returns {import("/js/forms/why-line.js").WhyValue}
 */
export function whyValue(zone, { fmt, notices, nowMs }) {
  const celsius = (/** @type {number} */ value) => words.withUnit(fmt.level(value), words.units.celsius);
  const level = zone.level ? `${words.levels[zone.level] ?? zone.level}, ` : "";
  const next = zone.next && `${fmt.when(zone.next.at, nowMs)}: ${levelName(zone.next.level)}${celsius(zone.next.wanted_c)}`;
  return {
    sentence: bound(zone.reason),
    more: words.why.more,
    notes: notices.map((notice) => noteValue(notice)),
    facts: [
      { term: words.why.rule, text: words.rules[zone.rule] ?? zone.rule },
      { term: words.why.wanted, text: `${level}${celsius(zone.wanted_c)}` },
      { term: words.why.until, text: zone.until ? fmt.when(zone.until, nowMs) : words.why.noEnd },
      { term: words.why.next, text: next ?? words.why.noNext },
      { term: words.why.read, text: zone.t ? `${fmt.when(zone.t, nowMs)}, ${words.quality[zone.quality]}` : words.why.never },
    ],
    table: zone.heaters.length ? heaterTable(zone, fmt) : null,
  };
}

/**
 * @param {Notice} notice
 * @returns {import("/js/forms/why-line.js").Note}
 */
export function noteValue({ severity, cause, effect, next_step }) {
  return {
    head: words.notice[severity],
    body: [cause, effect, next_step].filter(Boolean).map((text) => bound(sentence(text))).join(" "),
    urgent: severity === "urgent",
  };
}

/**
 * Rooms in the order in which a person should see them: urgent, then wanting a look, then those that say nothing,
 * then the rest; within each, the order of the house.
 *
 * @param {ZoneNow[]} zones
 * @param {Notice[]} notices
 * @returns {string[]} ids
 */
export function attentionOrder(zones, notices) {
  const rank = (/** @type {ZoneNow} */ zone) => {
    const own = notices.filter((notice) => notice.zone === zone.id);
    if (own.some(({ severity }) => severity === "urgent")) return 0;
    if (own.length) return 1;
    return zone.state === "unknown" || zone.quality === "stale" ? 2 : 3;
  };
  const ranked = zones.map((zone, index) => ({ id: zone.id, index, rank: rank(zone) }));
  return ranked.sort((a, b) => a.rank - b.rank || a.index - b.index).map(({ id }) => id);
}

/**
 * What would put a room back as it was before a request.
 *
 * @param {ZoneNow} before
 * @returns {import("/js/api.js").ZoneRequest}
 */
export function undoRequest(before) {
  if (!before.held) return { do: "release" };
  const until = before.until ? { until: before.until } : {};
  if (before.level) return { do: "set-level", level: before.level, ...until };
  return { do: "override", temp_c: before.wanted_c, ...until };
}

/** @param {string} instant @param {number} nowMs */
export function ageOf(instant, nowMs) {
  return age(nowMs - Date.parse(instant));
}

/**
 * A problem as sentences: what went wrong, where, and what is allowed.
 *
 * @param {import("/js/api.js").Problem} problem
 * @returns {string}
 */
export function problemInWords({ status, title, detail, errors }) {
  if (status === 0) return words.problem.silent;
  const faults = errors.map(({ allowed }) => allowed && words.problem.allowed(allowed)).filter(Boolean);
  const said = [detail || title, ...faults].filter(Boolean).map((text) => sentence(String(text)));
  return said.length ? said.join(" ") : words.problem.status(status);
}

/**
 * @param {ZoneNow} zone
 * @param {import("/js/format.js").Formats} fmt
 */
function heaterTable(zone, fmt) {
  const watts = (/** @type {number | null} */ value) =>
    value === null ? words.power.unknown : words.withUnit(fmt.watts(value), words.units.watt);
  const order = (/** @type {HeaterNow} */ heater) => {
    if (!heater.driven) return words.why.notDriven;
    if (heater.limit_w <= 0) return words.why.noHeat;
    return words.why.limit(words.withUnit(fmt.level(heater.wanted_c), words.units.celsius), watts(heater.limit_w));
  };
  return {
    caption: words.why.heaters(zone.name),
    columns: [words.why.heater, words.why.state, words.why.now, words.why.plate, words.why.order, words.why.reason],
    rows: zone.heaters.map((heater) => [
      heater.name,
      heaterState(heater),
      watts(heater.power_w),
      watts(heater.plate_w),
      order(heater),
      bound(heater.reason),
    ]),
  };
}

/** @param {HeaterNow} heater */
function heaterState({ state, held_by }) {
  return state === "held" ? words.power.held(held_by ? words.heldBy[held_by] : "") : (words.states[state] ?? state);
}

/** @param {string} state @param {HeaterNow[]} heaters */
function withQuality(state, heaters) {
  const weak = heaters.map(({ quality }) => quality).find((quality) => quality !== "metered");
  return weak ? `${state}, ${words.quality[weak]}` : state;
}

/** @param {string | null} level */
function levelName(level) {
  return level ? `${words.levels[level] ?? level}, ` : "";
}

/** @param {string} text @returns {string} ending in a full stop */
function sentence(text) {
  return /[.!?…]$/u.test(text) ? text : `${text}.`;
}
