/** The first view of the Design page: what the house and each of its rooms need. */

import "/js/forms/heat-shares.js";
import "/js/forms/load-row.js";
import "/js/forms/scale-axis.js";
import { el, quantity } from "/js/dom.js";
import { cell } from "/js/forms/figure-cell.js";
import { table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { byKind, percentInWords, shares } from "/js/losses.js";
import { amountScale } from "/js/scale.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/design.js").Sheet} Sheet
 * @typedef {import("/js/forms/heat-shares.js").HeatShares} HeatShares
 */

/**
 * @param {Sheet} sheet
 * @returns {Node[]}
 */
export function houseView(sheet) {
  const { design } = sheet;
  const add = el("a", { class: "button act", href: "#survey/new" }, words.design.add);
  const heading = el("h1", {}, words.design.heading);
  if (design.zones.length === 0) {
    return [heading, el("p", { class: "empty" }, words.design.noRooms, " ", el("code", {}, words.now.loadCommand)), add];
  }
  return [heading, figures(sheet), ...notes(sheet), ...rows(sheet), add, ...whole(sheet), tabular(sheet)];
}

/** @param {Sheet} sheet */
function figures({ design, document: { house, zone }, fmt }) {
  const plates = design.zones.reduce((sum, { installed_w }) => sum + installed_w, 0);
  const area = zone.reduce((sum, { floor_area_m2 }) => sum + (Number(floor_area_m2) || 0), 0);
  const cap = house.supply_cap_a ? house.supply_cap_a * (house.voltage_v ?? 230) * (house.phases ?? 1) : null;
  const outdoor = words.withUnit(fmt.level(design.outdoor_design_c), words.units.celsius);
  return el(
    "dl",
    { class: "figures" },
    cell(words.design.needs(outdoor), quantity(fmt.kilowatts(design.total_w), "kW"), totalHint(design, zone.length, fmt)),
    cell(words.design.plates, quantity(fmt.kilowatts(plates), "kW")),
    cell(words.design.cap, cap === null ? words.design.noCap : quantity(fmt.kilowatts(cap), "kW")),
    area > 0 && cell(words.design.perArea, quantity(fmt.whole(design.total_w / area), "W/m²")),
    typeof design.one_source_w === "number" && zone.length > 1 && cell(words.design.oneSource, quantity(fmt.kilowatts(design.one_source_w), "kW")),
    design.year && cell(words.design.year, quantity(fmt.whole(design.year.mid_kwh), "kWh"), words.check.range(fmt.whole(design.year.low_kwh), fmt.whole(design.year.high_kwh))),
    ...(design.spaces ?? []).map(({ name, temperature_c }) => cell(words.design.space(name), quantity(fmt.temperature(temperature_c), words.units.celsius))),
  );
}

/**
 * @param {import("/js/api.js").Design} design
 * @param {number} rooms
 * @param {Sheet["fmt"]} fmt
 */
function totalHint({ total_w, total_low_w: low, total_high_w: high }, rooms, fmt) {
  const together = words.design.together(words.design.roomCount(rooms));
  if (typeof low !== "number" || typeof high !== "number" || high - low < 1 || total_w <= 0) return together;
  return `${words.design.totalBand(fmt.kilowatts(low), fmt.kilowatts(high))}; ${together}`;
}

/**
 * What looks like a slip stands before the rooms; what nobody surveyed or vouched for opens.
 *
 * @param {Sheet} sheet
 */
function notes({ design: { findings, notes: said } }) {
  const slips = findings.map(({ sentence }) => el("p", { class: "note" }, bound(sentence)));
  if (said.length === 0) return slips;
  const rest = el(
    "details",
    { class: "tabular assumed" },
    el("summary", {}, words.design.assumptions(said.length)),
    ...said.map((text) => el("p", { class: "note" }, bound(text))),
  );
  return [...slips, rest];
}

/** @param {Sheet} sheet */
function rows({ design, fmt, nameOf }) {
  const scale = amountScale(design.zones.flatMap(({ heat_loss_w, high_w, installed_w }) => [heat_loss_w, high_w, installed_w]));
  const axis = /** @type {import("/js/forms/scale-axis.js").ScaleAxis} */ (el("scale-axis"));
  axis.value = { scale, unit: words.units.watt, format: fmt.watts };
  return [
    el("h2", { class: "unseen" }, words.design.rooms),
    el("div", { class: "columns" }, axis),
    el(
      "ol",
      { class: "rows" },
      ...design.zones.map((zone) => {
        const row = /** @type {import("/js/forms/load-row.js").LoadRow} */ (el("load-row"));
        row.update(zone, scale, fmt, nameOf);
        return el("li", { id: `zone-${zone.id}` }, row);
      }),
    ),
  ];
}

/** @param {Sheet} sheet */
function whole({ design, fmt }) {
  const kinds = /** @type {HeatShares} */ (el("heat-shares", { class: "kinds" }));
  kinds.value = {
    unit: words.units.kilowatt,
    rows: shares(byKind(design)).map(({ number, part, share, ink }) => ({
      number,
      name: part.name,
      hint: part.area_m2 === null ? "" : words.withUnit(fmt.whole(part.area_m2), "m²"),
      share,
      ink,
      percent: percentInWords(share, fmt),
      watts: fmt.kilowatts(part.w),
      more: null,
      place: part.kind,
    })),
  };
  return [el("h2", {}, words.design.whereHouse), el("p", { class: "small" }, words.design.housePath), kinds];
}

/** @param {Sheet} sheet */
function tabular({ design, fmt }) {
  const rows = design.zones.map((zone) => [
    zone.name,
    words.withUnit(fmt.level(zone.design_c), words.units.celsius),
    fmt.oneDecimal(zone.heat_loss_w_per_k),
    fmt.oneDecimal(zone.in_use_w_per_k),
    fmt.watts(zone.reheat_w),
    fmt.watts(zone.heat_loss_w),
    words.check.range(fmt.watts(zone.low_w), fmt.watts(zone.high_w)),
    fmt.watts(zone.installed_w),
  ]);
  return el(
    "details",
    { class: "tabular", id: "tabular" },
    el("summary", {}, words.design.table),
    table({ caption: words.design.rooms, columns: words.design.tableColumns, rows }),
  );
}
