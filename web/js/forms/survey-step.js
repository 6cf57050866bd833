/** The steps of the survey: which fields stand on each of them. */

import { el } from "/js/dom.js";
import { choiceField, modeField, numberField, textField } from "/js/forms/survey-field.js";
import { originFields, pieceFields } from "/js/forms/survey-piece.js";
import { add, freeName, given } from "/js/survey.js";
import { housing } from "/js/unfold.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/forms/survey-field.js").Hand & {
 *   cool: number | null, beyonds: Record<string, string>, go: (element: number) => void, take: (element: number) => void,
 * }} StepHand `cool`: the room's level where it is below what is safe; `beyonds`: other
 *   rooms and spaces by how the file names them; `go` to the step of a piece, `take` a piece away
 * @typedef {import("/js/survey.js").Step} Step
 */

/**
 * @param {StepHand} hand
 * @param {Step} step
 * @returns {(Node | false)[]}
 */
export function stepFields(hand, step) {
  if (step.key === "room") return roomFields(hand);
  if (step.key === "air") return airFields(hand);
  if (step.key === "wall") return wallFields(hand, Number(step.element));
  if (step.key === "walls") return [el("p", {}, words.alone.walls), el("p", { class: "adding" }, adder(hand, "wall", null))];
  return levelFields(hand, step.key);
}

/**
 * What fields there are, to tell whether others are needed.
 *
 * @param {Iterable<Node>} nodes
 */
export const shape = (nodes) =>
  [...nodes].flatMap((node) => [.../** @type {Element} */ (node).querySelectorAll("input, option, button")]).map(named).join();

/** @param {Element} node */
const named = (node) => `${node.id} ${node instanceof HTMLOptionElement ? node.value : ""} ${node.textContent}`;

/** @param {StepHand} hand */
function roomFields(hand) {
  const { zone } = hand;
  const mode = zone.volume_m3 !== undefined ? "volume_m3" : "height_m";
  const height = { label: words.fields[mode], unit: words.units[mode], also: [["volume_m3"], ["height_m"]], hold: true };
  return [
    textField(hand, ["name"], { label: words.fields.name, also: [["id"]] }),
    choiceField(hand, ["use"], { label: words.fields.use }, words.choices.use, "living"),
    numberField(hand, ["floor_area_m2"], { label: words.fields.floor_area_m2, unit: words.units.floor_area_m2, hint: words.fields.floorHint }),
    modeField(hand, ["height-given"], { label: words.fields.height }, words.choices.height, mode, (chosen) => {
      delete zone.height_m;
      delete zone.volume_m3;
      zone[chosen] = "";
    }),
    numberField(hand, [mode], height),
    highRoom(zone) && numberField(hand, ["air_gradient_k_per_m"], { label: words.fields.air_gradient_k_per_m, unit: words.units.air_gradient_k_per_m, hint: words.fields.gradientHint }),
    numberField(hand, ["design_c"], { label: words.fields.design_c, unit: words.units.design_c }),
    choiceField(hand, ["thermal_mass"], { label: words.fields.thermal_mass }, words.choices.thermal_mass, "medium"),
    numberField(hand, ["built"], { label: words.fields.built, hint: words.fields.builtHint }),
    ...peopleFields(hand),
  ];
}

/**
 * Someone vulnerable is kept below 18 °C only with a reason; it is asked for where the room's level is below that.
 *
 * @param {StepHand} hand
 */
function peopleFields(hand) {
  const { zone } = hand;
  const change = modeField(hand, ["vulnerable"], { label: words.fields.vulnerable, hint: words.fields.vulnerableHint, wide: true }, words.choices.vulnerable, zone.vulnerable ? "yes" : "no", (chosen) => {
    delete zone.vulnerable;
    if (chosen === "yes") zone.vulnerable = true;
    else delete zone.cooler_reason;
  });
  const level = hand.cool;
  if (!zone.vulnerable || (level === null && !given(zone.cooler_reason))) return [change];
  const hint = level === null ? words.fields.coolerKept : words.coolerCaution(`${level}`);
  return [change, textField(hand, ["cooler_reason"], { label: words.fields.cooler_reason, hint, wide: true, also: [["levels.occupied_c"], ["levels", "occupied_c"]] })];
}

/**
 * From 4 m on, warmer air above counts.
 *
 * @param {import("/js/api.js").Fields} zone
 */
const highRoom = ({ height_m, volume_m3, floor_area_m2 }) => (Number(height_m) || Number(volume_m3) / Number(floor_area_m2)) >= 4;

/** @param {StepHand} hand */
function airFields(hand) {
  const { zone } = hand;
  const bridges = zone.bridges_typical ? "bridges_typical" : zone.bridges_w_per_m2k !== undefined ? "bridges_w_per_m2k" : "bridges_percent";
  const reheat = zone.warm_up_h !== undefined ? "warm_up_h" : "reheat_w_per_m2";
  const number = (/** @type {"air_changes_per_h"} */ key, hint = "") => numberField(hand, [key], { label: words.fields[key], unit: words.units[key], hint });
  return [
    number("air_changes_per_h"),
    ...originFields(hand, [], "air_changes_per_h"),
    number(/** @type {any} */ ("air_changes_in_use_per_h"), words.fields.inUseHint),
    modeField(hand, ["bridges-given"], { label: words.fields.bridges, also: [["bridges_typical"]] }, words.choices.bridges, bridges, (chosen) => {
      for (const key of Object.keys(words.choices.bridges)) delete zone[key];
      if (chosen !== "bridges_percent") zone[chosen] = chosen === "bridges_typical" ? true : "";
    }),
    bridges !== "bridges_typical" && numberField(hand, [bridges], { label: words.fields[bridges], unit: words.units[bridges], hold: bridges === "bridges_w_per_m2k" }),
    modeField(hand, ["reheat-given"], { label: words.fields.warmUp }, words.choices.reheat, reheat, (chosen) => {
      delete zone.reheat_w_per_m2;
      delete zone.warm_up_h;
      if (chosen === "warm_up_h") zone.warm_up_h = 1;
    }),
    numberField(hand, [reheat], { label: words.fields[reheat], unit: words.units[reheat], hold: reheat === "warm_up_h" }),
  ];
}

/**
 * @param {StepHand} hand
 * @param {number} element
 */
function wallFields(hand, element) {
  const { name } = hand.zone.element[element];
  const { openings = [] } = housing(hand.zone).find((each) => each.element === element) ?? {};
  return [
    ...pieceFields(hand, element, hand.beyonds),
    el("h3", {}, words.openingsOf(name)),
    ...openings.map((place) => opening(hand, place)),
    el("p", { class: "adding" }, adder(hand, "window", element), adder(hand, "door", element)),
    el("p", { class: "adding" }, remover(hand, element), adder(hand, "wall", null, words.add.another)),
  ];
}

/**
 * Floor or ceiling: all its pieces on one step.
 *
 * @param {StepHand} hand
 * @param {"floor" | "ceiling"} lane
 */
function levelFields(hand, lane) {
  const found = housing(hand.zone).filter((each) => each.lane === lane);
  const pieces = found.flatMap(({ element, openings }) => [
    el(
      "fieldset",
      { class: "piece" },
      el("legend", {}, hand.zone.element[element].name || words.pieces[lane]),
      ...pieceFields(hand, element, hand.beyonds),
      ...openings.map((place) => opening(hand, place)),
      el("p", { class: "adding" }, lane === "ceiling" && adder(hand, "rooflight", element), remover(hand, element)),
    ),
  ]);
  return [
    ...pieces,
    found.length === 0 && el("p", {}, words.alone[lane]),
    el("p", { class: "adding" }, adder(hand, lane, null, found.length ? words.add.piece : words.add[lane])),
  ];
}

/**
 * @param {StepHand} hand
 * @param {number} element
 */
function opening(hand, element) {
  return el(
    "fieldset",
    { class: "piece" },
    el("legend", {}, hand.zone.element[element].name || words.pieces.window),
    ...pieceFields(hand, element, hand.beyonds),
    el("p", { class: "adding" }, remover(hand, element)),
  );
}

/**
 * @param {StepHand} hand
 * @param {number} element
 */
function remover(hand, element) {
  const name = hand.zone.element[element].name || words.pieces.wall;
  return el("button", { type: "button", class: "quiet", click: () => hand.take(element) }, words.remove(name));
}

/**
 * @param {StepHand} hand
 * @param {keyof typeof words.pieces} what
 * @param {number | null} host
 * @param {string} [label]
 */
function adder(hand, what, host, label = words.add[what]) {
  const act = () => {
    const fields = { ...blank(hand.zone, what), name: freeName(hand.zone, words.pieces[what]) };
    const place = add(hand.zone, fields, host);
    hand.touched();
    hand.go(place);
  };
  return el("button", { type: "button", click: act }, label);
}

/**
 * A new piece with what is known of it: a floor is as large as the room, a wall as high.
 *
 * @param {import("/js/api.js").Fields} zone
 * @param {keyof typeof words.pieces} what
 * @returns {import("/js/api.js").Fields}
 */
function blank(zone, what) {
  const area = typeof zone.floor_area_m2 === "number" ? { area_m2: zone.floor_area_m2 } : { area_m2: "" };
  if (what === "floor") return { kind: "ground-floor", ...area, beyond: "ground", ground: { floor: "slab" } };
  if (what === "ceiling") return { kind: "roof", ...area };
  if (what === "wall") return { kind: "wall", ...(typeof zone.height_m === "number" ? { height_m: zone.height_m } : {}) };
  return { kind: what };
}
