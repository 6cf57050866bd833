/** The fields of one piece of a room's envelope: what it is called, its size, what lies beyond it, and its U-value. */

import { el } from "/js/dom.js";
import { choiceField, modeField, numberField, textField } from "/js/forms/survey-field.js";
import { beyondOf, layerBy, leadsTo, uBy, uMode, withoutLayer } from "/js/piece.js";
import { forget, put, rename, sizedAs, sizeMode } from "/js/survey.js";
import { isOpening } from "/js/unfold.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/forms/survey-field.js").Hand} Hand
 * @typedef {import("/js/survey.js").Path} Path
 */

/**
 * @param {Hand} hand
 * @param {number} element
 * @param {Record<string, string>} beyonds names of the other rooms and spaces, by how the file names them
 * @returns {(Node | false)[]}
 */
export function pieceFields(hand, element, beyonds) {
  const fields = hand.zone.element[element];
  const opening = isOpening(fields.kind);
  return [
    textField(hand, ["element", element, "name"], { label: words.fields.name }, (name) => rename(hand.zone, element, name)),
    ...(opening ? [kindField(hand, element)] : beyondFields(hand, element, beyonds)),
    ...sizeFields(hand, element),
    ...uFields(hand, element),
    opening && fields.kind !== "door" && facesField(hand, element),
  ];
}

/**
 * @param {Hand} hand
 * @param {number} element
 */
function kindField(hand, element) {
  return choiceField(hand, ["element", element, "kind"], { label: words.fields.kind }, words.choices.opening, "window");
}

/**
 * @param {Hand} hand
 * @param {number} element
 */
function facesField(hand, element) {
  return choiceField(hand, ["element", element, "faces_deg"], { label: words.fields.faces_deg }, words.choices.faces, "");
}

/**
 * @param {Hand} hand
 * @param {number} element
 */
function sizeFields(hand, element) {
  const base = ["element", element];
  const mode = sizeMode(hand.zone.element[element]);
  const listed = hand.zone.element[element].openings ?? [];
  const change = modeField(hand, [...base, "size"], { label: words.fields.size }, words.choices.size, mode, (chosen) =>
    sizedAs(hand.zone, element, /** @type {"sides" | "area"} */ (chosen)),
  );
  if (mode === "area") {
    const hint = NET.includes(hand.zone.element[element].kind) ? words.fields.net : "";
    return [change, numberField(hand, [...base, "area_m2"], { label: words.fields.area_m2, unit: words.units.area_m2, hint, hold: true })];
  }
  const also = [[...base, "area_m2"], [...base, "openings"], ...listed.map((_, index) => [...base, "openings", index])];
  return [
    change,
    numberField(hand, [...base, "width_m"], { label: words.fields.width_m, unit: words.units.width_m, also }),
    numberField(hand, [...base, "height_m"], { label: words.fields.tall, unit: words.units.height_m }),
  ];
}

/**
 * @param {Hand} hand
 * @param {number} element
 * @param {Record<string, string>} beyonds
 */
function beyondFields(hand, element, beyonds) {
  const base = ["element", element];
  const fields = hand.zone.element[element];
  const beyond = beyondOf(fields);
  const options = { ...words.choices.beyond, ...beyonds };
  const change = modeField(hand, [...base, "beyond"], { label: words.fields.beyond }, options, beyond, (chosen) => leadsTo(fields, chosen));
  if (beyond === "typical") return [change, kindOfSpace(hand, base, fields)];
  const key = { factor: "factor", temperature: "temperature_c" }[beyond];
  if (key === undefined) return [change];
  const look = { label: words.fields[/** @type {"factor"} */ (key)], unit: /** @type {Record<string, string>} */ (words.units)[key], hold: true };
  return [change, numberField(hand, [...base, "beyond", key], look), ...originFields(hand, base, `beyond.${key}`)];
}

/**
 * The sort of an unheated space; how cold it usually is comes from a table, and is assumed.
 *
 * @param {Hand} hand
 * @param {Path} base
 * @param {import("/js/api.js").Fields} fields
 */
function kindOfSpace(hand, base, fields) {
  const kinds = Object.entries(words.unheated).map(([kind, { name, factor }]) => [kind, words.choices.kindOfSpace(name, factor)]);
  const options = { "": words.choices.noKind, ...Object.fromEntries(kinds) };
  const look = { label: words.fields.kindOfSpace, hint: words.fields.kindHint, wide: true };
  return modeField(hand, [...base, "beyond", "typical"], look, options, fields.beyond.typical, (kind) => {
    fields.beyond = { typical: kind };
    forget(fields, ["beyond"]); // Limits were those of the kind before.
  });
}

/**
 * @param {Hand} hand
 * @param {number} element
 */
function uFields(hand, element) {
  const fields = hand.zone.element[element];
  const mode = uMode(fields);
  const offers = constructionsOf(fields);
  const ways = /** @type {Record<string, string>} */ ({ ...words.choices.u });
  if (beyondOf(fields) !== "ground") delete ways.ground;
  if (Object.keys(offers).length === 0) delete ways.typical;
  const change = modeField(hand, ["element", element, "how"], { label: words.fields.how }, ways, mode, (chosen) =>
    uBy(fields, /** @type {"given"} */ (chosen), Object.keys(offers)[0]),
  );
  return [change, ...{ given, typical, layers, ground }[mode](hand, ["element", element], fields)];
}

/** @param {import("/js/api.js").Fields} fields @returns {Record<string, string>} */
function constructionsOf({ kind }) {
  if (isOpening(kind)) return words.constructions.opening;
  return words.constructions[kind === "party" ? "wall" : kind] ?? {};
}

/**
 * @param {Hand} hand
 * @param {Path} base
 */
function given(hand, base) {
  const path = [...base, "u_w_per_m2k"];
  return [numberField(hand, path, { label: words.fields.u_w_per_m2k, unit: words.units.u_w_per_m2k }), ...originFields(hand, base, "u_w_per_m2k")];
}

/**
 * How a number is known: measured, seen, assumed, and between which limits.
 *
 * @param {Hand} hand
 * @param {Path} base of the table that holds the number
 * @param {string} key
 * @returns {Node[]}
 */
export function originFields(hand, base, key) {
  const path = [...base, "provenance", key];
  const found = base.length ? hand.zone.element[base[1]].provenance?.[key] : hand.zone.provenance?.[key];
  const unit = /** @type {Record<string, string>} */ (words.units)[key];
  const change = modeField(hand, [...path, "kind"], { label: words.fields.origin, also: [path] }, words.choices.origin, found?.kind ?? "", (kind) =>
    kind === "" ? put(hand.zone, path, undefined) : put(hand.zone, [...path, "kind"], kind),
  );
  if (!found) return [change];
  return [
    change,
    numberField(hand, [...path, "low"], { label: words.fields.low, unit }),
    numberField(hand, [...path, "high"], { label: words.fields.high, unit }),
    textField(hand, [...path, "note"], { label: words.fields.note }),
  ];
}

/**
 * @param {Hand} hand
 * @param {Path} base
 * @param {import("/js/api.js").Fields} fields
 */
function typical(hand, base, fields) {
  const path = [...base, "typical"];
  const { construction } = fields.typical;
  const number = (/** @type {keyof typeof words.units} */ key) => numberField(hand, [...path, key], { label: words.fields[key], unit: words.units[key] });
  const stone = construction === "granite" || construction === "sandstone";
  const glass = construction === "double-glazing";
  return [
    modeField(hand, [...path, "construction"], { label: words.fields.construction, also: [path] }, constructionsOf(fields), construction, (chosen) => {
      fields.typical = { ...fields.typical, construction: chosen };
    }),
    numberField(hand, [...path, "built"], { label: words.fields.pieceBuilt }),
    ...(isOpening(fields.kind) ? [] : [number("insulation_mm")]),
    ...(stone ? [number("thickness_mm")] : []),
    ...(glass ? [number("gap_mm")] : []),
  ];
}

/**
 * @param {Hand} hand
 * @param {Path} base
 * @param {import("/js/api.js").Fields} fields
 */
function ground(hand, base, fields) {
  const path = [...base, "ground"];
  const number = (/** @type {"perimeter_m" | "wall_mm" | "insulation_r" | "depth_m"} */ key, hint = "") =>
    numberField(hand, [...path, key], { label: words.fields[key], unit: words.units[key], hint });
  return [
    modeField(hand, [...path, "floor"], { label: words.fields.floorKind, also: [path] }, words.choices.ground, fields.ground.floor ?? "slab", (floor) => {
      fields.ground.floor = floor;
    }),
    number("perimeter_m", words.fields.perimeterHint),
    number("wall_mm"),
    number("insulation_r"),
    ...(fields.ground.floor === "basement" ? [number("depth_m")] : []),
    moreOfGround(fields.ground, number),
  ];
}

/**
 * What few know of the ground: unfolded where something is given.
 *
 * @param {import("/js/api.js").Fields} ground
 * @param {(key: any, hint?: string) => Node} number
 */
function moreOfGround(ground, number) {
  const open = ground.soil_lambda !== undefined || ground.water_table_m !== undefined;
  const fields = [number("soil_lambda", words.fields.soilHint), number("water_table_m", words.fields.waterHint)];
  return el("details", { class: "more-of tabular", open }, el("summary", {}, words.moreOfGround), el("div", { class: "pair" }, ...fields));
}

/** Kinds that may have openings. */
const NET = ["wall", "party", "roof"];
/** The keys that a layer is given by. @type {Record<string, string[]>} */
const LAYER_KEYS = { material: ["material", "mm"], lambda: ["lambda", "mm"], air: ["air_mm"], r: ["r"] };

/**
 * @param {Hand} hand
 * @param {Path} base
 * @param {import("/js/api.js").Fields} fields
 */
function layers(hand, base, fields) {
  const path = [...base, "layers"];
  /** @type {import("/js/api.js").Fields[]} */
  const list = fields.layers;
  const more = el("button", { type: "button", click: () => change(hand, () => list.push({})) }, words.add.layer);
  return [el("div", { class: "layers" }, ...list.map((layer, index) => layerFields(hand, [...path, index], fields)), more)];
}

/**
 * @param {Hand} hand
 * @param {Path} path
 * @param {import("/js/api.js").Fields} fields
 */
function layerFields(hand, path, fields) {
  const index = Number(path.at(-1));
  const layer = fields.layers[index];
  const name = words.fields.layer(index + 1);
  const mode = "air_mm" in layer ? "air" : "r" in layer ? "r" : "lambda" in layer ? "lambda" : "material";
  const keys = LAYER_KEYS[mode];
  const way = modeField(hand, [...path, "given"], { label: words.fields.layerKind, also: [path] }, words.choices.layer, mode, (chosen) => {
    layerBy(fields, index, LAYER_KEYS[chosen]);
    if (chosen !== "material") layer[LAYER_KEYS[chosen][0]] ??= "";
  });
  const boxes = keys.map((key) => {
    const look = { label: words.fields[/** @type {"mm"} */ (key)], unit: /** @type {Record<string, string>} */ (words.units)[key], hold: true };
    return key === "material" ? materialField(hand, [...path, key], look) : numberField(hand, [...path, key], look);
  });
  const away = el("button", { type: "button", class: "quiet", click: () => change(hand, () => withoutLayer(fields, index)) }, words.remove(name.split(",")[0].toLowerCase()));
  return el("fieldset", { class: "layer" }, el("legend", {}, name), way, ...boxes, fields.layers.length > 1 && away);
}

/**
 * A material is picked from ingle's table; where that could not be read, its name is typed.
 *
 * @param {Hand} hand
 * @param {Path} path
 * @param {import("/js/forms/survey-field.js").Look} look
 */
function materialField(hand, path, look) {
  if (Object.keys(hand.materials).length === 0) return textField(hand, path, { ...look, hint: words.fields.materialHint });
  return choiceField(hand, path, look, { "": words.choices.noMaterial, ...hand.materials }, "");
}

/**
 * @param {Hand} hand
 * @param {() => unknown} act
 */
function change(hand, act) {
  act();
  hand.touched();
  hand.redraw();
}
