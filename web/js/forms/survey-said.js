/** What ingle says of a survey, each sentence at the field that it belongs to; the rest on a line of its own. */

import { el } from "/js/dom.js";
import { sayDoubts, sayFaults } from "/js/forms/survey-field.js";
import { bound } from "/js/format.js";
import { given, stepAt } from "/js/survey.js";
import { elements } from "/js/unfold.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/trial.js").Fault} Fault
 */

/**
 * @param {HTMLElement} form
 * @param {Fields} zone
 * @param {number} step that the form shows
 * @param {Fault[]} faults
 */
export function sayWrong(form, zone, step, faults) {
  const here = faults.filter(({ path }) => [step, null].includes(stepAt(zone, path)));
  const homeless = sayFaults(form, here).filter(({ value, path }) => given(value) || path.length === 1);
  const notes = homeless.map(({ path, value, allowed }) =>
    el("p", { class: "note" }, `${words.elsewhere} ${path.join(" ")}: ${JSON.stringify(value)}. ${words.allowed(allowed)}`),
  );
  form.querySelector(".homeless")?.replaceChildren(...notes);
}

/**
 * What looks like a slip is said at its field; what the design warns of otherwise stands in the margin.
 *
 * @param {HTMLElement} form
 * @param {HTMLElement} margin
 * @param {Fields} zone
 * @param {import("/js/api.js").ZoneDesign | null} design
 */
export function sayOdd(form, margin, zone, design) {
  const doubts = (design?.findings ?? []).map(({ element, key, sentence }) => ({ path: pathOf(zone, element, key), sentence }));
  const said = sayDoubts(form, doubts);
  const rest = (design?.warnings ?? []).filter((text) => !said.has(text));
  margin.replaceChildren(...rest.map((text) => el("p", { class: "note" }, bound(text))));
}

/**
 * @param {Fields} zone
 * @param {string | null} element
 * @param {string} key
 * @returns {import("/js/survey.js").Path}
 */
function pathOf(zone, element, key) {
  const place = elements(zone).findIndex(({ name }) => name === element);
  const inside = key.split(".").map((part) => (/^\d+$/u.test(part) ? Number(part) - 1 : part)); // The file counts from 1.
  return element === null ? inside : ["element", place, ...inside];
}
