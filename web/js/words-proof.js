/** The words of an explanation in full: what rules spoke, what was read, what metering has found. */

export const heading = "Why, in full";
export const next = "What comes next";
export const rules = "Rules that spoke, the first one rules";
export const ruleColumns = ["Rule", "Says", "Rules now"];
export const yes = "yes";
export const no = "no";
export const readings = (/** @type {string} */ zone) => `Readings of ${zone}, and outside`;
export const readingColumns = ["Source", "What", "Value", "Age", "Quality"];

/** @type {Record<string, string>} */
export const what = {
  temp_c: "temperature",
  setpoint_c: "setpoint",
  power_w: "power",
  voltage_v: "voltage",
  humidity_percent: "humidity",
};

/** @type {Record<string, string>} */
export const kinds = { heater: "heater", sensor: "sensor", outdoor: "outdoor station", meter: "meter" };

export const verdict = "What metering says of the room";
/** @type {Record<string, string>} */
export const verdicts = {
  "loses-more": "It loses more than designed.",
  "loses-less": "It loses less than designed.",
  "as-designed": "It loses about what was designed.",
  "cannot-say-yet": "Cannot say yet.",
};
export const noVerdict = "No verdict on this room has been worked out yet.";
export const cause = (/** @type {string} */ code, /** @type {string} */ evidence) => (evidence ? `${code}: ${evidence}` : code);
export const check = "All verdicts, with their evidence";

export const times = "Why it was so earlier";
export const back = (/** @type {number} */ hours) => (hours === 0 ? "now" : hours === 24 ? "a day ago" : hours === 1 ? "an hour ago" : `${hours} hours ago`);
