/** Saving a surveyed room into a house that others may change at the same time. */

import * as api from "/js/api.js";
import { el } from "/js/dom.js";
import { merge, same } from "/js/merge.js";
import { withZone } from "/js/survey.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/pages/design.js").Sheet} Sheet
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/draft.js").Draft} Draft
 * @typedef {{laid: import("/js/merge.js").Difference[], clashes: import("/js/merge.js").Difference[], gone: boolean}} Merged
 * @typedef {{who: string, when: string}} By
 * @typedef {{conflict: By | null, who: string, undo: () => Promise<string>}} Outcome
 */

const w = words.survey;
/** How often a house that is changed all the time is tried again. */
const TRIES = 3;

/**
 * Save a room. Where somebody changed another room meanwhile, theirs stays and this one is laid beside it; where they
 * changed this very room, nothing is saved.
 *
 * @param {Sheet} sheet
 * @param {Draft} draft
 * @param {Fields} zone with its id
 * @returns {Promise<Outcome>}
 */
export async function saveZone(sheet, draft, zone) {
  for (let tried = 1; ; tried += 1) {
    const { document, tag } = await api.houseDocument();
    const by = tag === sheet.tag ? null : await lastChange(sheet.fmt);
    const theirs = document.zone.find(({ id }) => id === zone.id) ?? null;
    if (by && !same(theirs, draft.base)) return { conflict: by, who: "", undo: async () => "" };
    try {
      const saved = await api.putHouse(withZone(document, zone), tag, w.saved.why(zone.name));
      return { conflict: null, who: by?.who ?? "", undo: () => undo(document, saved, zone) };
    } catch (error) {
      // 412: changed between those two requests. Look again.
      if (/** @type {import("/js/api.js").Problem} */ (error).status !== 412 || tried === TRIES) throw error;
    }
  }
}

/**
 * Put the house back as it was before a save, unless it was changed again since.
 *
 * @param {import("/js/api.js").HouseDocument} before
 * @param {string} tag of what was saved
 * @param {Fields} zone
 * @returns {Promise<string>} what came of it, in words
 */
async function undo(before, tag, zone) {
  try {
    await api.putHouse(before, tag, w.saved.undo(zone.name));
    return w.saved.undone(zone.name);
  } catch (error) {
    if (/** @type {import("/js/api.js").Problem} */ (error).status === 412) return w.saved.moved;
    throw error;
  }
}

/**
 * @param {import("/js/format.js").Formats} fmt
 * @returns {Promise<By>}
 */
async function lastChange(fmt) {
  const last = (await api.history()).at(-1);
  return { who: last?.who || w.conflict.somebody, when: last ? fmt.when(last.t, Date.now()) : "" };
}

/**
 * Lay what others made of the room into a draft, which then begins from theirs.
 *
 * @param {Draft} draft
 * @param {Fields | null} theirs
 * @returns {Merged}
 */
export function mergeDraft(draft, theirs) {
  if (theirs === null) {
    draft.base = null;
    return { laid: [], clashes: [], gone: true };
  }
  const { merged, laid, clashes } = merge(draft.base ?? {}, draft.zone, theirs);
  draft.zone = structuredClone(merged);
  draft.base = structuredClone(theirs);
  return { laid, clashes, gone: false };
}

/**
 * @param {string} room
 * @param {Merged} merged
 * @param {By} [by]
 */
export function conflictNote(room, { laid, clashes, gone }, by) {
  const lines = [
    ...clashes.map(({ path, mine, theirs }) => w.conflict.clash(placeInWords(path), valueInWords(theirs), valueInWords(mine))),
    ...laid.map(({ path, theirs }) => w.conflict.laid(placeInWords(path), valueInWords(theirs))),
  ];
  return el(
    "div",
    { class: "note", role: "alert" },
    el("p", {}, el("strong", {}, w.conflict.head), " ", gone ? w.conflict.gone(room) : w.conflict.body(by?.who ?? w.conflict.somebody, room, by?.when ?? "")),
    lines.length > 0 && el("ul", {}, ...lines.map((line) => el("li", {}, line))),
    el("p", {}, w.conflict.then),
  );
}

/** @param {import("/js/survey.js").Path} path */
function placeInWords(path) {
  const known = /** @type {Record<string, unknown>} */ (w.fields);
  const said = path.filter((key) => key !== "element").map((key) => (typeof known[key] === "string" ? known[key] : `${key}`.replaceAll("_", " ")));
  return said.join(", ");
}

/** @param {unknown} value */
function valueInWords(value) {
  if (value === undefined || value === null) return w.conflict.none;
  return typeof value === "object" ? JSON.stringify(value) : `${value}`;
}
