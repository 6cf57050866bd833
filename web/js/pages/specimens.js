/** An invented house in every state that the forms can show: 13 rooms of Tern House on a cold afternoon. */

/** @typedef {import("/js/api.js").ZoneNow} ZoneNow */

export const NOW = "2026-01-12T14:02:07Z";

/** @param {string} time @returns {string} */
const today = (time) => `2026-01-12T${time}:00Z`;

/**
 * @param {Partial<import("/js/api.js").HeaterNow> & {id: string, plate_w: number}} heater
 * @returns {import("/js/api.js").HeaterNow}
 */
function heater(heater) {
  return {
    zone: "",
    name: heater.id,
    state: "satisfied",
    held_by: null,
    reason: "Warm enough.",
    until: null,
    power_w: 0,
    temp_c: null,
    setpoint_c: null,
    wanted_c: 20,
    limit_w: heater.plate_w,
    driven: true,
    quality: "metered",
    t: NOW,
    ...heater,
  };
}

/**
 * @param {Partial<ZoneNow> & {id: string, name: string}} zone
 * @returns {ZoneNow}
 */
function zone(zone) {
  const heaters = zone.heaters ?? [];
  const powers = heaters.map(({ power_w }) => power_w);
  return {
    use: "bedroom",
    temp_c: 20,
    wanted_c: 20,
    level: "occupied",
    state: "within",
    rule: "programme",
    reason: "Programme: occupied until 22:30, then 16 °C (setback).",
    until: today("22:30"),
    next: { at: today("22:30"), level: "setback", wanted_c: 16 },
    power_w: powers.includes(null) || powers.length === 0 ? null : powers.reduce((sum, power) => (sum ?? 0) + (power ?? 0), 0),
    plate_w: heaters.reduce((sum, { plate_w }) => sum + plate_w, 0),
    quality: "metered",
    t: today("14:02"),
    held: false,
    ...zone,
    heaters,
  };
}

/** @type {ZoneNow[]} */
export const zones = [
  zone({
    id: "room-1",
    name: "Room 1",
    temp_c: 12.4,
    wanted_c: 12,
    level: "vacant",
    reason: "No booking: vacant at 12 °C until Wed 13:40, then warming for the arrival at 15:00.",
    rule: "booking",
    heaters: [heater({ id: "room-1-a", plate_w: 1000 })],
  }),
  zone({
    id: "room-2",
    name: "Room 2",
    temp_c: 19.8,
    state: "within",
    heaters: [heater({ id: "room-2-a", plate_w: 1000, power_w: 410, state: "heating", reason: "Heating to 20 °C." })],
  }),
  zone({
    id: "room-3",
    name: "Room 3",
    temp_c: 21.9,
    state: "coasting",
    heaters: [heater({ id: "room-3-a", plate_w: 1250 })],
  }),
  zone({
    id: "room-4",
    name: "Room 4",
    temp_c: 16.3,
    state: "below",
    heaters: [heater({ id: "room-4-a", plate_w: 1000, power_w: 506, state: "heating" })],
  }),
  zone({
    id: "room-5",
    name: "Room 5 with the long landing and the north window",
    temp_c: 18.1,
    state: "below",
    rule: "cap",
    reason:
      "Held by the supply cap of 13.8 kW since 13:55, because six colder rooms come first; this room is next when 1.5 kW are free, which should be at about 14:20, and it then warms to 20 °C until 22:30.",
    until: null,
    heaters: [
      heater({ id: "room-5-a", plate_w: 1000, power_w: 0, state: "held", held_by: "cap", reason: "The cap is full." }),
      heater({ id: "room-5-b", plate_w: 500, power_w: 0, state: "held", held_by: "cap", reason: "The cap is full." }),
    ],
  }),
  zone({
    id: "room-6",
    name: "Room 6",
    temp_c: 17.6,
    quality: "stale",
    t: today("13:48"),
    reason: "No reading for 14 min; the last orders stand until 14:32.",
    heaters: [heater({ id: "room-6-a", plate_w: 1000, power_w: 0, quality: "stale" })],
  }),
  zone({
    id: "room-7",
    name: "Room 7",
    temp_c: 17.2,
    state: "below",
    heaters: [heater({ id: "room-7-a", plate_w: 2000, power_w: 2000, state: "heating" })],
  }),
  zone({
    id: "room-8",
    name: "Room 8",
    temp_c: null,
    t: null,
    state: "unknown",
    reason: "Nothing heard since ingle started; its heaters hold their own fallback of 7 °C.",
    quality: "stale",
    heaters: [
      heater({ id: "room-8-a", plate_w: 1000, power_w: null, state: "unreachable", reason: "Gateway gw-east is down." }),
    ],
  }),
  zone({
    id: "room-9",
    name: "Room 9",
    temp_c: 21.1,
    wanted_c: 21.5,
    level: null,
    rule: "override",
    held: true,
    reason: "Override: 21.5 °C until 16:30, then 20 °C (occupied).",
    until: today("16:30"),
    next: { at: today("16:30"), level: "occupied", wanted_c: 20 },
    heaters: [
      heater({ id: "room-9-a", plate_w: 750, power_w: 512, state: "heating" }),
      heater({ id: "room-9-b", plate_w: 750, power_w: 0, state: "held", held_by: "limit", reason: "Resting out its minimum off time." }),
    ],
  }),
  zone({
    id: "net-loft",
    name: "Net Loft",
    use: "living",
    temp_c: 18.6,
    wanted_c: 21,
    state: "warming",
    rule: "booking",
    reason: "Warming for the arrival at 16:00; started 13:42, should arrive 15:55.",
    heaters: [
      heater({ id: "loft-1", plate_w: 1500, power_w: 812, state: "heating" }),
      heater({ id: "loft-2", plate_w: 750, power_w: 0, state: "fault", reason: "It reports a fault: over-temperature." }),
    ],
  }),
  zone({
    id: "breakfast",
    name: "Breakfast room",
    use: "dining",
    temp_c: 20.3,
    heaters: [
      heater({ id: "breakfast-1", plate_w: 1500, power_w: 340, state: "heating", quality: "estimated" }),
      heater({ id: "breakfast-2", plate_w: 1500, power_w: 0, quality: "estimated" }),
    ],
  }),
  zone({
    id: "laundry",
    name: "Laundry",
    use: "utility",
    temp_c: 15.1,
    wanted_c: 16,
    state: "below",
    rule: "opening",
    level: "setback",
    reason: "The window has been open since 09:12; heat is held until it closes.",
    until: null,
    next: null,
    heaters: [heater({ id: "laundry-1", plate_w: 750, power_w: 0, state: "held", held_by: "opening" })],
  }),
  zone({
    id: "hall",
    name: "Hall",
    use: "hall",
    temp_c: 8.2,
    wanted_c: 7,
    level: "frost",
    state: "above",
    rule: "no-programme",
    reason: "Nothing here can be driven: the only heater is portable.",
    until: null,
    next: null,
    heaters: [heater({ id: "hall-1", plate_w: 2000, power_w: 0, state: "isolated", driven: false })],
  }),
];

/** @type {import("/js/api.js").Notice[]} */
export const notices = [
  {
    key: "falling-behind room-7",
    severity: "attention",
    zone: "room-7",
    cause: "Full power since 05:10 and still 2.8 K short",
    effect: "The room may not reach 20 °C today",
    next_step: "See Check: it loses more than designed",
  },
  {
    key: "fault loft-2",
    severity: "attention",
    zone: "net-loft",
    cause: "Heater loft-2 reports over-temperature",
    effect: "It gives no heat",
    next_step: "Switch it off, look for something that covers it, call an electrician if it comes back",
  },
  {
    key: "frost hall",
    severity: "urgent",
    zone: "hall",
    cause: "The frost floor is not assured here",
    effect: "Pipes may freeze below 0 °C",
    next_step: "Confirm the portable heater on site",
  },
].map((notice) => ({ ...notice, severity: /** @type {"attention" | "urgent"} */ (notice.severity), since: today("05:10") }));

/** @type {import("/js/api.js").HouseNow} */
export const house = {
  name: "Tern House",
  timezone: "Europe/London",
  t: NOW,
  power_w: 4580,
  cap_w: 13_800,
  plate_w: 17_000,
  energy_today_wh: 31_400,
  energy_quality: "metered",
  money_today: 8.12,
  currency: "GBP",
  outdoor_c: 5.5,
  outdoor_t: today("13:58"),
  clock: "synchronised",
  broker: "up",
  history: "kept",
  notices,
};

/**
 * @param {Partial<import("/js/api-check.js").ZoneVerdict> & {id: string, name: string}} verdict
 * @returns {import("/js/api-check.js").ZoneVerdict}
 */
function verdict(verdict) {
  return {
    design_w_per_k: 42,
    design_low_w_per_k: 36,
    design_high_w_per_k: 48,
    measured_w_per_k: null,
    low_w_per_k: null,
    high_w_per_k: null,
    probability: null,
    verdict: "as-designed",
    causes: [],
    days_used: 26,
    missing: [],
    possible_from: null,
    metered_kwh: null,
    expected_kwh: null,
    ...verdict,
  };
}

/**
 * @param {number} design
 * @param {number} measured
 * @param {number} half half of the 95 % interval
 */
const figures = (design, measured, half) => ({
  design_w_per_k: design,
  design_low_w_per_k: design * 0.86,
  design_high_w_per_k: design * 1.14,
  measured_w_per_k: measured,
  low_w_per_k: measured - half,
  high_w_per_k: measured + half,
  metered_kwh: Math.round(measured * 9.4),
  expected_kwh: Math.round(design * 9.4),
});

const leak = {
  code: "leak",
  probability: 0.74,
  evidence: "71 W/K at all hours since the first day, in wind and in calm",
  check_next: "feel round the window frames on a windy day; look behind the wardrobe for an open flue",
  kwh: 92,
  money: 24.8,
};

/** @type {import("/js/api-check.js").Assessment} */
export const assessment = {
  from: "2025-12-13",
  to: "2026-01-12",
  design_version: "8f2c51d09ab34e77",
  method: "domestic",
  zones: [
    verdict({ id: "room-1", name: "Room 1", ...figures(38, 39, 4), probability: 0.93 }),
    verdict({ id: "room-2", name: "Room 2", ...figures(36, 34, 5), probability: 0.91 }),
    verdict({ id: "room-3", name: "Room 3", ...figures(44, 31, 4), verdict: "loses-less", probability: 0.97, causes: [
      { ...leak, code: "other-heat", probability: 0.66, evidence: "warm rises on 9 evenings without metered power", check_next: "ask whether another heater is used in the evening" },
    ] }),
    verdict({ id: "room-4", name: "Room 4", ...figures(40, 42, 5), probability: 0.88, findings: [
      { code: "short-cycling", sentence: "Heater room-4-a switches 14 times an hour", check_next: "set a wider band at its thermostat" },
    ], causes: [
      { ...leak, code: "part-failed", probability: 0.96, evidence: "506 W at 231 V over 41 plateaus; the plate says 1,000 W", check_next: "let an electrician measure the element's resistance with the supply off" },
    ] }),
    verdict({
      id: "room-5",
      name: "Room 5 with the long landing and the north window",
      ...figures(47, 51, 22),
      verdict: "cannot-say-yet",
      missing: ["9 nights with a difference of 10 K or more; 4 so far", "readings on 6 days without gaps over 2 h"],
      possible_from: "2026-02-03",
      days_used: 11,
    }),
    verdict({ id: "room-6", name: "Room 6", ...figures(41, 45, 6), probability: 0.84 }),
    verdict({ id: "room-7", name: "Room 7", ...figures(42, 71, 6), verdict: "loses-more", probability: 0.995, causes: [
      leak,
      { ...leak, code: "survey-wrong", probability: 0.22, evidence: "data of one room cannot tell it from a leak", check_next: "measure the north wall's thickness and look whether its cavity is filled" },
    ] }),
    verdict({
      id: "room-8",
      name: "Room 8",
      verdict: "cannot-say-yet",
      missing: ["readings: its gateway has been down since 2 Jan"],
      days_used: 0,
    }),
    verdict({ id: "net-loft", name: "Net Loft", ...figures(70.7, 74, 7), probability: 0.9 }),
    verdict({ id: "breakfast", name: "Breakfast room", ...figures(61, 78, 6), verdict: "loses-more", probability: 0.96, causes: [
      { ...leak, code: "opening", probability: 0.81, evidence: "the loss rises in steps between 10:30 and 11:15 on 19 days", check_next: "look whether the room is aired after breakfast with the heating on" },
    ] }),
    verdict({
      id: "laundry",
      name: "Laundry",
      ...figures(20, 33, 120),
      low_w_per_k: 2,
      verdict: "cannot-say-yet",
      missing: ["hours with the window closed; it was open 61 % of the time"],
      possible_from: "2026-02-17",
      days_used: 8,
    }),
  ],
};
