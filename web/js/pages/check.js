/**
 * The Check page: does each room perform as designed?
 *
 * The verdicts are worked out on demand and may take some seconds; the page keeps its frame and says so meanwhile.
 */

import "/js/forms/scale-axis.js";
import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import "/js/forms/verdict-row.js";
import * as api from "/js/api.js";
import { el, say } from "/js/dom.js";
import { age, formats } from "/js/format.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { byRatio, coefficientScale, figuresTable, summarySentence } from "/js/judge.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @param {{anew?: boolean}} [options] */
async function load(options) {
  document.body.classList.add("loading");
  say(part("summary"), words.check.loading);
  part("notes").replaceChildren();
  part("worked").replaceChildren();
  try {
    const [house, { assessment, ageMs }] = await Promise.all([api.house(), api.verdicts(options)]);
    draw(house, assessment);
    part("worked").replaceChildren(
      el("p", { class: "small" }, words.check.worked(words.ago(age(ageMs)))),
      el("button", { type: "button", class: "quiet", click: () => load({ anew: true }) }, words.check.anew),
    );
    document.body.classList.remove("loading");
  } catch (error) {
    refuse(/** @type {import("/js/api.js").Problem} */ (error));
  }
}

/**
 * @param {import("/js/api.js").HouseNow} house
 * @param {import("/js/api.js").Assessment} assessment
 */
function draw(house, assessment) {
  const fmt = formats({ locale: words.LOCALE, timeZone: house.timezone });
  const scale = coefficientScale(assessment.zones);
  document.title = words.check.title(house.name);
  say(part("name"), house.name);
  say(part("summary"), assessment.zones.length ? summarySentence(assessment.zones, fmt) : words.check.none);
  /** @type {import("/js/forms/scale-axis.js").ScaleAxis} */ (part("axis")).value = {
    scale,
    unit: words.units.coefficient,
    format: fmt.level,
  };
  part("rows").replaceChildren(...byRatio(assessment.zones).map((zone) => item(zone, scale, fmt)));
  part("tabular-body").replaceChildren(table(figuresTable(assessment.zones, fmt)));
  part("tabular").hidden = assessment.zones.length === 0;
  /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")).value = titleCells(house, assessment, fmt);
}

/**
 * @param {import("/js/api.js").ZoneVerdict} zone
 * @param {import("/js/scale.js").Scale} scale
 * @param {import("/js/format.js").Formats} fmt
 */
function item(zone, scale, fmt) {
  const row = /** @type {import("/js/forms/verdict-row.js").VerdictRow} */ (el("verdict-row"));
  row.update(zone, scale, fmt);
  return el("li", { id: `zone-${zone.id}` }, row);
}

/**
 * @param {import("/js/api.js").HouseNow} house
 * @param {import("/js/api.js").Assessment} assessment
 * @param {import("/js/format.js").Formats} fmt
 */
function titleCells(house, assessment, fmt) {
  const t = words.title;
  return [
    { term: t.sheet, text: words.pages.check },
    { term: t.house, text: house.name },
    { term: t.days, text: words.check.period(fmt.day(assessment.from), fmt.day(assessment.to)) },
    { term: t.design, text: assessment.design_version.slice(0, 12) },
    { term: t.method, text: assessment.method },
    { term: t.read, text: `${fmt.fullDate(house.t)}, ${fmt.seconds(house.t)}` },
  ];
}

/** @param {import("/js/api.js").Problem} problem */
function refuse(problem) {
  document.body.classList.remove("loading");
  const body = problem.status === 0 ? words.problem.silentRead : problemInWords(problem);
  say(part("summary"), words.check.failed);
  part("notes").replaceChildren(
    marginNote({ head: words.notice.attention, body, urgent: true }),
    el("button", { type: "button", click: () => load() }, words.problem.again),
  );
}

load();
