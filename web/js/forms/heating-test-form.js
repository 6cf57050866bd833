/**
 * `<heating-test-form>`: level, nights, who, what it takes, and the confirmation that nobody lives there meanwhile.
 *
 * Looking comes first: rooms, dates, energy and money, cautions, and everything that stands against it; only then is
 * there a button to start. What is typed is kept in this browser through a reload or a lost link.
 */

import { lookAhead, startTest } from "/js/api-heating-test.js";
import { el, quantity, say } from "/js/dom.js";
import { cell } from "/js/forms/figure-cell.js";
import { marginNote } from "/js/forms/why-line.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";
import * as w from "/js/words-heating-test.js";

/**
 * @typedef {import("/js/api-heating-test.js").Outlook} Outlook
 * @typedef {import("/js/api-heating-test.js").Plan} Plan
 * @typedef {import("/js/forms/heating-test.js").TestValue & {started: () => void}} FormValue
 */

const KEPT = "ingle.heating-test";
const [LEAST_C, MOST_C] = [14, 26];
const [FEWEST, MOST] = [3, 14];

export class HeatingTestForm extends HTMLElement {
  #outlook = el("div", { class: "outlook" });
  #error = el("p", { class: "note", role: "alert", hidden: true });
  /** @type {FormValue | null} */
  #value = null;

  /** @param {FormValue} value */
  set value(value) {
    this.#value = value;
    const kept = read();
    const f = w.form;
    const form = /** @type {HTMLFormElement} */ (el("form", { novalidate: true }));
    form.append(
      el("h3", {}, f.title),
      el("p", { class: "small" }, f.lead(value.zone.name)),
      el(
        "div",
        { class: "asks" },
        field("temp_c", f.level, { inputmode: "decimal", value: kept.temp_c ?? "21" }, words.units.celsius, f.levelHint),
        field("nights", f.nights, { inputmode: "numeric", value: kept.nights ?? "4" }, "", f.nightsHint),
        field("who", f.who, { value: kept.who ?? "", maxlength: 80, autocomplete: "name" }, "", f.whoHint),
      ),
      tick("cool_down", f.coolDown, kept.cool_down === "true"),
      el("div", { class: "doing" }, el("button", { type: "submit" }, f.look)),
      this.#error,
      this.#outlook,
    );
    form.addEventListener("input", (event) => {
      localStorage.setItem(KEPT, JSON.stringify(typed(form)));
      const name = /** @type {HTMLInputElement} */ (event.target).name;
      // What was worked out no longer holds for other values; the ticks beneath it are no values of it.
      if (!["empty", "mild_accepted"].includes(name)) this.#outlook.replaceChildren();
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#look(form);
    });
    this.replaceChildren(form);
  }

  /** @param {HTMLFormElement} form */
  async #look(form) {
    const plan = this.#plan(form);
    if (!plan || !this.#value) return;
    this.#outlook.replaceChildren(el("p", { class: "small", role: "status" }, w.form.looking));
    try {
      const found = await lookAhead({ ...plan, empty: true });
      this.#outlook.replaceChildren(...this.#drawn(form, this.#value, found));
      /** @type {HTMLElement | null} */ (this.#outlook.querySelector("h4"))?.focus();
    } catch (error) {
      this.#outlook.replaceChildren();
      this.#refused(/** @type {import("/js/api.js").Problem} */ (error));
    }
  }

  /** @param {HTMLFormElement} form @param {FormValue} value @param {Outlook} found @returns {Node[]} */
  #drawn(form, { fmt, names }, found) {
    const o = w.outlook;
    const when = (/** @type {string} */ at) => `${fmt.fullDate(at)}, ${fmt.time(at)}`;
    const kwh = (/** @type {number | null} */ amount) => (amount === null ? null : quantity(fmt.whole(amount), words.units.kilowattHour));
    const usual = found.usual_kwh === null ? "" : o.usual(words.withUnit(fmt.whole(found.usual_kwh), words.units.kilowattHour));
    const outside = found.outdoor_c === null ? "" : o.outside(words.withUnit(fmt.temperature(found.outdoor_c), words.units.celsius));
    const money = found.money === null || found.currency === null ? o.noMoney : fmt.money(Number(found.money), found.currency);
    const facts = el(
      "dl",
      { class: "figures" },
      cell(o.rooms, [...found.zones, ...found.guards].map((id) => names[id] ?? id).join(", ")),
      cell(o.until, o.span(when(found.start), when(found.end))),
      cell(o.counts, when(found.measure_from)),
      cell(o.energy, kwh(found.expected_kwh) ?? o.noEnergy, [usual, outside].filter((text) => text).join("; ")),
      cell(o.money, money),
    );
    const only = found.refusals.filter((text) => !text.includes("mild_accepted"));
    const mild = found.refusals.length > only.length;
    return [
      el("h4", { tabindex: -1 }, o.title),
      facts,
      el("h4", {}, o.cautions),
      el("ul", { class: "cautions" }, ...found.cautions.map((text) => el("li", {}, text))),
      ...(only.length ? [marginNote({ head: o.against, body: only.map(sentence).join(" "), urgent: false })] : []),
      ...(mild ? [el("p", { class: "small" }, sentence(found.refusals.find((text) => text.includes("mild_accepted"))?.replace(", or set mild_accepted", "") ?? "")), tick("mild_accepted", w.form.mild, false)] : []),
      ...(only.length ? [] : [tick("empty", w.form.empty, false), this.#starter(form)]),
    ];
  }

  /** @param {HTMLFormElement} form */
  #starter(form) {
    const button = el("button", { type: "button", class: "save" }, w.form.start);
    button.addEventListener("click", async () => {
      const plan = this.#plan(form);
      if (!plan) return;
      if (!plan.empty) return this.#say({ empty: w.form.wrong.empty }, "");
      say(button, w.form.starting);
      try {
        await startTest(plan);
        this.#value?.started();
      } catch (error) {
        say(button, w.form.start);
        this.#refused(/** @type {import("/js/api.js").Problem} */ (error));
      }
    });
    return el("div", { class: "doing" }, button);
  }

  /** What was typed as a plan; null, said at the fields, where something is wrong. @param {HTMLFormElement} form @returns {Plan | null} */
  #plan(form) {
    const fields = typed(form);
    const [level, nights] = [Number(fields.temp_c.replace(",", ".")), Number(fields.nights)];
    const f = w.form.wrong;
    /** @type {Record<string, string>} */
    const faults = {};
    if (fields.temp_c === "" || !(level >= LEAST_C && level <= MOST_C)) faults.temp_c = f.temp_c;
    if (!Number.isInteger(nights) || nights < FEWEST || nights > MOST) faults.nights = f.nights;
    if (!fields.who) faults.who = f.who;
    this.#say(faults, "");
    if (Object.keys(faults).length > 0 || !this.#value) return null;
    const ticked = (/** @type {string} */ name) => fields[name] === "true";
    return { zones: [this.#value.zone.id], temp_c: level, nights, who: fields.who, cool_down: ticked("cool_down"), empty: ticked("empty"), mild_accepted: ticked("mild_accepted") };
  }

  /** @param {import("/js/api.js").Problem} problem */
  #refused(problem) {
    /** @type {Record<string, string>} */
    const faults = {};
    for (const { pointer, allowed } of problem.errors ?? []) faults[pointer.split("/")[1] ?? ""] = allowed ?? "";
    const silent = problem.status === 0 ? words.problem.silentRead : "";
    const known = Object.keys(faults).some((name) => this.querySelector(`[data-field="${name}"]`));
    this.#say(faults, known ? "" : silent || problemInWords(problem));
  }

  /** @param {Record<string, string>} faults by field @param {string} rest */
  #say(faults, rest) {
    for (const each of /** @type {NodeListOf<HTMLElement>} */ (this.querySelectorAll("[data-field]"))) {
      const fault = faults[each.dataset.field ?? ""] ?? "";
      each.classList.toggle("wrong", fault !== "");
      each.querySelector("input")?.setAttribute("aria-invalid", String(fault !== ""));
      say(each.querySelector(".said"), fault || (each.dataset.hint ?? ""));
    }
    /** @type {HTMLElement | null} */ (this.querySelector("[data-field].wrong input"))?.focus();
    this.#error.hidden = rest === "";
    say(this.#error, rest);
  }
}

/**
 * @param {string} name
 * @param {string} label
 * @param {import("/js/dom.js").Attributes} attributes
 * @param {string} unit
 * @param {string} hint
 */
function field(name, label, attributes, unit, hint) {
  const [id, said] = [`test-${name}`, `test-${name}-said`];
  return el(
    "div",
    { class: "field", "data-field": name, "data-hint": hint },
    el("label", { for: id }, label),
    el("div", { class: "entry" }, el("input", { id, name, "aria-describedby": said, ...attributes }), unit && el("span", { class: "unit" }, unit)),
    el("p", { class: "said", id: said }, hint),
  );
}

/** @param {string} name @param {string} label @param {boolean} checked */
function tick(name, label, checked) {
  const said = `test-${name}-said`;
  return el(
    "div",
    { class: "tick", "data-field": name },
    el("label", {}, el("input", { type: "checkbox", name, checked, "aria-describedby": said }), el("span", {}, label)),
    el("p", { class: "said", id: said }),
  );
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} */
function typed(form) {
  const fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("[name]")]);
  return Object.fromEntries(fields.map((input) => [input.name, input.type === "checkbox" ? `${input.checked}` : input.value.trim()]));
}

/** @returns {Record<string, string>} */
function read() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "{}") ?? {};
  } catch {
    return {}; // something else wrote there
  }
}

/** @param {string} text as ingle lists it */
function sentence(text) {
  return `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`;
}

customElements.define("heating-test-form", HeatingTestForm);
