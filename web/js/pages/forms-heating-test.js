/** What a heating test tells, on the sheet of all forms: with a figure, and still without one. */

import { formats } from "/js/format.js";
import { tested } from "/js/forms/heating-test-result.js";
import { LOCALE } from "/js/words.js";

const fmt = formats({ locale: LOCALE, timeZone: "Europe/London" });

/** @param {number} day @param {number} value @param {number} half @param {string | null} [why] */
const night = (day, value, half, why = null) => ({
  date: `2026-01-${day}`,
  power_w: 1210,
  temp_c: 21,
  outdoor_c: 4.2,
  good: why === null,
  why_not: why,
  w_per_k: value,
  low_w_per_k: value - half,
  high_w_per_k: value + half,
});

const room = {
  id: "room-7",
  name: "Room 7",
  design_w_per_k: 42,
  design_low_w_per_k: 36,
  design_high_w_per_k: 49,
  measured_w_per_k: 71.2,
  low_w_per_k: 65.4,
  high_w_per_k: 77,
  time_constant_h: 34,
  good_nights: 3,
  converged: true,
  missing: [],
  nights: [night(13, 73, 11), night(14, 73, 11, "a window or door stood open"), night(15, 71.9, 7), night(16, 71.2, 5.8)],
};
const unsaid = {
  ...room,
  name: "Room 8",
  measured_w_per_k: null,
  low_w_per_k: null,
  high_w_per_k: null,
  time_constant_h: null,
  converged: false,
  missing: ["2 good nights of the 3 it takes at least; the test goes on."],
  nights: room.nights.slice(0, 2),
};

document.getElementById("tested")?.append(tested(room, fmt), tested(unsaid, fmt));
