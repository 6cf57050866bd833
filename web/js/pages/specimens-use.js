/** What Tern House used in an invented cold month, in every state that the forms of the Use page can show. */

/** @param {number} index of the day @returns {number} outside [°C] */
const outdoor = (index) => 5 - 5 * Math.sin(index / 4) - (index === 17 ? 4 : 0);

/** @typedef {import("/js/api.js").Quality} Quality */

/** @type {[string, string, number | null, Quality | null][]} */
const ROOMS = [
  ["net-loft", "Net Loft", 412_300, "metered"],
  ["room-5", "Room 5 with the long landing and the north window", 241_900, "metered"],
  ["breakfast", "Breakfast room", 180_400, "estimated"],
  ["room-6", "Room 6", 96_200, "filled"],
  ["laundry", "Laundry", 31_050, "stale"],
  ["hall", "Hall", 0, "metered"],
  ["room-8", "Room 8", null, null],
];

const NIGHT = 0.142;
const DAY = 0.316;
/** A quarter of it at night. @param {number} wh */
const units = (wh) => (wh / 1000) * (0.25 * NIGHT + 0.75 * DAY);
const total = ROOMS.reduce((sum, [, , wh]) => sum + (wh ?? 0), 0);
const cents = (/** @type {number} */ value) => value.toFixed(2);

/** @type {import("/js/api-use.js").Costs} */
export const costs = {
  from: "2025-12-15",
  to: "2026-01-12",
  currency: "GBP",
  days: 28,
  energy_wh: total,
  units: cents(units(total)),
  standing: cents(28 * 0.614),
  tax: cents(0.2 * (units(total) + 28 * 0.614)),
  total: cents(1.2 * (units(total) + 28 * 0.614)),
  quality: "stale",
  zones: ROOMS.map(([zone, name, energy_wh, quality]) => ({
    zone,
    name,
    energy_wh,
    quality,
    units: energy_wh === null ? null : cents(units(energy_wh)),
    tax: energy_wh === null ? null : cents(0.2 * units(energy_wh)),
    total: energy_wh === null ? null : cents(1.2 * units(energy_wh)),
    rates: [],
    heaters: [],
  })),
  by_day: Array.from({ length: 28 }, (_, index) => ({
    date: new Date(Date.UTC(2025, 11, 15 + index)).toISOString().slice(0, 10),
    energy_wh: index === 9 ? null : 1900 * (18 - outdoor(index)),
    total: index === 9 ? null : cents(0.65 * (18 - outdoor(index))),
  })),
  booked: [],
  missing: ["room-8: no reading in these days"],
};

/** @type {import("/js/api-use.js").DayUse[]} */
export const days = costs.by_day.map(({ date, energy_wh }, index) => ({
  date,
  zones: [],
  energy_wh,
  quality: energy_wh === null ? null : /** @type {Quality} */ (index === 3 ? "estimated" : index === 10 ? "filled" : "metered"),
  outdoor_c: index === 9 ? null : outdoor(index),
  degree_days_kd: index === 9 ? null : Math.max(0, 15.5 - outdoor(index)),
  hours: 24,
}));

/** @param {string} from @param {string} to @param {number} kwh @param {string} money */
const bill = (from, to, kwh, money) => ({ from, to, kwh, money, currency: "GBP", estimated_read: false, kind: /** @type {const} */ ("bill"), note: "" });

export const before = bill("2025-12-01", "2025-12-29", 1480, "432.10");
export const after = bill("2025-12-29", "2026-02-02", 1996, "561.34");

/** @type {import("/js/steps.js").Steps} */
export const why = {
  from_bill: 1,
  to_bill: 2,
  difference_kwh: 516,
  sentence: "It is 129.24 higher, most of it because there are more days in it.",
  missing: [],
  difference: "129.24",
  currency: "GBP",
  order: "averaged over all orders in which the changes could have come",
  steps: [
    { code: "days", money: "101.10", kwh: 350, sentence: "35 days instead of 28" },
    { code: "price", money: "-14.22", kwh: 0, sentence: "29.1 p/kWh on average instead of 29.9 p/kWh" },
    { code: "weather", money: "38.40", kwh: 140, sentence: "11.2 K·d a day instead of 9.9 K·d a day" },
    { code: "warmer", money: "9.75", kwh: 35, sentence: "rooms 0.4 K warmer" },
    { code: "longer", money: "0.00", kwh: 0, sentence: "as many warm hours a day as before" },
    { code: "loss", money: "-21.90", kwh: -78, sentence: "Room 7 loses less since 9 January" },
    { code: "other-load", money: "4.20", kwh: 15, sentence: "more used beside the heaters" },
    { code: "unexplained", money: "11.91", kwh: 54, sentence: "nothing that ingle knows explains this part" },
  ],
};

/** A winter's day under a tariff with one cheap window. @type {import("/js/tariff.js").TariffDay} */
export const tariffDay = {
  date: "2026-01-12",
  hours: 24,
  currency: "GBP",
  standing: "0.614",
  tax_percent: 20,
  since: "2025-04-01",
  series: null,
  stretches: [
    { from: "2026-01-12T00:00:00Z", to: "2026-01-12T00:30:00Z", per_kwh: "0.316" },
    { from: "2026-01-12T00:30:00Z", to: "2026-01-12T07:30:00Z", per_kwh: "0.142" },
    { from: "2026-01-12T07:30:00Z", to: "2026-01-13T00:00:00Z", per_kwh: "0.316" },
  ],
};

/** The night in which clocks go back. @type {import("/js/tariff.js").TariffDay} */
export const longDay = {
  ...tariffDay,
  date: "2026-10-25",
  hours: 25,
  stretches: [
    { from: "2026-10-24T23:00:00Z", to: "2026-10-25T00:30:00Z", per_kwh: "0.316" },
    { from: "2026-10-25T00:30:00Z", to: "2026-10-25T07:30:00Z", per_kwh: "0.142" },
    { from: "2026-10-25T07:30:00Z", to: "2026-10-25T16:00:00Z", per_kwh: "0.316" },
    { from: "2026-10-25T16:00:00Z", to: "2026-10-25T19:00:00Z", per_kwh: "0.48" },
    { from: "2026-10-25T19:00:00Z", to: "2026-10-26T00:00:00Z", per_kwh: "-0.021" },
  ],
};
