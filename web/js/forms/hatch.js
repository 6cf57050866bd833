/**
 * The hatches: patterns that all drawings of a page share, so that a printer and a forced-colours screen keep them
 * (both drop CSS backgrounds). Colours come from the style sheet.
 */

import { svg } from "/js/dom.js";

const ID = "hatch-heat";
const PITCH = 6;
/** How thick the lines are by ink, of a pitch of 6 px: the more a surface loses, the darker it is drawn. */
export const INKS = [0.7, 1.3, 2.1, 3.1, 4.4];

/** @returns {string} the paint of heat now being given, drawing its pattern on first use */
export function heatHatch() {
  return paint(ID);
}

/** @param {number} ink 1 to 5 @returns {string} the paint of a surface that loses heat */
export function lossHatch(ink) {
  return paint(`hatch-loss-${ink}`);
}

/** @returns {string} the paint of a surface through which heat comes in: the other way, and cool */
export function gainHatch() {
  return paint("hatch-gain");
}

/** @param {string} id */
function paint(id) {
  if (!document.getElementById(ID)) document.body.prepend(patterns());
  return `url(#${id})`;
}

function patterns() {
  return svg(
    "svg",
    { class: "patterns", width: 0, height: 0, "aria-hidden": "true", focusable: "false" },
    svg(
      "defs",
      {},
      pattern(ID, "hatch-line", 3, 45),
      ...INKS.map((width, index) => pattern(`hatch-loss-${index + 1}`, "hatch-line", width, 45)),
      pattern("hatch-gain", "hatch-cool", 1.3, 135),
    ),
  );
}

/**
 * @param {string} id
 * @param {string} name class of the lines
 * @param {number} width of a line [px]
 * @param {number} angle [°]
 */
function pattern(id, name, width, angle) {
  return svg(
    "pattern",
    { id, width: PITCH, height: PITCH, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${angle})` },
    svg("rect", { class: "hatch-ground", width: PITCH, height: PITCH }),
    svg("rect", { class: name, width, height: PITCH }),
  );
}
