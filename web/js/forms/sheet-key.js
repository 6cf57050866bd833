/** `<sheet-key>`: what the shapes of this page mean, drawn with the shapes themselves. Lists only those it is told. */

import { el, svg } from "/js/dom.js";
import { gainHatch, heatHatch, INKS, lossHatch } from "/js/forms/hatch.js";
import { usedAs } from "/js/forms/use-bars.js";
import { key } from "/js/words.js";

const WIDTH = 40;
const MIDDLE = 12;

/** @type {Record<string, () => SVGElement[]>} */
const SHAPES = {
  band: () => [axis(), svg("rect", { class: "band", x: 12, y: MIDDLE - 8, width: 16, height: 16 })],
  tick: () => [axis(), line(20, 22, "tick")],
  stale: () => [axis(), line(20, 22, "tick stale")],
  outside: () => [axis(), svg("rect", { class: "outside", x: 17.5, y: MIDDLE - 6, width: 5, height: 12 })],
  span: () => [axis(), svg("line", { class: "togo warming", x1: 8, x2: 32, y1: MIDDLE, y2: MIDDLE })],
  proposed: () => [axis(), svg("rect", { class: "proposed", x: 12, y: 1, width: 16, height: 22 })],
  heat: () => [bar(heatHatch(), "heat"), bar(null, "plate heating")],
  held: () => [bar(null, "plate held")],
  lost: () => [bar(null, "plate unreachable")],
  design: () => [axis(), svg("rect", { class: "design", x: 8, y: MIDDLE - 9, width: 24, height: 18 }), line(20, 18, "design-line")],
  plates: () => [axis(), line(20, 24, "plates")],
  inks: () => INKS.map((_, index) => swatch(8 * index, 8, lossHatch(index + 1))),
  gain: () => [swatch(0, 40, gainHatch())],
  used: () => [usedBar("metered")],
  estimated: () => [usedBar("estimated")],
  filled: () => [usedBar("filled")],
  outdoorDay: () => [svg("line", { class: "outdoor", x1: 8, x2: 32, y1: MIDDLE, y2: MIDDLE })],
  said: () => [axis(), svg("rect", { class: "design", x: 8, y: MIDDLE - 8, width: 18, height: 16 }), line(17, 16, "design-line"), line(32, 20, "tick")],
  mark: () => [usedBar("estimated"), svg("line", { class: "mark", x1: 30, x2: 30, y1: 2, y2: 22 })],
  rise: () => [bar(heatHatch(), "step rise")],
  fall: () => [bar(gainHatch(), "step fall")],
  rest: () => [bar("none", "used other")],
  other: () => [bar("none", "used other")],
  prices: () => [svg("rect", { class: "block", x: 0.5, y: 4.5, width: 13, height: 15, fill: "none" }), ...[1, 3, 5].map((ink, index) => svg("rect", { class: "block", x: 13.5 + 8.5 * index, y: 4.5, width: 8.5, height: 15, fill: lossHatch(ink) }))],
  predicted: () => [svg("rect", { class: "fit-band", x: 0, y: MIDDLE - 9, width: WIDTH, height: 18 }), svg("line", { class: "fit-line", x1: 0, x2: WIDTH, y1: MIDDLE, y2: MIDDLE })],
  day: () => [svg("circle", { class: "day", cx: 20, cy: MIDDLE, r: 3.5 })],
  unsure: () => [svg("circle", { class: "day unsure", cx: 20, cy: MIDDLE, r: 3.5 })],
  unused: () => [svg("path", { class: "day unused", d: `M 16.5 ${MIDDLE - 3.5} l 7 7 m -7 0 l 7 -7` })],
  metered: () => interval("as-designed"),
  unsaid: () => interval("cannot-say-yet"),
};

export class SheetKey extends HTMLElement {
  static observedAttributes = ["shapes"];

  connectedCallback() {
    this.#draw();
  }

  attributeChangedCallback() {
    if (this.isConnected) this.#draw();
  }

  #draw() {
    const shapes = (this.getAttribute("shapes") ?? "").split(" ").filter((shape) => shape in SHAPES);
    const items = shapes.map((shape) =>
      el("div", {}, el("dt", {}, drawing(shape)), el("dd", {}, key[/** @type {keyof typeof key} */ (shape)])),
    );
    this.replaceChildren(el("h2", {}, key.title), el("dl", {}, ...items));
    if (!this.hasAttribute("plain")) this.append(el("p", { class: "small" }, key.quality));
  }
}

/** @param {string} shape */
function drawing(shape) {
  return svg("svg", { class: "key-drawing", width: WIDTH, height: 2 * MIDDLE, "aria-hidden": "true" }, ...SHAPES[shape]());
}

/** @param {string} verdict */
function interval(verdict) {
  return [
    axis(),
    svg("line", { class: `metered ${verdict}`, x1: 6, x2: 34, y1: MIDDLE, y2: MIDDLE }),
    line(6, 10, `cap ${verdict}`),
    line(34, 10, `cap ${verdict}`),
    svg("circle", { class: `dot ${verdict}`, cx: 20, cy: MIDDLE, r: 5 }),
  ];
}

/** @param {number} x @param {number} width @param {string} fill */
function swatch(x, width, fill) {
  return svg("rect", { class: "surface", x: x + 0.5, y: MIDDLE - 8, width: width - 1, height: 16, fill });
}

function axis() {
  return svg("line", { class: "axis", x1: 0, x2: WIDTH, y1: MIDDLE, y2: MIDDLE });
}

/** @param {number} x @param {number} height @param {string} name */
function line(x, height, name) {
  return svg("line", { class: name, x1: x, x2: x, y1: MIDDLE - height / 2, y2: MIDDLE + height / 2 });
}

/** @param {import("/js/api.js").Quality} quality */
function usedBar(quality) {
  return svg("rect", usedAs(quality, { x: 1, y: MIDDLE - 6, width: 24, height: 12 }));
}

/** @param {string | null} fill @param {string} name */
function bar(fill, name) {
  return svg("rect", { class: name, x: 1, y: MIDDLE - 6, width: fill ? 24 : 38, height: 12, fill });
}

customElements.define("sheet-key", SheetKey);
