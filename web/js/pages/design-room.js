/** One room's sheet: what it needs, where the heat goes, how sure that is, and the working line by line. */

import "/js/forms/developed-room.js";
import "/js/forms/heater-options.js";
import "/js/forms/heat-shares.js";
import "/js/forms/remove-room.js";
import "/js/forms/working-sheet.js";
import * as api from "/js/api.js";
import { el, quantity } from "/js/dom.js";
import { cell } from "/js/forms/figure-cell.js";
import { table } from "/js/forms/why-line.js";
import { bound } from "/js/format.js";
import { bandInWords, beyondInWords, inputInWords, itemInWords, linesOf, partName, percentInWords, platesInWords, shares, valueInWords } from "/js/losses.js";
import { problemInWords } from "/js/present.js";
import { guessed, unfold } from "/js/unfold.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/design.js").Sheet} Sheet
 * @typedef {import("/js/api.js").ZoneDesign} ZoneDesign
 * @typedef {import("/js/losses.js").Share} Share
 * @typedef {import("/js/forms/developed-room.js").Place} Place
 * @typedef {import("/js/forms/heat-shares.js").HeatShares} HeatShares
 */

/**
 * @param {Sheet} sheet
 * @param {ZoneDesign} zone
 * @param {import("/js/forms/remove-room.js").Removal["removed"]} removed
 * @returns {Node[]}
 */
export function roomView(sheet, zone, removed) {
  const found = shares(zone);
  const list = shareList(sheet, zone, found);
  const room = /** @type {import("/js/forms/developed-room.js").DevelopedRoom} */ (el("developed-room"));
  room.value = unfolded(sheet, zone, found, (place) => list.show(placeKey(place)));
  const remove = /** @type {import("/js/forms/remove-room.js").RemoveRoom} */ (el("remove-room"));
  remove.value = { document: sheet.document, zone, removed };
  return [
    el("p", { class: "back act" }, el("a", { href: "#" }, words.design.all), el("a", { href: `/check?zone=${encodeURIComponent(zone.id)}` }, words.design.toCheck)),
    el("h1", {}, zone.name),
    figures(sheet, zone),
    el(
      "div",
      { class: "doing act" },
      el("a", { class: "button", href: `#survey/${zone.id}` }, words.design.edit),
      el("button", { type: "button", click: () => print() }, words.design.print),
      remove,
    ),
    el(
      "div",
      { class: "plate-of" },
      el(
        "section",
        { class: "where" },
        el("h2", {}, words.design.where),
        room,
        guessed(sheet.document.zone, zone.id) && el("p", { class: "small" }, words.design.drawnIn),
        list,
      ),
      margin(sheet, zone),
    ),
    el("section", { class: "options" }, el("h2", {}, words.design.options.title), heaters(sheet, zone)),
    el("section", {}, el("h2", {}, words.design.working), working(sheet, zone.working, words.design.workingOf(zone.name))),
  ];
}

/**
 * @param {Sheet} sheet
 * @param {ZoneDesign} zone
 */
function figures({ document: { zone: zones }, fmt }, zone) {
  const area = Number(zones.find(({ id }) => id === zone.id)?.floor_area_m2);
  const f = words.design.figures;
  const plates = platesInWords(zone, fmt);
  return el(
    "dl",
    { class: "figures" },
    cell(f.load, quantity(fmt.watts(zone.heat_loss_w), "W"), bandInWords(zone, fmt)),
    cell(f.coefficient, quantity(fmt.oneDecimal(zone.heat_loss_w_per_k), "W/K")),
    cell(f.inUse, quantity(fmt.oneDecimal(zone.in_use_w_per_k), "W/K")),
    area > 0 && cell(f.perArea, quantity(fmt.whole(zone.heat_loss_w / area), "W/m²")),
    cell(f.inside, quantity(fmt.level(zone.design_c), words.units.celsius)),
    zone.reheat_w > 0 && cell(f.reheat, quantity(fmt.watts(zone.reheat_w), "W")),
    cell(f.plates, el("span", { class: plates.short ? "short" : null }, plates.text)),
  );
}

/**
 * The room unfolded, inked by share.
 *
 * @param {Pick<Sheet, "document" | "fmt" | "nameOf">} sheet
 * @param {Pick<ZoneDesign, "id" | "name" | "heat_loss_w">} zone
 * @param {Share[]} found
 * @param {(place: Place) => void} pick
 * @param {Place | null} [selected]
 * @returns {import("/js/forms/developed-room.js").RoomValue}
 */
export function unfolded({ document, fmt, nameOf }, zone, found, pick, selected = null) {
  const said = found
    .filter(({ ink }) => ink !== 0)
    .map(({ part, share }) => `${partName(part, zone.id, nameOf)} ${words.withUnit(fmt.whole(100 * share), "%")}`);
  return {
    lanes: unfold(document.zone, zone.id),
    shares: found,
    selected,
    summary: words.design.summary(zone.name, words.withUnit(fmt.watts(zone.heat_loss_w), words.units.watt), said),
    pick,
  };
}

/** @param {Place} place */
export const placeKey = ({ zone, element, kind }) => (element === null ? kind : `${zone}/${element}`);

/**
 * @param {Sheet} sheet
 * @param {ZoneDesign} zone
 * @param {Share[]} found
 */
function shareList(sheet, zone, found) {
  const { fmt, nameOf } = sheet;
  const list = /** @type {HeatShares} */ (el("heat-shares"));
  list.value = {
    unit: words.units.watt,
    rows: found.map(({ number, part, share, ink }) => ({
      number,
      name: partName(part, zone.id, nameOf),
      hint: hint(part, fmt, nameOf),
      share,
      ink,
      percent: percentInWords(share, fmt),
      watts: fmt.watts(part.w),
      more: () => working(sheet, linesOf(zone, part), partName(part, zone.id, nameOf)),
      place: placeKey(part),
    })),
  };
  return list;
}

/**
 * @param {import("/js/api.js").LossPart} part
 * @param {Sheet["fmt"]} fmt
 * @param {Sheet["nameOf"]} nameOf
 */
function hint(part, fmt, nameOf) {
  if (part.area_m2 === null || part.u_w_per_m2k === null) return words.withUnit(fmt.twoDecimals(part.w_per_k), "W/K");
  const area = words.withUnit(fmt.oneDecimal(part.area_m2), "m²");
  return `${area}, U${words.NARROW}${fmt.twoDecimals(part.u_w_per_m2k)}, ${beyondInWords(part, nameOf)}`;
}

/**
 * Notes beside the figures: what may not be right, and what to measure first.
 *
 * @param {Sheet} sheet
 * @param {ZoneDesign} zone
 */
function margin({ fmt }, zone) {
  const known = zone.inputs.filter(({ low, high }) => low !== null || high !== null);
  return el(
    "aside",
    { class: "margin" },
    zone.warnings.length > 0 && el("h2", {}, words.design.notes),
    ...zone.warnings.map((text) => el("p", { class: "note" }, bound(text))),
    el("h2", {}, words.design.sure),
    el("p", { class: "band" }, `${words.withUnit(fmt.watts(zone.heat_loss_w), "W")}: ${bandInWords(zone, fmt)}.`),
    zone.measure_first && el("p", {}, bound(zone.measure_first)),
    zone.inputs.length > 0 &&
      el(
        "details",
        { class: "tabular", open: known.length > 0 && WIDE.matches },
        el("summary", {}, words.design.uncertain.title),
        table(uncertainTable(zone, fmt)),
      ),
    zone.beside.length > 0 && usual(zone, fmt),
  );
}

/**
 * The figures beside what is usual and what a rule of thumb says; the rule recommends nothing.
 *
 * @param {ZoneDesign} zone
 * @param {Sheet["fmt"]} fmt
 */
function usual({ beside }, fmt) {
  const u = words.design.usual;
  const rows = beside.map(({ item, value, unit, low, high, standing, source }) => {
    const figure = (/** @type {number} */ each) => (unit === words.units.watt ? fmt.watts(each) : fmt.worked(each));
    return [item, words.withUnit(figure(value), unit), words.check.range(figure(low), figure(high)), standing, source];
  });
  return el(
    "details",
    { class: "tabular" },
    el("summary", {}, u.title),
    table({ caption: u.title, columns: u.columns, rows }),
    ...beside.filter(({ sentence }) => sentence).map(({ sentence }) => el("p", { class: "small" }, bound(sentence))),
  );
}

/**
 * @param {ZoneDesign} zone
 * @param {Sheet["fmt"]} fmt
 */
function uncertainTable({ inputs }, fmt) {
  const u = words.design.uncertain;
  const figure = (/** @type {number | null} */ value) => (value === null ? u.none : fmt.worked(value));
  const rows = inputs.map(({ name, kind, value, low, high, down_w, up_w, tenth_w }) => {
    const limited = low !== null || high !== null;
    const moves = limited
      ? u.moves(fmt.watts(down_w), fmt.watts(up_w))
      : tenth_w === null
        ? u.none
        : u.tenth(fmt.watts(tenth_w));
    return [name, kind, figure(value), limited ? words.check.range(figure(low), figure(high)) : u.none, moves];
  });
  return { caption: u.title, columns: u.columns, rows };
}

/**
 * Heaters that would do, asked for when the sheet is there: nobody waits for them.
 *
 * @param {Sheet} sheet
 * @param {ZoneDesign} zone
 */
function heaters({ fmt }, zone) {
  const list = /** @type {import("/js/forms/heater-options.js").HeaterOptions} */ (
    el("heater-options", {}, el("p", { class: "small", role: "status" }, words.design.options.loading))
  );
  api.options(zone.id).then(
    (found) => list.update(found, fmt),
    (problem) => list.replaceChildren(el("p", { class: "note" }, `${words.design.options.failed} ${problemInWords(problem)}`)),
  );
  return list;
}

/**
 * @param {Pick<Sheet, "fmt" | "nameOf">} sheet
 * @param {import("/js/api.js").WorkingLine[]} lines
 * @param {string} caption
 */
export function working({ fmt, nameOf }, lines, caption) {
  const sheet = /** @type {import("/js/forms/working-sheet.js").WorkingSheet} */ (el("working-sheet"));
  sheet.value = {
    caption,
    lines: lines.map((line) => ({
      item: itemInWords(line.item, nameOf),
      formula: line.formula,
      inputs: Object.entries(line.inputs).map(([key, value]) => inputInWords(key, value, fmt, nameOf)),
      value: valueInWords(line, fmt),
      unit: line.unit,
      source: line.source,
      sum: SUMS.includes(line.item),
    })),
  };
  return sheet;
}

/** Where the margin stands beside the sheet, its tables push nothing away. */
const WIDE = matchMedia("(min-width: 1120px)");
/** Lines that close a part of the sheet. */
const SUMS = ["heat loss coefficient", "total", "coefficient in use"];
