/**
 * A piece of a room's envelope as a table of the house file: how its U-value is given, what lies beyond it, and what is
 * known of its numbers. Pure functions, no document.
 */

import { forget, put } from "/js/survey.js";

/** @typedef {import("/js/api.js").Fields} Fields */

/** @param {Fields} fields @returns {"given" | "typical" | "layers" | "ground"} */
export function uMode(fields) {
  if (fields.layers) return "layers";
  if (fields.ground) return "ground";
  return fields.typical ? "typical" : "given";
}

/**
 * Give a U-value another way; the old way is taken out, for a piece has one.
 *
 * @param {Fields} fields
 * @param {"given" | "typical" | "layers" | "ground"} mode
 * @param {string} construction the first on offer
 */
export function uBy(fields, mode, construction) {
  const ways = ["u_w_per_m2k", "typical", "layers", "ground"];
  for (const key of ways) delete fields[key];
  forget(fields, ways);
  if (mode === "typical") fields.typical = { construction };
  if (mode === "layers") fields.layers = [{}];
  if (mode === "ground") fields.ground = { floor: "slab" };
}

/**
 * Give a layer another way: what no longer counts goes, and what was known of it.
 *
 * @param {Fields} fields
 * @param {number} index
 * @param {string[]} keys that the new way has
 */
export function layerBy(fields, index, keys) {
  const layer = fields.layers[index];
  for (const key of ["material", "mm", "lambda", "air_mm", "r"]) {
    if (keys.includes(key)) continue;
    delete layer[key];
    put(fields, ["provenance", `layers.${index + 1}.${key}`], undefined);
  }
}

/**
 * Take a layer out; what is known of the layers behind it moves up with them.
 *
 * @param {Fields} fields
 * @param {number} index
 */
export function withoutLayer(fields, index) {
  fields.layers.splice(index, 1);
  if (!fields.provenance) return;
  const known = Object.entries(fields.provenance).flatMap(([name, origin]) => {
    const [key, place, ...rest] = name.split(".");
    const number = Number(place) - 1;
    if (key !== "layers" || number < index) return [[name, origin]];
    return number === index ? [] : [[[key, number, ...rest].join("."), origin]];
  });
  if (known.length) fields.provenance = Object.fromEntries(known);
  else delete fields.provenance;
}

/** @param {Fields} fields @returns {string} outside, ground, factor, temperature, typical, zone:<id> or space:<id> */
export function beyondOf({ beyond, kind }) {
  if (beyond === undefined) return kind === "ground-floor" ? "ground" : "outside";
  if (typeof beyond === "string") return beyond;
  return ["temperature_c", "typical"].find((key) => key in beyond)?.replace("_c", "") ?? "factor";
}

/**
 * Say what lies beyond a piece. A floor on the ground is a kind of its own, and takes the ground rule with it.
 *
 * @param {Fields} fields
 * @param {string} beyond
 */
export function leadsTo(fields, beyond) {
  const floor = fields.kind === "floor" || fields.kind === "ground-floor";
  fields.beyond = { factor: { factor: 0.5 }, typical: { typical: "" }, temperature: { temperature_c: 10 } }[beyond] ?? beyond;
  forget(fields, ["beyond"]);
  if (floor) fields.kind = beyond === "ground" ? "ground-floor" : "floor";
  if (beyond !== "ground" && fields.ground) {
    delete fields.ground;
    forget(fields, ["ground"]);
  }
  if (beyond === "outside") delete fields.beyond;
  if (fields.kind === "party" && (beyond === "outside" || beyond === "ground")) fields.kind = "wall";
}
