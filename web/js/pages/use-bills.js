/** Bills and hand-read meters: listed, entered, changed, taken away with a way back, and set against each other. */

import "/js/forms/bill-form.js";
import "/js/forms/step-chart.js";
import * as api from "/js/api-use.js";
import { el, svg } from "/js/dom.js";
import { usedAs } from "/js/forms/use-bars.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { asSentence } from "/js/judge.js";
import { tabular } from "/js/pages/use-where.js";
import { length } from "/js/period.js";
import { problemInWords } from "/js/present.js";
import { money, periodInWords, qualityWord } from "/js/spent.js";
import { stepsValue } from "/js/steps.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {import("/js/pages/use.js").Desk} Desk
 * @typedef {import("/js/pages/use.js").Shown} Shown
 * @typedef {import("/js/api-use.js").BillShown} Bill
 */

const w = use.bill;

/** @param {Desk} desk @returns {Promise<Shown>} */
export async function billsView(desk) {
  const bills = await listed();
  const form = /** @type {import("/js/forms/bill-form.js").BillForm} */ (el("bill-form"));
  form.value = {
    bill: null,
    currency: desk.house.currency,
    today: desk.today,
    close: null,
    send: async (bill) => {
      const { number } = await api.addBill(bill);
      return () => redrawn(desk, w.entered, () => api.changeBill("DELETE", number));
    },
  };
  const list = bills.length
    ? el("ol", { class: "rows bills" }, ...bills.map((bill) => el("li", {}, billRow(desk, bill, bills))))
    : el("p", { class: "empty" }, w.none);
  return { nodes: [list, form, el("p", { class: "small" }, w.other)], shapes: bills.length ? "used rest" : "", period: false };
}

/** @returns {Promise<Bill[]>} the latest first */
async function listed() {
  return (await api.bills()).sort((a, b) => (a.from < b.from ? 1 : a.from > b.from ? -1 : b.number - a.number));
}

/**
 * @param {Desk} desk
 * @param {Bill} bill
 * @param {Bill[]} bills
 */
function billRow(desk, bill, bills) {
  const { fmt, house } = desk;
  const days = length(bill);
  const kwh = words.withUnit(fmt.whole(bill.kwh), words.units.kilowattHour);
  const before = comparable(bill, bills)[0];
  const node = el("div", { class: "bill" });
  const change = () => {
    const form = /** @type {import("/js/forms/bill-form.js").BillForm} */ (el("bill-form"));
    const close = () => {
      form.replaceWith(node);
      /** @type {HTMLElement | null} */ (node.querySelector("button"))?.focus();
    };
    const send = async (/** @type {import("/js/api-use.js").Bill} */ after) => {
      await api.changeBill("PUT", bill.number, after);
      return () => redrawn(desk, w.changed, () => api.changeBill("PUT", bill.number, plain(bill)));
    };
    form.value = { bill, currency: house.currency, today: desk.today, close, send };
    node.replaceWith(form);
    form.enter();
  };
  const drop = async () => {
    await attempt(desk, async () => {
      await api.changeBill("DELETE", bill.number);
      await redrawn(desk, w.dropped(periodInWords(bill, fmt)), () => api.addBill(plain(bill)));
    });
  };
  node.append(
    el("h2", {}, periodInWords(bill, fmt)),
    el("p", { class: "kwh" }, el("b", {}, kwh), bill.money !== null && bill.currency ? `, ${money(fmt, bill.money, bill.currency)}` : ""),
    perDay(bill, Math.max(...bills.map((each) => each.kwh / length(each)))),
    el("p", { class: "small" }, [w.kinds[bill.kind], use.daysLong(days), w.aDay(words.withUnit(fmt.oneDecimal(bill.kwh / days), words.units.kilowattHour)), bill.estimated_read ? w.estimated : "", bill.note].filter(Boolean).join(", ")),
    ...otherLoad(desk, bill),
    el(
      "p",
      { class: "doing" },
      before ? el("a", { class: "button", href: `#why/${bill.number}/${before.number}` }, w.why) : null,
      el("button", { type: "button", "aria-label": w.changeThis(periodInWords(bill, fmt)), click: change }, w.changeIt),
      el("button", { type: "button", class: "quiet", "aria-label": w.dropThis(periodInWords(bill, fmt)), click: drop }, w.drop),
    ),
  );
  return node;
}

/**
 * A bill's kWh a day on the scale of all bills: the heaters' part hatched, the rest hollow.
 *
 * @param {Bill} bill
 * @param {number} most
 */
function perDay(bill, most) {
  const width = (/** @type {number} */ kwh) => `${((100 * kwh) / length(bill) / (most || 1)).toFixed(1)}%`;
  const box = { x: 0.5, y: 0.5, height: 13 };
  return svg(
    "svg",
    { class: "use-bar", width: "100%", height: 14, "aria-hidden": "true", focusable: "false" },
    svg("rect", { class: "used other", fill: "none", ...box, width: width(bill.kwh) }),
    bill.heaters_kwh !== null && svg("rect", usedAs(bill.heaters_quality, { ...box, width: width(Math.min(bill.kwh, bill.heaters_kwh)) })),
  );
}

/** @param {Bill} bill @returns {import("/js/api-use.js").Bill} without what ingle added */
function plain({ from, to, kwh, money, currency, estimated_read, kind, note }) {
  return { from, to, kwh, money, currency, estimated_read, kind, note };
}

/**
 * What the supply used beside the heaters, where ingle can say.
 *
 * @param {Desk} desk
 * @param {import("/js/api-use.js").BillShown} bill
 */
function otherLoad({ fmt }, bill) {
  const kwh = (/** @type {number} */ value) => words.withUnit(fmt.whole(value), words.units.kilowattHour);
  const parts = bill.heaters_kwh === null || bill.other_kwh === null ? [] : [w.split(kwh(bill.heaters_kwh), qualityWord(bill.heaters_quality), kwh(bill.other_kwh), w.otherFrom[bill.other_from] ?? "")];
  return [...parts, ...bill.missing.map(asSentence)].map((text) => el("p", { class: "small" }, text));
}

/**
 * The bills that a bill can be set against: of its kind, the one just before it first.
 *
 * @param {Bill} bill
 * @param {Bill[]} bills the latest first
 */
function comparable(bill, bills) {
  return bills.filter((each) => each.number !== bill.number && each.kind === bill.kind && each.from < bill.from);
}

/**
 * Show the bills as they are now, what was done, and the way back.
 *
 * @param {Desk} desk
 * @param {string} done
 * @param {() => Promise<unknown>} back
 */
async function redrawn(desk, done, back) {
  await desk.again();
  const line = /** @type {import("/js/forms/undo-line.js").UndoLine} */ (el("undo-line"));
  const undo = () =>
    attempt(desk, async () => {
      await back();
      await desk.again();
      desk.note(el("p", { class: "said" }, w.undone));
    });
  line.value = { done, undo, gone: () => line.remove() };
  desk.note(line);
  line.enter();
}

/** @param {Desk} desk @param {() => Promise<void>} act */
async function attempt(desk, act) {
  try {
    await act();
  } catch (error) {
    const body = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    desk.note(marginNote({ head: words.notice.attention, body, urgent: true }));
  }
}

/**
 * From one bill to another by steps.
 *
 * @param {Desk} desk
 * @param {string[]} args the bill, and the one it is set against
 * @returns {Promise<Shown>}
 */
export async function whyView(desk, [number, against]) {
  const { fmt } = desk;
  const [answer, bills] = await Promise.all([api.why(Number(number), Number(against)), listed()]);
  const [before, bill] = [answer.from_bill, answer.to_bill].map((each) => /** @type {Bill} */ (bills.find((one) => one.number === each)));
  const value = stepsValue(answer, before, bill, fmt);
  const chart = /** @type {import("/js/forms/step-chart.js").StepChart} */ (el("step-chart"));
  chart.value = value;
  const others = comparable(bill, bills);
  const links = others.map((each) =>
    el("li", {}, el("a", { href: `#why/${number}/${each.number}`, "aria-current": each.number === Number(against) ? "true" : null }, periodInWords(each, fmt))),
  );
  return {
    nodes: [
      el("p", { class: "back" }, el("a", { href: "#bills" }, w.all)),
      el("p", { class: "summary said-of-both" }, bound(answer.sentence)),
      ...answer.missing.map((body) => marginNote({ head: use.where.missing, body: asSentence(body), urgent: false })),
      chart,
      tabular(w.stepTable, { caption: w.stepTable, columns: w.stepColumns, rows: value.rows }),
      links.length > 1 ? el("nav", { class: "period", "aria-label": w.against }, el("p", { class: "term" }, w.against), el("ul", {}, ...links)) : "",
    ].filter((node) => node !== ""),
    shapes: "rise fall",
    period: false,
  };
}
