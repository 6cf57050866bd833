/**
 * The fields of the survey: one label, one box, its unit, a hint, and beneath it what ingle says is wrong with it.
 *
 * A field knows the path of its value in the room's table; faults find it by that path.
 */

import { el, say } from "/js/dom.js";
import { bound } from "/js/format.js";
import { at, given, put, readNumber } from "/js/survey.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/survey.js").Path} Path
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {{zone: Fields, materials: Record<string, string>, touched: () => void, redraw: () => void}} Hand the room under
 *   the pen; what a layer may be of, in words by id; what typing sets off
 * @typedef {{label: string, hint?: string, unit?: string, also?: Path[], hold?: boolean, wide?: boolean}} Look
 *   `also`: paths whose faults belong here; `hold`: an emptied box still says in which way the value is given; `wide`: as wide as the form
 */

/**
 * @param {Hand} hand
 * @param {Path} path
 * @param {Look} look
 */
export function numberField(hand, path, look) {
  const value = at(hand.zone, path);
  const note = el("span", { class: "hint" }, look.hint ?? "");
  const input = box(path, {
    inputmode: "decimal",
    value: value === undefined ? "" : `${value}`,
    input: () => {
      const text = /** @type {HTMLInputElement} */ (input).value;
      const number = readNumber(text);
      put(hand.zone, path, number ?? (look.hold ? "" : undefined));
      say(note, worked(text, number) || (look.hint ?? ""));
      hand.touched();
    },
  });
  return field(path, look, input, note);
}

/**
 * What a product comes to.
 *
 * @param {string} text
 * @param {unknown} number
 */
function worked(text, number) {
  return typeof number === "number" && /[x×*]/u.test(text) ? words.fields.areaIs(`${number}`) : "";
}

/**
 * @param {Hand} hand
 * @param {Path} path
 * @param {Look} look
 * @param {(text: string) => void} [set] where more than the value itself changes
 */
export function textField(hand, path, look, set = (text) => put(hand.zone, path, text === "" ? undefined : text)) {
  const input = box(path, {
    value: at(hand.zone, path) ?? "",
    input: () => {
      set(/** @type {HTMLInputElement} */ (input).value);
      hand.touched();
    },
  });
  return field(path, look, input, look.hint ? el("span", { class: "hint" }, look.hint) : null);
}

/**
 * A choice of a value of the table, empty for none.
 *
 * @param {Hand} hand
 * @param {Path} path
 * @param {Look} look
 * @param {Record<string, string>} options words by value
 * @param {string | number} otherwise what it is where the table says nothing
 */
export function choiceField(hand, path, look, options, otherwise) {
  const value = at(hand.zone, path) ?? otherwise;
  const read = (/** @type {string} */ text) => (text === "" ? undefined : typeof otherwise === "number" || path.at(-1) === "faces_deg" ? Number(text) : text);
  return pick(path, look, options, `${value}`, (text) => {
    put(hand.zone, path, read(text));
    hand.touched();
  });
}

/**
 * A choice that changes which fields there are.
 *
 * @param {Hand} hand
 * @param {Path} path
 * @param {Look} look
 * @param {Record<string, string>} options
 * @param {string} chosen
 * @param {(chosen: string) => void} change
 */
export function modeField(hand, path, look, options, chosen, change) {
  return pick(path, look, options, chosen, (text) => {
    change(text);
    hand.touched();
    hand.redraw();
  });
}

/**
 * @param {Path} path
 * @param {Look} look
 * @param {Record<string, string>} options
 * @param {string} chosen
 * @param {(text: string) => void} change
 */
function pick(path, look, options, chosen, change) {
  const known = chosen in options ? options : { [chosen]: chosen, ...options };
  const select = el(
    "select",
    { id: idOf(path), name: path.join("."), change: () => change(/** @type {HTMLSelectElement} */ (select).value) },
    ...Object.entries(known).map(([value, text]) => el("option", { value, selected: value === chosen }, text)),
  );
  return field(path, look, select, look.hint ? el("span", { class: "hint" }, look.hint) : null);
}

/**
 * @param {Path} path
 * @param {import("/js/dom.js").Attributes} attributes
 */
function box(path, attributes) {
  return el("input", { id: idOf(path), name: path.join("."), type: "text", autocomplete: "off", ...attributes });
}

/**
 * @param {Path} path
 * @param {Look} look
 * @param {HTMLElement} input
 * @param {Node | null} note
 */
function field(path, { label, unit, also = [], wide = false }, input, note) {
  const id = idOf(path);
  input.setAttribute("aria-describedby", `${id}-said`);
  const paths = [path, ...also].map((each) => each.join("/"));
  return el(
    "div",
    { class: ["field", input instanceof HTMLSelectElement && "choice", wide && "wide"].filter(Boolean).join(" "), "data-paths": paths.join(" ") },
    el("label", { for: id }, label),
    el("div", { class: "entry" }, input, unit && el("span", { class: "unit" }, unit)),
    note,
    el("p", { class: "said", id: `${id}-said` }),
  );
}

/** @param {Path} path */
const idOf = (path) => `field-${path.join("-")}`;

/**
 * Say each fault at its field; return those that have none on this form.
 *
 * @param {HTMLElement} form
 * @param {import("/js/trial.js").Fault[]} faults
 * @returns {import("/js/trial.js").Fault[]}
 */
export function sayFaults(form, faults) {
  const homeless = new Set(faults);
  for (const each of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(".field"))) {
    const paths = (each.dataset.paths ?? "").split(" ");
    const own = faults.filter((fault) => paths.includes(fault.path.join("/")) && homeless.delete(fault));
    const wrong = own.filter(({ value }) => given(value));
    each.classList.toggle("wrong", wrong.length > 0);
    each.classList.toggle("missing", own.length > 0 && wrong.length === 0);
    each.querySelector("input, select")?.setAttribute("aria-invalid", String(wrong.length > 0));
    if (own.length) each.closest("details")?.setAttribute("open", "");
    say(each.querySelector(".said"), wrong.length ? (wrong[0].sentence ?? words.allowed(wrong[0].allowed)) : own.length ? words.still : "");
  }
  return [...homeless];
}

/**
 * Say at its field what looks like a slip, where nothing is wrong with it otherwise.
 *
 * @param {HTMLElement} form
 * @param {{path: Path, sentence: string}[]} doubts
 * @returns {Set<string>} the sentences that found a field
 */
export function sayDoubts(form, doubts) {
  /** @type {Set<string>} */
  const said = new Set();
  for (const each of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(".field"))) {
    const paths = (each.dataset.paths ?? "").split(" ");
    const doubt = doubts.find(({ path, sentence }) => paths.includes(path.join("/")) && !said.has(sentence));
    const faulty = each.matches(".wrong, .missing");
    each.classList.toggle("doubt", doubt !== undefined && !faulty);
    if (!doubt || faulty) continue;
    say(each.querySelector(".said"), bound(doubt.sentence));
    said.add(doubt.sentence);
  }
  return said;
}
