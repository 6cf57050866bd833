/** The forms of the Use page on the sheet of all forms. */

import "/js/forms/bill-form.js";
import "/js/forms/day-bars.js";
import "/js/forms/day-strip.js";
import "/js/forms/pair-bars.js";
import "/js/forms/step-chart.js";
import "/js/forms/use-bars.js";
import { formats } from "/js/format.js";
import { after, before, costs, days, longDay, tariffDay, why } from "/js/pages/specimens-use.js";
import * as spent from "/js/spent.js";
import { stepsValue } from "/js/steps.js";
import { stripValue } from "/js/tariff.js";
import { LOCALE, units } from "/js/words.js";
import * as words from "/js/words-use.js";

const fmt = formats({ locale: LOCALE, timeZone: "Europe/London" });

/** @param {string} id */
const part = (id) => /** @type {any} */ (document.getElementById(id));
const bars = (/** @type {import("/js/api-use.js").Costs} */ of) => ({
  heads: of.currency ? words.where.heads : words.where.heads.slice(0, 2).concat(""),
  unit: units.kilowattHour,
  rows: spent.zoneRows(of, fmt).map((row) => ({ ...row, mark: row.place === "laundry" ? 0.5 : null, more: row.place === "net-loft" ? () => document.createTextNode(words.where.heaters) : null })),
  sums: spent.sumRows(of, fmt),
});

part("spent").value = bars(costs);
part("unpriced").value = bars({ ...costs, currency: null, total: null });
const list = spent.spells({ from: costs.from, to: costs.to }, days, costs.by_day);
part("day-by-day").value = spent.dayBarsValue(list, "day", "GBP", fmt);
part("week-by-week").value = spent.dayBarsValue(spent.grouped(list, "week"), "week", "GBP", fmt);
part("why").value = stepsValue(why, before, after, fmt);
part("pairs").value = {
  pairs: [
    { name: "Energy a day", hint: "", bars: [{ name: "15 Dec to 11 Jan", value: 34.4, text: "34.4\u202fkWh" }, { name: "17 Nov to 14 Dec", value: 29.8, text: "29.8\u202fkWh" }] },
    { name: "Energy a degree day", hint: "", bars: [{ name: "15 Dec to 11 Jan", value: 3.1, text: "3.10\u202fkWh" }, { name: "17 Nov to 14 Dec", value: null, text: words.absent }] },
  ],
};
part("tariff-day").value = stripValue(tariffDay, fmt, Date.parse("2026-01-12T14:02:07Z"));
part("long-day").value = stripValue(longDay, fmt, null);
part("bill").value = { bill: { ...after, estimated_read: true, note: "read through the window" }, currency: "GBP", today: "2026-02-03", send: async () => () => undefined, close: () => undefined };
