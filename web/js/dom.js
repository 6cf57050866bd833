/** Building nodes without markup strings: whatever a house file or a heater says can only ever become text. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @typedef {Node | string | null | undefined | false} Child
 * @typedef {Record<string, string | number | boolean | null | undefined | EventListener>} Attributes
 */

/**
 * Make an HTML element. `class`, `aria-*` and the rest are attributes; a function is a listener; null leaves out.
 *
 * @param {string} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {HTMLElement}
 */
export function el(tag, attributes = {}, ...children) {
  return furnish(document.createElement(tag), attributes, children);
}

/**
 * Make an SVG element. Coordinates may be percentages, so a drawing follows its column without being measured.
 *
 * @param {string} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {SVGElement}
 */
export function svg(tag, attributes = {}, ...children) {
  return furnish(/** @type {SVGElement} */ (document.createElementNS(SVG, tag)), attributes, children);
}

/**
 * Put text into a node only if it differs: an untouched node is not announced again and keeps its selection.
 *
 * @param {Element | null} node
 * @param {string} text
 */
export function say(node, text) {
  if (node && node.textContent !== text) node.textContent = text;
}

/**
 * A quantity as the sheet writes it: tabular figures, then a thin space and the unit in a lighter weight.
 *
 * @param {string} figure
 * @param {string} unit
 * @returns {HTMLElement}
 */
export function quantity(figure, unit) {
  return el("span", { class: "quantity" }, el("b", {}, figure), el("span", { class: "unit" }, `\u202f${unit}`));
}

/**
 * @template {Element} T
 * @param {T} node
 * @param {Attributes} attributes
 * @param {Child[]} children
 * @returns {T}
 */
function furnish(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") node.addEventListener(name, value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== null && value !== undefined && value !== false) node.setAttribute(name, String(value));
  }
  for (const child of children) {
    if (child !== null && child !== undefined && child !== false) node.append(child);
  }
  return node;
}
