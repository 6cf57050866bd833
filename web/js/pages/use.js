/**
 * The Use page: where did the kWh go, and what did they cost?
 *
 * The period stands in the query, the view in the fragment, so that every sheet has an address and the browser's own
 * "back" leads back. A view reads what it needs when it is opened; what cannot be read is said, with the way to try again.
 */

import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import "/js/forms/undo-line.js";
import * as api from "/js/api.js";
import { el, say } from "/js/dom.js";
import { marginNote } from "/js/forms/why-line.js";
import { age, formats } from "/js/format.js";
import { billsView, whyView } from "/js/pages/use-bills.js";
import { compareView } from "/js/pages/use-compare.js";
import { tariffView } from "/js/pages/use-tariff.js";
import { whatIfView } from "/js/pages/use-what-if.js";
import { whereView } from "/js/pages/use-where.js";
import { read, readOther, todayIn } from "/js/period.js";
import { problemInWords } from "/js/present.js";
import { periodInWords } from "/js/spent.js";
import * as words from "/js/words.js";
import * as use from "/js/words-use.js";

/**
 * @typedef {{
 *   house: import("/js/api.js").HouseNow, fmt: import("/js/format.js").Formats, today: string,
 *   chosen: import("/js/period.js").Chosen & {refused: boolean}, other: import("/js/period.js").Chosen,
 *   again: () => Promise<void>, note: (...nodes: Node[]) => void,
 * }} Desk the house, the days in question, and where a view puts what it has to say
 * @typedef {{nodes: Node[], shapes: string, period: boolean, title?: string}} Shown `shapes`: of the key
 * @typedef {(desk: Desk, args: string[]) => Promise<Shown>} View
 */

const w = use;
/** @type {Record<string, View>} */
const VIEWS = { where: whereView, compare: compareView, bills: billsView, why: whyView, "what-if": whatIfView, tariff: tariffView };

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
/** @returns {[string, string[]]} the view that the address names, and of what */
function named() {
  const [view, ...args] = location.hash.slice(1).split("/").map(decodeURIComponent);
  return view in VIEWS ? [view, args] : ["where", []];
}

/** The fragment of what stands on the page. @type {string | null} */
let standing = null;
/** Counts what was asked for, so that a late answer of another view is dropped. */
let asked = 0;
/** When ingle last answered [ms]. */
let answered = Date.now();

async function load() {
  const turn = (asked += 1);
  const [view, args] = named();
  frame(view);
  try {
    const house = await api.house();
    const desk = deskOf(house);
    say(part("name"), house.name);
    const shown = await VIEWS[view](desk, args);
    if (turn !== asked) return;
    answered = Date.now();
    draw(desk, view, shown);
  } catch (error) {
    if (turn === asked) refuse(/** @type {import("/js/api.js").Problem} */ (error));
  }
}

/**
 * The page's own frame, with the view's heading, while it waits.
 *
 * @param {string} view
 */
function frame(view) {
  document.body.classList.add("loading");
  part("notes").replaceChildren();
  say(part("heading"), w.headings[view]);
  // What stands there belongs to another heading; of the same view it stays until it is read anew.
  if (location.hash !== standing) part("view").replaceChildren(...Array.from({ length: 3 }, () => el("div", { class: "blank", "aria-hidden": "true" })));
  standing = location.hash;
  const current = view === "why" ? "bills" : view;
  part("views").replaceChildren(
    el(
      "ul",
      {},
      ...Object.entries(w.views).map(([name, text]) =>
        el("li", {}, el("a", { href: `/use${location.search}#${name}`, "aria-current": name === current ? "true" : null }, text)),
      ),
    ),
  );
}

/** @param {import("/js/api.js").HouseNow} house @returns {Desk} */
function deskOf(house) {
  const query = new URLSearchParams(location.search);
  const today = todayIn(house.timezone, Date.parse(house.t));
  const chosen = read(query, today);
  return {
    house,
    fmt: formats({ locale: words.LOCALE, timeZone: house.timezone }),
    today,
    chosen,
    other: readOther(query, chosen.period),
    again: load,
    note,
  };
}

/**
 * Say something above the view. What could not be read stays said beneath it.
 *
 * @param {...Node} nodes
 */
function note(...nodes) {
  for (const old of part("notes").querySelectorAll(":scope > :not(.refusal)")) old.remove();
  part("notes").prepend(...nodes);
}

/**
 * @param {Desk} desk
 * @param {string} view
 * @param {Shown} shown
 */
function draw(desk, view, { nodes, shapes, period, title }) {
  const { house, fmt, chosen } = desk;
  document.body.classList.remove("loading");
  document.title = w.title(w.views[view] ?? w.views.bills, house.name);
  if (title) say(part("heading"), title);
  part("view").replaceChildren(...(chosen.refused && period ? [el("p", { class: "note" }, w.period.refused)] : []), ...nodes);
  part("key").hidden = shapes === "";
  part("key").toggleAttribute("plain", !shapes.includes("used"));
  part("key").setAttribute("shapes", shapes);
  const t = words.title;
  /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")).value = [
    { term: t.sheet, text: `${words.pages.use}, ${(w.views[view] ?? w.views.bills).toLowerCase()}` },
    { term: t.house, text: house.name },
    ...(period ? [{ term: t.days, text: periodInWords(chosen.period, fmt) }] : []),
    { term: t.zone, text: house.timezone },
    { term: t.read, text: `${fmt.fullDate(house.t)}, ${fmt.time(house.t)}` },
  ];
}

/** @param {import("/js/api.js").Problem | Error} problem */
function refuse(problem) {
  console.info(problem); // for whoever looks: a fault of the page's own would else be silent
  document.body.classList.remove("loading");
  const known = problem instanceof api.Problem;
  const body = !known ? `${problem}` : problem.status === 0 ? words.problem.silentRead : problemInWords(problem);
  part("notes").replaceChildren(
    el(
      "div",
      { class: "refusal" },
      marginNote({ head: words.notice.attention, body: `${w.failed} ${body}`, urgent: true }),
      el("button", { type: "button", click: () => load() }, words.problem.again),
    ),
  );
  const empty = part("view").querySelector(".blank");
  if (empty) part("view").replaceChildren();
  else part("view").prepend(el("p", { class: "note stale-since" }, w.stale(words.ago(age(Date.now() - answered)))));
}

addEventListener("hashchange", () => {
  if (location.hash === "#main") return; // the skip link
  load();
  scrollTo(0, 0);
  part("main").focus();
});
// Back and forward between periods comes as a whole page; between views of one as a change of the fragment.
load();
