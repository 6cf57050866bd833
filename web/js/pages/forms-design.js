/** The forms of the Design page on the sheet of all forms: the room's drawings, the survey, and what is said of them. */

import "/js/forms/developed-room.js";
import "/js/forms/heat-shares.js";
import "/js/forms/heater-options.js";
import "/js/forms/load-row.js";
import "/js/forms/remove-room.js";
import "/js/forms/scale-axis.js";
import "/js/forms/step-line.js";
import "/js/forms/survey-bar.js";
import "/js/forms/undo-line.js";
import { el } from "/js/dom.js";
import { sayDoubts, sayFaults } from "/js/forms/survey-field.js";
import { stepFields } from "/js/forms/survey-step.js";
import { formats } from "/js/format.js";
import { bandInWords, partName, percentInWords, shares } from "/js/losses.js";
import { unfolded, working } from "/js/pages/design-room.js";
import { document as house, doubt, faults, options, room } from "/js/pages/specimens-design.js";
import { amountScale } from "/js/scale.js";
import { LOCALE, survey as words, units } from "/js/words.js";

const fmt = formats({ locale: LOCALE, timeZone: "Europe/London" });
const nameOf = (/** @type {string} */ id) => [...house.space, ...house.zone].find((each) => each.id === id)?.name ?? id;
const zone = house.zone[0];
const found = shares(room);
const nothing = () => undefined;

/** @param {string} id */
const part = (id) => /** @type {any} */ (window.document.getElementById(id));

// A room's row: short of plates, over, without a heater or a range.
const scale = amountScale([2500]);
part("watts").value = { scale, unit: units.watt, format: fmt.watts };
for (const each of [room, { ...room, installed_w: 2250, warnings: [] }, { ...room, installed_w: 0, low_w: 1828, high_w: 1828 }]) {
  const row = /** @type {import("/js/forms/load-row.js").LoadRow} */ (el("load-row"));
  part("loads").append(el("li", {}, row));
  row.update(each, scale, fmt, nameOf);
}

// A room unfolded: worked out, and with nothing known yet.
part("unfolded").value = unfolded({ document: house, fmt, nameOf }, room, found, nothing, { zone: zone.id, element: 0, kind: "wall" });
part("unknown").value = unfolded({ document: house, fmt, nameOf }, room, [], nothing);
part("shares").value = {
  unit: units.watt,
  rows: found.map(({ number, part, share, ink }) => ({
    number, name: partName(part, zone.id, nameOf), hint: "", share, ink, percent: percentInWords(share, fmt), watts: fmt.watts(part.w), more: null, place: `${number}`,
  })),
};
part("shares").after(working({ fmt, nameOf }, room.working, "Working"));
part("options").update(options, fmt);
part("removal").value = { document: house, zone, removed: nothing };
part("undo").value = { done: words.saved.done(room.name, "1,828 W"), undo: nothing, gone: nothing };

// The survey: its bar in every state, its steps, and the fields with what is wrong, missing or odd.
const bar = { watts: fmt.watts(room.heat_loss_w), coefficient: fmt.oneDecimal(room.heat_loss_w_per_k), band: bandInWords(room, fmt), stale: false, canSave: true, busy: false };
const states = [
  { ...bar, watts: "", coefficient: "", band: "", canSave: false, state: words.waiting },
  { ...bar, canSave: false, state: words.nothing },
  { ...bar, state: `${words.soFar(["loading door"])} ${words.kept}` },
  { ...bar, busy: true, state: words.kept },
  { ...bar, stale: true, state: words.offline },
];
for (const value of states) {
  const each = /** @type {any} */ (el("survey-bar"));
  part("bars").append(each);
  each.value = value;
}
part("steps").value = [words.step.room, words.step.floor, "quay wall", "wall to Net Loft", words.step.ceiling, words.step.air].map((name, index) => ({
  name, address: "#steps", here: index === 2, wrong: index === 3 ? 1 : 0,
}));
const hand = { zone, cool: 16.5, materials: { "brick-outer": words.choices.material("brick outer", "0.77") }, beyonds: { "zone:net-loft": words.choices.room("Net Loft") }, touched: nothing, redraw: nothing, go: nothing, take: nothing };
const form = part("fields");
const steps = [{ key: "room", element: null }, { key: "wall", element: 0 }, { key: "ceiling", element: null }, { key: "floor", element: null }, { key: "air", element: null }].flatMap((step) =>
  stepFields(hand, /** @type {import("/js/survey.js").Step} */ (step)),
);
form.append(...steps.filter((node) => node !== false));
sayFaults(form, faults);
sayDoubts(form, [doubt]);
