/** Which days: real links for the usual periods, two dates for any other. */

import { el, say } from "/js/dom.js";
import { NAMES, address, isPeriod, lastDay, length, named, shift } from "/js/period.js";
import { periodInWords } from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/period.js").Chosen} Chosen
 */

const w = use;

/**
 * The period of a view.
 *
 * @param {Desk} desk
 * @param {string} view
 */
export function periodPicker(desk, view) {
  const { today, chosen } = desk;
  const to = (/** @type {Chosen} */ each) => address(each, view === "compare" ? desk.other : null, view === "where" ? "" : view);
  const links = NAMES.map((name) => ({ name, href: to(named(name, today)) }));
  return picker(desk, { name: w.period.nav, chosen, links, go: (period) => to({ period, name: null }) });
}

/**
 * What the period is set against.
 *
 * @param {Desk} desk
 */
export function otherPicker(desk) {
  const { chosen, other } = desk;
  const links = ["before", "year-before"].map((name) => ({ name, href: address(chosen, { period: other.period, name }, "compare") }));
  return picker(desk, { name: w.compare.against, chosen: other, links, go: (period) => address(chosen, { period, name: null }, "compare") });
}

/**
 * @param {Desk} desk
 * @param {{name: string, chosen: Chosen, links: {name: string, href: string}[],
 *   go: (period: import("/js/period.js").Period) => string}} value `go`: the address of other days
 */
function picker({ fmt, today }, { name, chosen, links, go }) {
  const id = `days-${name.toLowerCase().replaceAll(" ", "-")}`;
  return el(
    "div",
    { class: "period" },
    el("p", { class: "days" }, el("span", { class: "term" }, name), " ", el("b", {}, periodInWords(chosen.period, fmt)), ` (${w.daysLong(length(chosen.period))})`),
    el(
      "nav",
      { "aria-label": name },
      el("ul", {}, ...links.map((link) => el("li", {}, el("a", { href: link.href, "aria-current": link.name === chosen.name ? "true" : null }, w.period.names[link.name])))),
    ),
    el("details", { class: "other" }, el("summary", {}, w.period.other), dates(id, chosen, today, go)),
  );
}

/**
 * @param {string} id
 * @param {Chosen} chosen
 * @param {string} today
 * @param {(period: import("/js/period.js").Period) => string} go
 */
function dates(id, chosen, today, go) {
  const box = (/** @type {string} */ key, /** @type {string} */ value) =>
    /** @type {HTMLInputElement} */ (el("input", { id: `${id}-${key}`, type: "date", value, max: today, required: true }));
  const [first, last] = [box("from", chosen.period.from), box("last", lastDay(chosen.period))];
  const wrong = el("p", { class: "note", role: "alert", hidden: true });
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    const period = { from: first.value, to: last.value && shift(last.value, 1) };
    wrong.hidden = isPeriod(period);
    if (!wrong.hidden) return say(wrong, w.period.wrong);
    location.assign(go(period));
  };
  return el(
    "form",
    { submit },
    el("div", { class: "field" }, el("label", { for: first.id }, w.period.from), el("div", { class: "entry" }, first)),
    el("div", { class: "field" }, el("label", { for: last.id }, w.period.last), el("div", { class: "entry" }, last)),
    el("button", { type: "submit" }, w.period.show),
    wrong,
  );
}
