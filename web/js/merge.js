/** Two people's changes to one table, laid together: pure functions, no document. */

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/survey.js").Path} Path
 * @typedef {{path: Path, mine: unknown, theirs: unknown}} Difference
 */

/**
 * Lay another's change into mine: where only one of us changed a value, that change holds; where both did, theirs.
 *
 * @param {unknown} base what both began with
 * @param {unknown} mine
 * @param {unknown} theirs
 * @param {Path} [path]
 * @returns {{merged: any, laid: Difference[], clashes: Difference[]}}
 */
export function merge(base, mine, theirs, path = []) {
  if (same(mine, theirs)) return { merged: mine, laid: [], clashes: [] };
  if (same(base, theirs)) return { merged: mine, laid: [], clashes: [] };
  if (isTable(base) && isTable(mine) && isTable(theirs)) return mergeTables(base, mine, theirs, path);
  const named = [base, mine, theirs].map(byName);
  if (named.every((each) => each !== null)) {
    const [from, ours, others] = /** @type {Fields[]} */ (named);
    const { merged, laid, clashes } = mergeTables(from, ours, others, path);
    return { merged: Object.values(merged), laid, clashes };
  }
  const difference = [{ path, mine, theirs }];
  return same(base, mine) ? { merged: theirs, laid: difference, clashes: [] } : { merged: theirs, laid: [], clashes: difference };
}

/**
 * @param {Fields} base
 * @param {Fields} mine
 * @param {Fields} theirs
 * @param {Path} path
 */
function mergeTables(base, mine, theirs, path) {
  /** @type {Fields} */
  const merged = {};
  /** @type {Difference[]} */
  const laid = [];
  /** @type {Difference[]} */
  const clashes = [];
  for (const key of new Set([...Object.keys(mine), ...Object.keys(theirs)])) {
    const inner = merge(base[key], mine[key], theirs[key], [...path, key]);
    if (inner.merged !== undefined) merged[key] = inner.merged;
    laid.push(...inner.laid);
    clashes.push(...inner.clashes);
  }
  return { merged, laid, clashes };
}

/** @param {unknown} value @returns {value is Fields} */
const isTable = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

/**
 * A list of named pieces as a table of them, so that two who work on different walls do not meet.
 *
 * @param {unknown} list
 * @returns {Fields | null} null where it is no such list
 */
function byName(list) {
  if (!Array.isArray(list) || list.length === 0) return null;
  const table = Object.fromEntries(list.map((each) => [each?.name ?? each?.id, each]));
  return Object.keys(table).length === list.length && !("undefined" in table) ? table : null;
}

/**
 * Whether two tables say the same, in whatever order.
 *
 * @param {unknown} a
 * @param {unknown} b
 * @returns {boolean}
 */
export function same(a, b) {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) || Array.isArray(b)) {
    return Array.isArray(a) && Array.isArray(b) && a.length === b.length && a.every((each, index) => same(each, b[index]));
  }
  if (!isTable(a) || !isTable(b)) return false;
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].every((key) => same(a[key], b[key]));
}
