/** The forms of a room's verdict on the sheet of all forms. */

import "/js/forms/cause-list.js";
import "/js/forms/damp-gauge.js";
import "/js/forms/fit-plot.js";
import "/js/forms/interval-plot.js";
import { el } from "/js/dom.js";
import { fitValue } from "/js/fit.js";
import { formats } from "/js/format.js";
import { asSentence } from "/js/judge.js";
import { looksValue } from "/js/looks.js";
import { days, looks, zone } from "/js/pages/specimens-check.js";
import { causeValue, comparisons, dampValue } from "/js/verdict-facts.js";
import { LOCALE } from "/js/words.js";

const fmt = formats({ locale: LOCALE, timeZone: "Europe/London" });

/** @param {string} id */
const part = (id) => /** @type {any} */ (document.getElementById(id));

part("fit").value = fitValue(zone, days, fmt);
part("short-fit").value = fitValue({ name: "Room 8", against_past: null }, days.slice(9, 13), fmt);
part("looks").value = looksValue(zone.name, looks, fmt);
part("why-so").value = zone.causes.map((cause) => causeValue(cause, fmt));
part("damp").value = dampValue(/** @type {any} */ (zone.moisture), fmt);
part("against-what").append(
  ...comparisons(zone, fmt).map(({ name, said, plot }) => {
    const drawn = /** @type {any} */ (el("interval-plot"));
    drawn.value = plot;
    return el("li", { class: "against" }, el("h3", {}, name), drawn, el("p", {}, asSentence(said)));
  }),
);
