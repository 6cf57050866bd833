/**
 * `<damp-gauge>`: the humidity at a room's coldest surface as a tick, from where on mould grows as a ruled band, and the
 * room's own humidity as a small hollow tick.
 */

import { svg } from "/js/dom.js";
import { at, box, frame, label, LANE, sheet, stroke } from "/js/forms/drawing.js";

/**
 * @typedef {{surface: number, room: number | null, limit: number, said: string, figure: (value: number) => string,
 *   summary: string}} DampValue [% relative humidity]
 */

const SCALE = { min: 20, max: 100, ticks: [20, 40, 60, 80, 100] };

export class DampGauge extends HTMLElement {
  /** @param {DampValue} value */
  set value({ surface, room, limit, said, figure, summary }) {
    const drawing = sheet("damp-gauge", summary);
    drawing.append(frame(SCALE, figure), box(SCALE, limit, SCALE.max, 18, "mould"), stroke(SCALE, limit, 18, "mould-line"));
    if (room !== null) drawing.append(at(SCALE, room, svg("rect", { class: "outside", x: -2.5, y: -6, width: 5, height: 12 })));
    drawing.append(stroke(SCALE, surface, 22, "tick"), label(SCALE, surface, LANE.value, "value", 0.06, () => [said]));
    this.replaceChildren(drawing);
  }
}

customElements.define("damp-gauge", DampGauge);
