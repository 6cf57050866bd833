/**
 * The Design page: what does the house need, and how sure are we?
 *
 * Three views under one address, told apart by the fragment so that the browser's own "back" leads back: the house
 * (none), a room's sheet (`#room/<id>`), and the survey that is filled in step by step (`#survey/<id>/<step>`).
 */

import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import * as api from "/js/api.js";
import { el, say } from "/js/dom.js";
import { marginNote } from "/js/forms/why-line.js";
import { formats } from "/js/format.js";
import { houseView } from "/js/pages/design-house.js";
import { roomView } from "/js/pages/design-room.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {{
 *   design: import("/js/api.js").Design, document: import("/js/api.js").HouseDocument, tag: string,
 *   fmt: import("/js/format.js").Formats, nameOf: (id: string) => string,
 * }} Sheet the house as it runs, its design, and how to write of it
 */

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @type {Sheet | null} */
let sheet = null;

async function load() {
  document.body.classList.add("loading");
  part("notes").replaceChildren();
  try {
    const [{ document: house, tag }, design] = await Promise.all([api.houseDocument(), api.design()]);
    const names = new Map(house.zone.map(({ id, name }) => [id, name]));
    sheet = {
      design,
      document: house,
      tag,
      fmt: formats({ locale: words.LOCALE, timeZone: house.house.timezone ?? "UTC" }),
      nameOf: (id) => names.get(id) ?? id,
    };
    draw();
  } catch (error) {
    refuse(/** @type {import("/js/api.js").Problem} */ (error));
  }
  document.body.classList.remove("loading");
}

/** Draw the view that the address names. */
function draw() {
  if (!sheet) return;
  const [view, id] = location.hash.slice(1).split("/").map(decodeURIComponent);
  const house = sheet.document.house.name;
  const zone = sheet.design.zones.find((each) => each.id === id);
  say(part("name"), house);
  document.body.classList.toggle("of-room", view === "room" && zone !== undefined);
  if (view === "room" && zone) {
    document.title = words.design.roomTitle(zone.name, house);
    part("view").replaceChildren(...roomView(sheet, zone));
  } else {
    document.title = words.design.title(house);
    const gone = view === "room" ? [el("p", { class: "note" }, words.design.gone)] : [];
    part("view").replaceChildren(...gone, ...houseView(sheet));
  }
  /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")).value = titleCells(sheet, zone);
}

/**
 * @param {Sheet} sheet
 * @param {import("/js/api.js").ZoneDesign} [zone]
 */
function titleCells({ design, document: { house }, fmt }, zone) {
  const t = words.title;
  const methods = /** @type {Record<string, string>} */ (words.design.methods);
  return [
    { term: t.sheet, text: zone ? `${words.pages.design}, ${zone.name}` : words.pages.design },
    { term: t.house, text: house.name },
    { term: t.outside, text: words.withUnit(fmt.level(design.outdoor_design_c), words.units.celsius) },
    { term: t.method, text: methods[design.method] ?? design.method },
    { term: t.design, text: design.design_version.slice(0, 12) },
    { term: t.read, text: `${fmt.fullDate(Date.now())}, ${fmt.time(Date.now())}` },
  ];
}

/** @param {import("/js/api.js").Problem} problem */
function refuse(problem) {
  const body = problem.status === 0 ? words.problem.silentRead : problemInWords(problem);
  part("notes").replaceChildren(
    marginNote({ head: words.notice.attention, body: `${words.design.failed} ${body}`, urgent: true }),
    el("button", { type: "button", click: () => load() }, words.problem.again),
  );
}

addEventListener("hashchange", () => {
  draw();
  scrollTo(0, 0);
  part("main").focus();
});

load();
