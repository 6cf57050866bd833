/**
 * Surveys that are not saved yet, kept in this browser: through a reload, a lost link, or a restart of ingle.
 *
 * A draft remembers the room as it was when the survey began, so that a change which somebody else made meanwhile is
 * seen, and kept.
 */

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {{key: string, zone: Fields, base: Fields | null, at: number}} Draft `base` null: a new room
 */

const PREFIX = "ingle.survey.";

/**
 * @param {string} key a zone's id, or "new"
 * @returns {Draft | null}
 */
export function read(key) {
  try {
    const draft = JSON.parse(localStorage.getItem(PREFIX + key) ?? "null");
    return draft?.zone ? draft : null;
  } catch {
    return null; // Something else wrote there; it is no survey.
  }
}

/** @param {Draft} draft */
export function keep(draft) {
  localStorage.setItem(PREFIX + draft.key, JSON.stringify(draft));
}

/** @param {string} key */
export function drop(key) {
  localStorage.removeItem(PREFIX + key);
}

/** @returns {Draft[]} the latest first */
export function all() {
  const keys = Object.keys(localStorage).filter((key) => key.startsWith(PREFIX));
  const drafts = keys.map((key) => read(key.slice(PREFIX.length)));
  return /** @type {Draft[]} */ (drafts.filter(Boolean)).sort((a, b) => b.at - a.at);
}
