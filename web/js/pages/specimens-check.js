/** An invented room that went wrong in the middle of a winter, with every state that its page can show. */

/** @typedef {import("/js/api-check.js").FitDay} FitDay */

const FIRST = Date.parse("2025-12-08T00:00:00Z");
const DAY = 86_400_000;
const OUTDOOR = [6.1, 5.4, 4.2, 3.3, 1.8, 0.4, -0.6, 1.1, 2.9, 4.6, 6.8, 7.9, 7.2, 5.1];

/** @param {number} index @returns {string} */
const dayOf = (index) => new Date(FIRST + index * DAY).toISOString().slice(0, 10);

/** @type {Record<number, Partial<FitDay>>} */
const ODD = {
  4: { used: false, why_not: "a gap of 5 h", quality: "filled" },
  11: { metered_w: null, used: false, why_not: "no energy reading", quality: null },
  12: { used: false, why_not: "a gap of 5 h", quality: "filled" },
  20: { quality: "estimated" },
  21: { quality: "estimated" },
  27: { used: false, why_not: "the window stood open for 7 h" },
};

/** @type {FitDay[]} */
export const days = Array.from({ length: 35 }, (_, index) => {
  const outdoor_c = OUTDOOR[index % OUTDOOR.length];
  const coefficient = index < 18 ? 43 : 71;
  const predicted_w = coefficient * (19.6 - outdoor_c) - 90;
  const metered_w = predicted_w + [40, -70, 15, 90, -35, 60, -20][index % 7];
  return {
    date: dayOf(index), metered_w, predicted_w, low_w: predicted_w - 160, high_w: predicted_w + 160, temp_c: 19.6, outdoor_c, used: true, why_not: null, quality: "metered", ...ODD[index],
  };
});

/** @type {import("/js/api-check.js").ZoneVerdict} */
export const zone = {
  id: "room-7",
  name: "Room 7",
  design_w_per_k: 42,
  design_low_w_per_k: 37,
  design_high_w_per_k: 48,
  measured_w_per_k: 71,
  low_w_per_k: 65,
  high_w_per_k: 78,
  probability: 0.995,
  verdict: "loses-more",
  days_used: 31,
  missing: [],
  possible_from: null,
  metered_kwh: 1020,
  expected_kwh: 640,
  causes: [
    {
      code: "leak", probability: 0.74, evidence: "71 W/K at all hours since 26 December, in wind and in calm", against: "the room is no damper than before",
      check_next: "feel round the window frames on a windy day; look behind the wardrobe for an open flue", kwh: 292, kwh_low: 222, kwh_high: 360, money: 84.7, money_low: 64.4, money_high: 104.4, currency: "GBP",
    },
    { code: "survey-wrong", probability: 0.22, evidence: "data of one room cannot tell it from a leak", against: null, check_next: "measure the north wall's thickness", kwh: 292, kwh_low: 222, kwh_high: 360, money: null, currency: null },
    { code: "part-failed", probability: 0.01, evidence: "506 W at 231 V over 41 plateaus", against: "it reached its level on each of those nights", check_next: "", kwh: null, money: null },
  ],
  findings: [{ code: "short-cycling", sentence: "Heater room-7-a switches 14 times an hour on most evenings", check_next: "set a wider band at its thermostat" }],
  moisture: {
    verdict: "risk", days: 28, days_over: 19, limit_percent: 80, surface_rh_percent: 86, surface_c: 13.1, room_rh_percent: 61, room_c: 18.2, f_rsi: 0.6, f_rsi_source: "assumed", lever: "air",
    sentence: "The air at the coldest surface was above 80 % on 19 of 28 days.", check_next: "air the room after washing; look behind furniture on outside walls",
  },
  against_house: { ratio: 1.62, low: 1.41, high: 1.86, probability: 0.99, verdict: "loses-more" },
  against_past: { since: "2025-12-26", before_w_per_k: 43, after_w_per_k: 71, low: 1.45, high: 1.86, probability: 0.98 },
};

/** @param {number} index @param {Partial<import("/js/api-check.js").Kept>} found @returns {import("/js/api-check.js").Kept} */
const look = (index, found) => ({
  number: index + 1, at: `${dayOf(7 * index + 6)}T04:00:00Z`, from: dayOf(0), to: dayOf(7 * index + 6), digest: "", design_version: "8f2c51d09ab34e77", method_version: 2, zones: [],
  id: "room-7", name: "Room 7", design_w_per_k: 42, measured_w_per_k: null, low_w_per_k: null, high_w_per_k: null, probability: null, verdict: "cannot-say-yet", causes: [], days_used: 7 * index, ...found,
});

export const looks = [
  look(0, {}),
  look(1, { measured_w_per_k: 45, low_w_per_k: 31, high_w_per_k: 61 }),
  look(2, { measured_w_per_k: 43, low_w_per_k: 38, high_w_per_k: 49, probability: 0.93, verdict: "as-designed" }),
  look(3, { measured_w_per_k: 55, low_w_per_k: 49, high_w_per_k: 62, probability: 0.82, verdict: "cannot-say-yet" }),
  look(4, { measured_w_per_k: 71, low_w_per_k: 65, high_w_per_k: 78, probability: 0.995, verdict: "loses-more" }),
];
