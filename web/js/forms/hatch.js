/**
 * The hatches: patterns that all drawings of a page share, so that a printer and a forced-colours screen keep them
 * (both drop CSS backgrounds). Colours come from the style sheet.
 */

import { svg } from "/js/dom.js";

const ID = "hatch-heat";

/** @returns {string} the paint of heat now being given, drawing its pattern on first use */
export function heatHatch() {
  if (!document.getElementById(ID)) document.body.prepend(patterns());
  return `url(#${ID})`;
}

function patterns() {
  return svg(
    "svg",
    { class: "patterns", width: 0, height: 0, "aria-hidden": "true", focusable: "false" },
    svg(
      "defs",
      {},
      svg(
        "pattern",
        { id: ID, width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
        svg("rect", { class: "hatch-ground", width: 6, height: 6 }),
        svg("rect", { class: "hatch-line", width: 3, height: 6 }),
      ),
    ),
  );
}
