/** Every form in every state on one sheet, with invented data: for those who draw them and those who check them. */

import "/js/forms/house-row.js";
import "/js/forms/scale-axis.js";
import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import "/js/forms/verdict-row.js";
import "/js/forms/zone-row.js";
import { el } from "/js/dom.js";
import { formats } from "/js/format.js";
import { byRatio, coefficientScale } from "/js/judge.js";
import { attentionOrder } from "/js/present.js";
import { degreeScale } from "/js/scale.js";
import { NOW, assessment, house, notices, zones } from "/js/pages/specimens.js";
import { LOCALE, units } from "/js/words.js";

/** @typedef {import("/js/forms/zone-row.js").ZoneRow} ZoneRow */

const fmt = formats({ locale: LOCALE, timeZone: house.timezone });
const nowMs = Date.parse(NOW);
const degrees = degreeScale([house.outdoor_c, ...zones.map(({ temp_c }) => temp_c)]);
const coefficients = coefficientScale(assessment.zones);

/** @param {string} id */
const part = (id) => /** @type {any} */ (document.getElementById(id));

const wanting = zones.filter(({ id }) => notices.some(({ zone }) => zone === id));
part("house").update(house, { fmt, nowMs, wanting, offline: false });
part("bare-house").update(
  {
    ...house,
    power_w: null,
    cap_w: null,
    energy_today_wh: null,
    energy_quality: null,
    money_today: null,
    outdoor_c: null,
    outdoor_t: null,
  },
  { fmt, nowMs, wanting: [], offline: true },
);

part("degrees").value = { scale: degrees, unit: units.celsius, format: fmt.level };
for (const id of attentionOrder(zones, notices)) {
  const zone = /** @type {import("/js/api.js").ZoneNow} */ (zones.find((zone) => zone.id === id));
  const row = /** @type {ZoneRow} */ (el("zone-row", { "data-zone": id }));
  // Answers as ingle would for a room that takes what it is asked.
  row.ask = async (_, request) => ({ ...zone, held: request.do !== "release", wanted_c: request.temp_c ?? zone.wanted_c });
  part("zones").append(el("li", { id: `zone-${id}` }, row));
  row.update(zone, {
    fmt,
    scale: degrees,
    nowMs,
    outdoorC: house.outdoor_c,
    offline: false,
    trend: zone.state === "warming" ? 1 : zone.state === "coasting" ? -1 : 0,
    notices: notices.filter((notice) => notice.zone === id),
  });
}
part("zones").querySelector("#zone-room-2 zone-row").open(1);
part("zones").querySelector("hold-panel").problem = "Room 2 may be held between 12 and 22 °C. Allowed: 12 to 22.";

part("coefficients").value = { scale: coefficients, unit: units.coefficient, format: fmt.level };
for (const zone of byRatio(assessment.zones)) {
  const row = /** @type {import("/js/forms/verdict-row.js").VerdictRow} */ (el("verdict-row"));
  part("verdicts").append(el("li", {}, row));
  row.update(zone, coefficients, fmt);
}
document.body.classList.remove("loading");
/** @type {HTMLElement | null} */ (document.activeElement)?.blur();
