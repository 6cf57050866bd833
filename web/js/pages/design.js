/**
 * The Design page: what does the house need, and how sure are we?
 *
 * Three views under one address, told apart by the fragment so that the browser's own "back" leads back: the house
 * (none), a room's sheet (`#room/<id>`), and the survey that is filled in step by step (`#survey/<id>/<step>`).
 */

import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import "/js/forms/undo-line.js";
import * as api from "/js/api.js";
import { el, say } from "/js/dom.js";
import * as drafts from "/js/draft.js";
import { marginNote } from "/js/forms/why-line.js";
import { formats } from "/js/format.js";
import { houseView } from "/js/pages/design-house.js";
import { roomView } from "/js/pages/design-room.js";
import { Survey } from "/js/pages/design-survey.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {{
 *   design: import("/js/api.js").Design, document: import("/js/api.js").HouseDocument, tag: string,
 *   fmt: import("/js/format.js").Formats, nameOf: (id: string) => string, materials: Record<string, string>,
 * }} Sheet the house as it runs, its design, and how to write of it
 */

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @type {Sheet | null} */
let sheet = null;
/** @type {Survey | null} */
let survey = null;

async function load() {
  document.body.classList.add("loading");
  part("notes").replaceChildren();
  try {
    await read();
    draw();
  } catch (error) {
    refuse(/** @type {import("/js/api.js").Problem} */ (error));
  }
  document.body.classList.remove("loading");
}

/** @returns {Promise<Sheet>} the house as it is now */
async function read() {
  const [{ document: house, tag }, design, materials] = await Promise.all([api.houseDocument(), api.design(), api.materials().catch(() => [])]);
  const names = new Map([...(house.space ?? []), ...house.zone].map(({ id, name }) => [id, name]));
  sheet = {
    design,
    document: house,
    tag,
    fmt: formats({ locale: words.LOCALE, timeZone: house.house.timezone ?? "UTC" }),
    nameOf: (id) => names.get(id) ?? id,
    materials: Object.fromEntries(materials.map(materialInWords)),
  };
  return sheet;
}

/** @param {{id: string, conductivity_w_per_mk: number}} material @returns {[string, string]} */
const materialInWords = ({ id, conductivity_w_per_mk }) => [id, words.survey.choices.material(id.replaceAll("-", " "), `${conductivity_w_per_mk}`)];

/** Draw the view that the address names. */
function draw() {
  if (!sheet) return;
  const [view, id, step] = location.hash.slice(1).split("/").map(decodeURIComponent);
  const house = sheet.document.house.name;
  const zone = sheet.design.zones.find((each) => each.id === id);
  say(part("name"), house);
  document.body.classList.toggle("of-room", view === "room" && zone !== undefined);
  document.body.classList.toggle("of-survey", view === "survey");
  if (view === "survey" && (zone || id === "new" || drafts.read(id))) {
    surveyed(sheet, id, Number(step ?? 1) - 1);
  } else {
    survey?.close();
    survey = null;
    const room = view === "room" ? zone : undefined;
    const found = room
      ? roomView(sheet, room, (done, undo) => void removed(room.id, done, undo))
      : [...gone(view), ...draftNotes(sheet), ...houseView(sheet)];
    part("view").replaceChildren(...found);
    document.title = room ? words.design.roomTitle(room.name, house) : words.design.title(house);
  }
  /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")).value = titleCells(sheet, zone);
}

/** @param {string} view */
const gone = (view) => (view ? [el("p", { class: "note" }, words.design.gone)] : []);

/**
 * @param {Sheet} sheet
 * @param {string} id
 * @param {number} step
 */
function surveyed(sheet, id, step) {
  if (survey?.draft.key !== id) {
    survey?.close();
    survey = new Survey(sheet, id, { saved, reload: read });
    part("view").replaceChildren(...survey.view());
  }
  document.title = words.survey.title(survey.name, sheet.document.house.name);
  survey.show(step);
}

/**
 * A survey is saved: show the room's sheet, and the way back for ten seconds.
 *
 * @param {string} id
 * @param {string} done
 * @param {() => Promise<string>} undo
 */
async function saved(id, done, undo) {
  survey = null;
  await read();
  location.hash = `#room/${id}`;
  undoable(id, done, undo);
}

/**
 * A room is taken out: show the house without it, and the way back for ten seconds.
 *
 * @param {string} id
 * @param {string} done
 * @param {() => Promise<string>} undo
 */
async function removed(id, done, undo) {
  await read();
  location.hash = "";
  undoable(id, done, undo);
}

/**
 * @param {string} id of a room
 * @param {string} done
 * @param {() => Promise<string>} undo
 */
function undoable(id, done, undo) {
  const line = /** @type {import("/js/forms/undo-line.js").UndoLine} */ (el("undo-line"));
  const back = async () => {
    const said = await undo().catch(problemInWords);
    await read();
    if (!sheet?.document.zone.some((zone) => zone.id === id)) location.hash = "";
    draw();
    part("notes").replaceChildren(el("p", { class: "said" }, said));
  };
  line.value = { done, undo: back, gone: () => line.remove() };
  part("notes").replaceChildren(line);
}

/**
 * Surveys that wait in this browser.
 *
 * @param {Sheet} sheet
 */
function draftNotes({ fmt }) {
  return drafts.all().map((draft) => {
    const name = draft.zone.name || words.survey.newRoom;
    const w = words.survey.drafts;
    const drop = () => {
      drafts.drop(draft.key);
      draw();
      const line = /** @type {import("/js/forms/undo-line.js").UndoLine} */ (el("undo-line"));
      const undo = () => {
        drafts.keep(draft);
        line.remove();
        draw();
      };
      line.value = { done: w.dropped(name), undo, gone: () => line.remove() };
      part("notes").replaceChildren(line);
      line.enter();
    };
    return el(
      "div",
      { class: "draft note" },
      el("p", {}, el("strong", {}, w.head), " ", w.body(name, fmt.when(draft.at, Date.now()))),
      el("a", { class: "button", href: `#survey/${draft.key}` }, w.go),
      el("button", { type: "button", class: "quiet", click: drop }, w.drop),
    );
  });
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

const NARROW = matchMedia("(max-width: 719px)");
let last = "";
addEventListener("hashchange", () => {
  const view = location.hash.split("/").slice(0, 2).join("/");
  draw();
  // On a phone the next step begins at the picture: whoever steps round a room need not pass the page's head each time.
  const round = survey && view === last && NARROW.matches ? document.querySelector(".survey") : null;
  if (round) round.scrollIntoView();
  else scrollTo(0, 0);
  if (survey) survey.enter();
  else part("main").focus();
  if (view !== last && survey) part("notes").replaceChildren();
  last = view;
});

load();
