/**
 * `<bill-form>`: a bill or a hand-read meter, entered or changed. What is typed is kept in this browser until it is sent,
 * through a reload or a lost link; what ingle refuses is said at its field.
 */

import { el, say } from "/js/dom.js";
import { lastDay, shift } from "/js/period.js";
import * as words from "/js/words-use.js";

/**
 * @typedef {import("/js/api-use.js").Bill} Bill
 * @typedef {{bill: Bill | null, currency: string | null, today: string, send: (bill: Bill) => Promise<() => void>,
 *   close: (() => void) | null}} BillValue `bill`: null for a new one; what `send` gives is done when the form is
 */

const KEPT = "ingle.bill";
const w = words.bill;

export class BillForm extends HTMLElement {
  /** @param {BillValue} value */
  set value(value) {
    const form = /** @type {HTMLFormElement} */ (el("form", { novalidate: true }));
    const kept = value.bill ? shownAs(value.bill) : read();
    const say_ = el("p", { class: "note", role: "alert", hidden: true });
    form.append(
      el("h2", {}, value.bill ? w.change : w.add),
      choice("kind", w.kind, w.kinds, kept.kind ?? "bill"),
      field("from", w.from, { type: "date", value: kept.from ?? "", max: value.today }),
      field("last", w.last, { type: "date", value: kept.last ?? "", max: value.today }),
      field("kwh", w.kwh, { inputmode: "decimal", value: kept.kwh ?? "" }, "kWh"),
      field("money", w.money, { inputmode: "decimal", value: kept.money ?? "" }, value.currency ?? "", w.moneyHint),
      choice("estimated_read", w.reading, w.readings, kept.estimated_read ?? "false"),
      field("note", w.note, { value: kept.note ?? "", maxlength: 200 }),
      say_,
      el(
        "div",
        { class: "doing" },
        el("button", { type: "submit", class: "save" }, value.bill ? w.keep : w.enter),
        value.close && el("button", { type: "button", class: "quiet", click: value.close }, w.leave),
      ),
    );
    if (!value.bill) form.addEventListener("input", () => localStorage.setItem(KEPT, JSON.stringify(typed(form))));
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const { bill, faults } = asBill(typed(form), value.bill?.currency ?? value.currency);
      if (bill === null) return void this.#say(faults, say_);
      this.#say({}, say_);
      try {
        const done = await value.send(bill);
        if (!value.bill) localStorage.removeItem(KEPT);
        done();
      } catch (error) {
        const { problem, at } = refused(/** @type {import("/js/api.js").Problem} */ (error));
        this.#say(at, say_, problem);
      }
    });
    this.replaceChildren(form);
  }

  /** Put the keyboard on the first field. */
  enter() {
    /** @type {HTMLElement | null} */ (this.querySelector("select, input"))?.focus();
  }

  /**
   * @param {Record<string, string>} faults by field
   * @param {HTMLElement} rest
   * @param {string} [problem] what belongs to no field
   */
  #say(faults, rest, problem = "") {
    for (const each of /** @type {NodeListOf<HTMLElement>} */ (this.querySelectorAll(".field"))) {
      const fault = faults[each.dataset.field ?? ""] ?? "";
      each.classList.toggle("wrong", fault !== "");
      each.querySelector("input, select")?.setAttribute("aria-invalid", String(fault !== ""));
      say(each.querySelector(".said"), fault);
    }
    /** @type {HTMLElement | null} */ (this.querySelector(".field.wrong :is(input, select)"))?.focus();
    rest.hidden = problem === "";
    say(rest, problem);
  }
}

/** @returns {Record<string, string>} */
function read() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "{}") ?? {};
  } catch {
    return {}; // something else wrote there
  }
}

/** @param {Bill} bill @returns {Record<string, string>} */
function shownAs(bill) {
  return {
    kind: bill.kind,
    from: bill.from,
    last: lastDay(bill),
    kwh: `${bill.kwh}`,
    money: bill.money ?? "",
    estimated_read: `${bill.estimated_read}`,
    note: bill.note,
  };
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} */
function typed(form) {
  const fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("[name]")]);
  return Object.fromEntries(fields.map((input) => [input.name, input.value.trim()]));
}

/**
 * What was typed as a bill, or what is wrong with it by field.
 *
 * @param {Record<string, string>} fields
 * @param {string | null} currency
 * @returns {{bill: Bill, faults: {}} | {bill: null, faults: Record<string, string>}}
 */
export function asBill(fields, currency) {
  const kwh = readAmount(fields.kwh);
  const money = fields.money === "" ? null : readAmount(fields.money);
  /** @type {Record<string, string>} */
  const faults = {};
  if (!fields.from) faults.from = w.wrong.day;
  if (!fields.last) faults.last = w.wrong.day;
  else if (fields.from && fields.last < fields.from) faults.last = w.wrong.order;
  if (kwh === null || Number(kwh) < 0) faults.kwh = w.wrong.amount;
  if (fields.money !== "" && money === null) faults.money = w.wrong.amount;
  if (Object.keys(faults).length > 0 || kwh === null) return { bill: null, faults };
  const kind = /** @type {"bill" | "meter"} */ (fields.kind);
  const bill = { from: fields.from, to: shift(fields.last, 1), kwh: Number(kwh), money, currency: money === null ? null : currency, estimated_read: fields.estimated_read === "true", kind, note: fields.note };
  return { bill, faults: {} };
}

/**
 * A figure as people write it: 1,480 and 1480, 430.06 and 430,06.
 *
 * @param {string} text
 * @returns {string | null} with a point, or null where it is none
 */
export function readAmount(text) {
  const bare = text.replaceAll(/[\s\u202f]/gu, "");
  const plain = /^-?\d{1,3}(?:,\d{3})+(?:\.\d+)?$/u.test(bare) ? bare.replaceAll(",", "") : bare.replace(",", ".");
  return /^-?\d+(?:\.\d+)?$/u.test(plain) ? plain : null;
}

/** @param {import("/js/api.js").Problem} problem */
function refused({ status, title, detail, errors }) {
  /** @type {Record<string, string>} */
  const at = {};
  for (const { pointer, allowed } of errors ?? []) {
    const key = pointer.split("/").pop() ?? "";
    if (allowed) at[key === "to" ? "last" : key] = w.wrong.allowed(allowed);
  }
  const problem = status === 0 ? w.wrong.silent : Object.keys(at).length ? "" : detail || title || `${status}`;
  return { problem, at };
}

/**
 * @param {string} name
 * @param {string} label
 * @param {import("/js/dom.js").Attributes} attributes
 * @param {string} [unit]
 * @param {string} [hint]
 */
function field(name, label, attributes, unit, hint) {
  const id = `bill-${name}`;
  return el(
    "div",
    { class: "field", "data-field": name },
    el("label", { for: id }, label),
    el("div", { class: "entry" }, el("input", { id, name, type: "text", autocomplete: "off", "aria-describedby": `${id}-said`, ...attributes }), unit && el("span", { class: "unit" }, unit)),
    hint && el("span", { class: "hint" }, hint),
    el("p", { class: "said", id: `${id}-said` }),
  );
}

/**
 * @param {string} name
 * @param {string} label
 * @param {Record<string, string>} options
 * @param {string} chosen
 */
function choice(name, label, options, chosen) {
  const id = `bill-${name}`;
  const list = Object.entries(options).map(([value, text]) => el("option", { value, selected: value === chosen }, text));
  return el("div", { class: "field choice", "data-field": name }, el("label", { for: id }, label), el("div", { class: "entry" }, el("select", { id, name }, ...list)), el("p", { class: "said" }));
}

customElements.define("bill-form", BillForm);
