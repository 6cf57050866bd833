/** An invented room's design and survey, with every state that the forms of the Design page can show. */

import { survey as words } from "/js/words.js";

/** @type {import("/js/api.js").HouseDocument} */
export const document = {
  house: { name: "Tern House", method: "domestic", outdoor_design_c: -2 },
  space: [{ id: "roof-void", name: "Roof void", volume_m3: 60 }],
  zone: [
    {
      id: "sail-room",
      name: "Sail Room",
      use: "workshop",
      floor_area_m2: 24,
      height_m: 4.2,
      design_c: 18,
      vulnerable: true,
      air_changes_per_h: 30,
      element: [
        { name: "quay wall", kind: "wall", width_m: 6, height_m: 4.2, openings: ["sash window", "loading door"], layers: [{ material: "brick-outer", mm: 220 }, { air_mm: 50 }] },
        { name: "sash window", kind: "window", width_m: 1.4, height_m: 1.8, u_w_per_m2k: "4,x" },
        { name: "loading door", kind: "door", width_m: 1.2, height_m: 2.2 },
        { name: "wall to Net Loft", kind: "party", area_m2: 16, u_w_per_m2k: 1.6, beyond: "zone:net-loft" },
        { name: "ceiling", kind: "roof", area_m2: 24, u_w_per_m2k: 0.35, beyond: "space:roof-void" },
        { name: "ceiling to the eaves", kind: "roof", area_m2: 3, u_w_per_m2k: 0.35, beyond: { typical: "roof-uninsulated" } },
        { name: "flags", kind: "ground-floor", area_m2: 24, beyond: "ground", ground: { floor: "slab", perimeter_m: 10, water_table_m: 1.2 } },
      ],
    },
    { id: "net-loft", name: "Net Loft", floor_area_m2: 25, height_m: 2.3, element: [] },
  ],
};

/**
 * @param {string} kind
 * @param {string} name
 * @param {number | null} element
 * @param {number} w
 * @param {string | null} [beyond]
 * @param {number | null} [area_m2]
 */
const part = (kind, name, element, w, beyond = null, area_m2 = null) => ({
  kind, name, item: name, zone: "sail-room", element, beyond, area_m2, u_w_per_m2k: area_m2 === null ? null : w / 20 / area_m2, w_per_k: w / 20, w,
});

/** @type {import("/js/api.js").ZoneDesign} */
export const room = {
  id: "sail-room",
  name: "Sail Room",
  design_c: 18,
  heat_loss_w_per_k: 91.4,
  in_use_w_per_k: 74.2,
  in_use_low_w_per_k: 66,
  in_use_high_w_per_k: 83,
  reheat_w: 0,
  heat_loss_w: 1828,
  low_w: 1640,
  high_w: 2090,
  installed_w: 1500,
  warnings: ["The heaters give 1500 W at 230 V, 328 W less than the design load of 1828 W."],
  measure_first: "Look into the air changes first.",
  beside: [],
  findings: [],
  inputs: [],
  parts: [
    part("air", "ventilation", null, 690),
    part("wall", "quay wall", 0, 480, "outside", 20),
    part("window", "sash window", 1, 226, "outside", 2.5),
    part("door", "loading door", 2, 116, "outside", 2.6),
    part("roof", "ceiling", 4, 148, "space:roof-void", 24),
    part("ground-floor", "flags", 6, 140, "ground", 24),
    part("bridges", "thermal bridges", null, 6),
    part("height", "high room", null, 82),
    part("party", "wall to Net Loft", 3, -60, "zone:net-loft", 16),
  ],
  working: [
    { item: "ceiling", inputs: { area_m2: 24, u_w_per_m2k: 0.35, space: "roof-void", beyond_c: -0.4 }, formula: "A·U (θi-θb)/(θi-θe)", value: 7.4, unit: "W/K", source: "domestic method (UK practice)" },
    { item: "wall to Net Loft (to net-loft)", inputs: { area_m2: 16, u_w_per_m2k: 1.6, beyond_c: 21 }, formula: "A·U (θi-θb)/(θi-θe)", value: -3, unit: "W/K", source: "domestic method (UK practice)" },
    { item: "total", inputs: { steady_w: 1828, reheat_w: 0 }, formula: "heat loss + reheat", value: 1828, unit: "W", source: "domestic method (UK practice)" },
  ],
};

const running = { says: "holds 18 °C with 91 % of its power" };

/** @type {import("/js/api.js").ZoneOptions} */
export const options = {
  load_w: 1828,
  places: ["under sash window", "along quay wall"],
  warnings: [],
  installed: { label: "1500 W", output_w: 1500, rated_w: 1500, margin_percent: -18, shortfall_w: 328, current_a: 6.5, spread: [], design_day: { says: "reaches 14.4 °C at most" }, ordinary_day: running, notes: [] },
  options: [
    { label: "2 x 1000 W", output_w: 2000, rated_w: 2000, margin_percent: 9.4, shortfall_w: 0, current_a: 8.7, spread: ["one under sash window", "one along quay wall"], design_day: running, ordinary_day: running, notes: ["Just meets it."] },
    { label: "2000 + 750 W", output_w: null, rated_w: 2750, margin_percent: 50.4, shortfall_w: 0, current_a: 12, spread: [], design_day: running, ordinary_day: running, notes: [] },
  ],
  ways: [
    { kind: "direct", kwh: { low: 2417, mid: 3283, high: 4297 }, money: { low: 789.87, mid: 1072.98, high: 1404.38 }, currency: "GBP", needs: ["1828 W of heaters, 7.9 A."], assumptions: [], missing: [] },
    { kind: "wet-radiator", kwh: null, money: null, currency: "GBP", needs: ["A boiler with headroom."], assumptions: [], missing: ["house.boiler: the house file has none"] },
  ],
  cautions: ["A competent electrician and the local rules decide about circuits; ingle is never a safety device."],
};

/** @type {import("/js/trial.js").Fault[]} */
export const faults = [
  { path: ["element", 1, "u_w_per_m2k"], value: "4,x", allowed: "a number from 0.05 to 8" },
  { path: ["element", 2, "u_w_per_m2k"], value: null, allowed: "a number from 0.05 to 8" },
  { path: ["cooler_reason"], value: 16.5, allowed: "", sentence: words.coolerRefused("16.5") },
];

export const doubt = { path: ["air_changes_per_h"], sentence: "30 air changes an hour are more than a workshop has; 3 would make 1.2 kW." };
