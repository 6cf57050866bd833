/**
 * An explanation in full: the sentence, what comes next, every rule that spoke with the one that rules, what was read
 * and how old that is, and what metering has found of the room.
 */

import { el } from "/js/dom.js";
import { age, bound } from "/js/format.js";
import { table } from "/js/forms/why-line.js";
import * as words from "/js/words.js";

const { proof } = words;

/** How far back a person may ask with one press [h]; further back with `ingle explain --at`. */
const BACK = [0, 1, 6, 24];

/**
 * @param {import("/js/api-explain.js").Explanation} value
 * @param {import("/js/format.js").Formats} fmt
 * @param {number} hours how long ago it is of
 * @param {(hours: number) => void} again ask for another time
 * @returns {HTMLElement}
 */
export function proofSheet(value, fmt, hours, again) {
  return el(
    "section",
    { class: "proof", "aria-label": `${proof.heading}: ${value.name}` },
    el("p", { class: "lead" }, bound(value.sentence)),
    el("p", {}, `${proof.next}: ${bound(value.comes_next)}`),
    rules(value),
    value.readings.length > 0 && readings(value, fmt),
    verdict(value),
    el("p", { class: "small" }, bound(value.basis)),
    times(hours, again),
  );
}

/** @param {number} hours @param {(hours: number) => void} again */
function times(hours, again) {
  const button = (/** @type {number} */ back) =>
    el("button", { type: "button", "aria-pressed": String(back === hours), "data-back": back, click: () => again(back) }, proof.back(back));
  return el("div", { class: "times", role: "group", "aria-label": proof.times }, ...BACK.map(button));
}

/** @param {import("/js/api-explain.js").Explanation} value */
function rules({ rules: said }) {
  if (said.length === 0) return null;
  const rows = said.map(({ rule, sentence, wins }) => [
    words.rules[rule] ?? rule,
    bound(sentence),
    wins ? proof.yes : proof.no,
  ]);
  return table({ caption: proof.rules, columns: proof.ruleColumns, rows });
}

/**
 * @param {import("/js/api-explain.js").Explanation} value
 * @param {import("/js/format.js").Formats} fmt
 */
function readings({ name, readings: all }, fmt) {
  const rows = all.map(({ kind, id, what, value, unit, age_s, quality }) => [
    kind === "outdoor" ? proof.kinds.outdoor : `${proof.kinds[kind] ?? kind} ${id}`,
    proof.what[what] ?? what,
    words.withUnit(unit === "W" || unit === "V" ? fmt.watts(value) : fmt.temperature(value), unit),
    words.old(age(1000 * age_s)),
    words.quality[quality],
  ]);
  return table({ caption: proof.readings(name), columns: proof.readingColumns, rows });
}

/** @param {import("/js/api-explain.js").Explanation} value */
function verdict({ verdict: found }) {
  if (!found) return el("p", { class: "small" }, proof.noVerdict);
  const causes = found.causes.map(({ code, evidence }) => el("li", {}, bound(proof.cause(code, evidence ?? ""))));
  return el(
    "div",
    {},
    el("h4", {}, proof.verdict),
    el("p", {}, proof.verdicts[found.verdict] ?? found.verdict),
    causes.length > 0 && el("ul", { class: "plain" }, ...causes),
    el("p", {}, el("a", { href: "/check" }, proof.check)),
  );
}
