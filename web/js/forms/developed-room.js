/**
 * `<developed-room>`: the room unfolded - ceiling, walls in a strip as one walks round, floor - to one scale.
 *
 * Each surface is hatched by its share of the loss, the darker the more; heat that comes in from a warmer room is hatched
 * the other way. What has no surface, such as air, stands beside the floor in a box. Numbers lead to the list of shares.
 * A press on a surface is a shortcut for the hand; the list beside it does the same by keyboard.
 */

import { el, svg } from "/js/dom.js";
import { gainHatch, lossHatch } from "/js/forms/hatch.js";
import { design as words } from "/js/words.js";

/**
 * @typedef {import("/js/unfold.js").Lane} Lane
 * @typedef {import("/js/unfold.js").Box} Box
 * @typedef {import("/js/losses.js").Share} Share
 * @typedef {{zone: string, element: number | null, kind: string}} Place
 * @typedef {{lanes: Lane[], shares: Share[], selected: Place | null, summary: string,
 *   pick: (place: Place) => void, low?: boolean}} RoomValue `low`: beside a form, which needs the height
 */

/** A small room must not become a poster [px/m], nor a high one push all else away [height per width]. */
const MOST_SCALE = 46;
const MOST_HEIGHT = { low: 0.42, high: 0.75 };
/** The column that it has on paper: 74 mm [px]. Drawn for the screen and shrunk, its figures could not be read. */
const PAPER = 280;
const CAPTION = 20;
const GAP = 12;
const BOX = { width: 52, height: 34 };
const FIGURE = 16;

export class DevelopedRoom extends HTMLElement {
  /** @type {RoomValue | null} */
  #value = null;
  #drawn = "";
  #observer = new ResizeObserver(() => this.#draw());

  #toPaper = () => this.#draw(PAPER);
  #toScreen = () => this.#draw();

  connectedCallback() {
    this.#observer.observe(this);
    addEventListener("beforeprint", this.#toPaper);
    addEventListener("afterprint", this.#toScreen);
  }

  disconnectedCallback() {
    this.#observer.disconnect();
    removeEventListener("beforeprint", this.#toPaper);
    removeEventListener("afterprint", this.#toScreen);
  }

  /** @param {RoomValue} value */
  set value(value) {
    this.#value = value;
    this.#draw();
  }

  #draw(width = Math.floor(this.clientWidth)) {
    if (!this.#value || width === 0) return;
    const { lanes, shares, selected, summary } = this.#value;
    const drawn = JSON.stringify([width, lanes, shares, selected, summary]);
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    this.replaceChildren(...(lanes.length ? [drawing(this.#value, width)] : []));
  }
}

/**
 * @param {RoomValue} value
 * @param {number} width [px]
 */
function drawing(value, width) {
  const { lanes, shares, summary, low } = value;
  const scale = scaleOf(lanes, width, low ? MOST_HEIGHT.low : MOST_HEIGHT.high);
  const sheet = svg("svg", { class: "developed", role: "img", "aria-label": summary, focusable: "false" });
  let y = 0;
  for (const lane of lanes) {
    sheet.append(caption(0, y, words.lanes[lane.name]));
    sheet.append(...lane.surfaces.map((each) => surface(value, each, 1, y + CAPTION, scale)));
    y += CAPTION + lane.height * scale + GAP;
  }
  const floor = lanes.find(({ name }) => name === "floor");
  const beside = floor ? floor.width * scale + 2 * GAP : 0;
  const top = floor ? y - floor.height * scale - GAP - CAPTION : y;
  const wholes = shares.filter(({ part }) => part.element === null);
  const fits = beside + wholes.length * (BOX.width + GAP) <= width;
  const [x, from] = fits ? [beside, top] : [0, y];
  wholes.forEach((share, index) => sheet.append(whole(value, share, x + index * (BOX.width + 2 * GAP), from)));
  const height = Math.max(y, wholes.length ? from + CAPTION + BOX.height + GAP : 0);
  sheet.append(ruler(width, height, scale));
  sheet.setAttribute("viewBox", `0 0 ${width} ${Math.ceil(height + FIGURE + 4)}`);
  return sheet;
}

/**
 * @param {Lane[]} lanes
 * @param {number} width [px]
 * @param {number} most height per width
 * @returns {number} [px/m]
 */
function scaleOf(lanes, width, most) {
  const widest = Math.max(1, ...lanes.map((lane) => lane.width));
  const high = lanes.reduce((sum, lane) => sum + lane.height, 0) || 1;
  return Math.min(MOST_SCALE, (width - 2) / widest, (most * width) / high);
}

/**
 * @param {RoomValue} value
 * @param {import("/js/unfold.js").Surface} each
 * @param {number} x0
 * @param {number} y0
 * @param {number} scale
 */
function surface(value, each, x0, y0, scale) {
  const group = svg("g", {});
  const at = (/** @type {Box} */ box, dx = 0, dy = 0) => ({
    x: x0 + (box.x + dx) * scale,
    y: y0 + (box.y + dy) * scale,
    width: box.width * scale,
    height: box.height * scale,
  });
  const place = at(each);
  group.append(...figure(value, each, place, each.openings.length > 0));
  for (const opening of each.openings) group.append(...figure(value, opening, at(opening, each.x, each.y), false));
  return group;
}

/**
 * A box with its hatch and, where it has room, its number.
 *
 * @param {RoomValue} value
 * @param {{zone: string, element: number | null, kind: string}} what
 * @param {{x: number, y: number, width: number, height: number}} place
 * @param {boolean} aside whether its middle is taken
 * @returns {SVGElement[]}
 */
function figure({ shares, selected, pick }, what, place, aside) {
  const share = shares.find(
    ({ part }) => part.zone === what.zone && part.element === what.element && (part.element !== null || part.kind === what.kind),
  );
  const chosen = selected && selected.zone === what.zone && selected.element === what.element && selected.kind === what.kind;
  const opening = ["window", "door", "rooflight"].includes(what.kind);
  const name = ["surface", opening && "opening", share === undefined && "unknown", chosen && "picked"].filter(Boolean).join(" ");
  const ground = svg("rect", {
    class: name,
    ...place,
    fill: paint(share),
    click: () => pick({ zone: what.zone, element: what.element, kind: what.kind }),
  });
  return share ? [ground, ...number(share, place, aside)] : [ground];
}

/** @param {Share | undefined} share */
function paint(share) {
  if (!share || share.ink === 0) return null;
  return share.ink < 0 ? gainHatch() : lossHatch(share.ink);
}

/**
 * @param {Share} share
 * @param {{x: number, y: number, width: number, height: number}} place
 * @param {boolean} aside
 * @returns {SVGElement[]}
 */
function number({ number }, { x, y, width, height }, aside) {
  const text = `${number}`;
  const wide = 9 * text.length + 7;
  if (width < wide + 2 || height < FIGURE + 2) return [];
  const [cx, cy] = aside ? [x + wide / 2 + 2, y + height - FIGURE / 2 - 2] : [x + width / 2, y + height / 2];
  return [
    svg("rect", { class: "chip", x: cx - wide / 2, y: cy - FIGURE / 2, width: wide, height: FIGURE }),
    svg("text", { class: "number", x: cx, y: cy + 5, "text-anchor": "middle" }, text),
  ];
}

/**
 * @param {RoomValue} value
 * @param {Share} share
 * @param {number} x
 * @param {number} y
 */
function whole(value, share, x, y) {
  const { zone, element, kind } = share.part;
  const place = { x: x + 1, y: y + CAPTION, ...BOX };
  const boxed = figure(value, { zone, element, kind }, place, false);
  boxed[0].classList.add("whole");
  return svg("g", {}, caption(x + 1, y, words.boxes[kind] ?? kind), ...boxed);
}

/**
 * @param {number} x
 * @param {number} y
 * @param {string} text
 */
function caption(x, y, text) {
  return svg("text", { class: "figure", x, y: y + 14 }, text);
}

/**
 * A bar of round length, as on a plan.
 *
 * @param {number} width
 * @param {number} y
 * @param {number} scale
 */
function ruler(width, y, scale) {
  const metres = [10, 5, 2, 1].find((length) => length * scale <= 0.3 * width) ?? 1;
  const end = width - 1;
  const start = end - metres * scale;
  return svg(
    "g",
    {},
    svg("path", { class: "ruler", d: `M ${start} ${y + 4} v 8 M ${start} ${y + 8} H ${end} M ${end} ${y + 4} v 8` }),
    svg("text", { class: "figure", x: start - 6, y: y + 13, "text-anchor": "end" }, words.metres(metres)),
  );
}

customElements.define("developed-room", DevelopedRoom);
