/**
 * The Check page: does each room perform as designed?
 *
 * Two views under one address: the house, and with `?zone=` a room. The verdicts are worked out on demand and may take
 * some seconds; the page keeps its frame and says so meanwhile. Where ingle stops answering, what was read stays, with
 * its age.
 */

import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import * as api from "/js/api.js";
import { verdicts } from "/js/api-check.js";
import { el, say } from "/js/dom.js";
import { marginNote } from "/js/forms/why-line.js";
import { age, formats } from "/js/format.js";
import { summarySentence } from "/js/judge.js";
import { houseView } from "/js/pages/check-house.js";
import { roomView } from "/js/pages/check-room.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {{house: import("/js/api.js").HouseNow, assessment: import("/js/api-check.js").Assessment, workedAt: number,
 *   fmt: import("/js/format.js").Formats}} Seen what was read, and when it was worked out
 */

const ZONE = new URL(location.href).searchParams.get("zone");
/** From this age on a verdict is said to be old [ms]: a look is taken each week. */
const OLD_MS = 8 * 24 * 3_600_000;
const w = words.check;

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @type {Seen | null} */
let seen = null;

/** @param {{anew?: boolean}} [options] */
async function load(options) {
  document.body.classList.add("loading");
  part("notes").replaceChildren();
  if (!seen) say(part("summary"), w.loading);
  else say(part("worked").querySelector("p"), w.loading);
  try {
    const [house, { assessment, ageMs }] = await Promise.all([api.house(), verdicts(options)]);
    seen = { house, assessment, workedAt: Date.now() - ageMs, fmt: formats({ locale: words.LOCALE, timeZone: house.timezone }) };
    draw(seen);
    sayAge(false);
  } catch (error) {
    refuse(/** @type {import("/js/api.js").Problem} */ (error));
  }
  document.body.classList.remove("loading");
}

/** @param {Seen} seen */
function draw(seen) {
  const { house, assessment, fmt } = seen;
  const zone = assessment.zones.find(({ id }) => id === ZONE);
  say(part("name"), house.name);
  document.body.classList.toggle("of-room", zone !== undefined);
  document.title = zone ? w.roomTitle(zone.name, house.name) : w.title(house.name);
  say(part("heading"), zone ? zone.name : w.heading);
  part("back").hidden = ZONE === null;
  part("back").replaceChildren(
    el("a", { href: "/check" }, w.all),
    ...(zone ? [el("a", { href: `/design#room/${zone.id}` }, w.toDesign), el("a", { href: `/#zone-${zone.id}` }, w.toNow)] : []),
  );
  part("summary").hidden = zone !== undefined;
  say(part("summary"), assessment.zones.length ? summarySentence(assessment.zones, fmt) : w.none);
  const lost = ZONE !== null && !zone ? [el("p", { class: "note" }, w.gone)] : [];
  part("view").replaceChildren(...(zone ? roomView(seen, zone).filter((node) => node !== false) : [...lost, ...houseView(seen)]));
  part("key").setAttribute("shapes", zone ? "design metered predicted day unused unsure" : "design metered unsaid");
  /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")).value = titleCells(seen, zone);
}

/** @param {boolean} offline */
function sayAge(offline) {
  if (!seen) return;
  const ms = Date.now() - seen.workedAt;
  const text = w.worked(words.ago(age(ms)));
  part("worked").classList.toggle("stale", offline || ms > OLD_MS);
  part("worked").replaceChildren(
    el("p", { class: "small" }, offline ? `${text} ${w.offline(seen.fmt.time(Date.now()))}` : text),
    el("button", { type: "button", class: "quiet", click: () => load({ anew: true }) }, w.anew),
  );
}

/**
 * @param {Seen} seen
 * @param {import("/js/api-check.js").ZoneVerdict} [zone]
 */
function titleCells({ house, assessment, fmt }, zone) {
  const t = words.title;
  const { from, to, design_version, method, method_version } = assessment;
  return [
    { term: t.sheet, text: zone ? `${words.pages.check}, ${zone.name}` : words.pages.check },
    { term: t.house, text: house.name },
    { term: t.days, text: w.period(fmt.day(from), fmt.day(to)) },
    { term: t.design, text: design_version.slice(0, 12) },
    { term: t.method, text: method_version === undefined ? method : w.methodVersion(method, method_version) },
    { term: t.read, text: `${fmt.fullDate(house.t)}, ${fmt.seconds(house.t)}` },
  ];
}

/** @param {import("/js/api.js").Problem} problem */
function refuse(problem) {
  const body = problem.status === 0 ? words.problem.silentRead : problemInWords(problem);
  if (seen) sayAge(problem.status === 0);
  else say(part("summary"), w.failed);
  part("notes").replaceChildren(
    marginNote({ head: words.notice.attention, body, urgent: true }),
    el("button", { type: "button", click: () => load() }, words.problem.again),
  );
}

load();
