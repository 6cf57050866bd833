/** `<house-row>`: the house at a glance - power against the cap, today's energy and money, outside, who wants a look. */

import "/js/forms/power-bar.js";
import { el, quantity } from "/js/dom.js";
import { ageOf } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").HouseNow} HouseNow
 * @typedef {{fmt: import("/js/format.js").Formats, nowMs: number, wanting: {id: string, name: string}[],
 *   offline: boolean}} HouseView
 */

export class HouseRow extends HTMLElement {
  #drawn = "";

  /**
   * @param {HouseNow} house
   * @param {HouseView} view
   */
  update(house, { fmt, nowMs, wanting, offline }) {
    const outside = house.outdoor_t ? words.ago(ageOf(house.outdoor_t, nowMs)) : "";
    const drawn = JSON.stringify([house, outside, wanting, offline]);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    const known = offline ? { ...house, energy_quality: /** @type {const} */ ("stale") } : house;
    this.classList.toggle("old", offline);
    this.replaceChildren(
      el("dl", {}, power(known, fmt, offline), today(known, fmt), outdoors(known, fmt, outside), rest(wanting)),
    );
  }
}

/**
 * @param {HouseNow} house
 * @param {import("/js/format.js").Formats} fmt
 * @param {boolean} offline
 */
function power({ power_w, cap_w, plate_w, name }, fmt, offline) {
  const { kilowatt } = words.units;
  const limit = cap_w ?? plate_w;
  const rating = words.withUnit(fmt.rating(limit), kilowatt);
  const now = power_w === null ? words.now.noPower : fmt.kilowatts(power_w);
  const bar = /** @type {import("/js/forms/power-bar.js").PowerBar} */ (el("power-bar"));
  bar.value = {
    segments: [{ powerW: power_w, plateW: limit, state: "supply", stale: offline }],
    now,
    unit: power_w === null ? "" : kilowatt,
    of: cap_w === null ? words.now.noCap(rating) : words.now.ofCap(rating),
    state: [
      cap_w !== null && words.now.connected(words.withUnit(fmt.rating(plate_w), kilowatt)),
      offline && words.quality.stale,
    ]
      .filter(Boolean)
      .join(", "),
    summary: words.power.summary({ name, now: words.withUnit(now, kilowatt), plate: rating, state: words.states.heating }),
  };
  return fact("power", words.now.power, bar);
}

/**
 * @param {HouseNow} house
 * @param {import("/js/format.js").Formats} fmt
 */
function today({ energy_today_wh, energy_quality, money_today, currency }, fmt) {
  if (energy_today_wh === null) return fact("today", words.now.today, small(words.now.noEnergy));
  const money = money_today !== null && currency ? fmt.money(money_today, currency) : "";
  return fact(
    "today",
    words.now.today,
    el(
      "p",
      { class: "big" },
      quantity(fmt.kilowattHours(energy_today_wh), words.units.kilowattHour),
      money && el("b", { class: "money" }, money),
    ),
    small([energy_quality && words.quality[energy_quality], !money && words.now.noMoney].filter(Boolean).join(", ")),
  );
}

/**
 * @param {HouseNow} house
 * @param {import("/js/format.js").Formats} fmt
 * @param {string} age
 */
function outdoors({ outdoor_c }, fmt, age) {
  if (outdoor_c === null) return fact("outside", words.now.outside, small(words.now.noOutside));
  const big = el("p", { class: "big" }, quantity(fmt.temperature(outdoor_c), words.units.celsius));
  return fact("outside", words.now.outside, big, small(age));
}

/** @param {{id: string, name: string}[]} wanting */
function rest(wanting) {
  if (wanting.length === 0) return fact("wanting", words.now.rest, small(words.now.none));
  const links = wanting.map(({ id, name }) => el("li", {}, el("a", { href: `#zone-${id}` }, name)));
  return fact("wanting", words.now.rest, el("ul", {}, ...links));
}

/**
 * @param {string} name
 * @param {string} term
 * @param {...Node} content
 */
function fact(name, term, ...content) {
  return el("div", { class: name }, el("dt", {}, term), el("dd", {}, ...content));
}

/** @param {string} text */
function small(text) {
  return el("p", { class: "small" }, text);
}

customElements.define("house-row", HouseRow);
