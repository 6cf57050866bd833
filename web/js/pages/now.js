/**
 * The Now page: is everyone warm, and does anything need me?
 *
 * The live feed sends the whole state first and then what changes; the page keeps one copy of it and tells each form
 * what concerns it. When the feed ends, every figure becomes an old one, with its age, and the page says so in words.
 */

import "/js/forms/house-row.js";
import "/js/forms/scale-axis.js";
import "/js/forms/sheet-key.js";
import "/js/forms/title-block.js";
import "/js/forms/zone-row.js";
import * as api from "/js/api.js";
import { explain } from "/js/api-explain.js";
import { el, say } from "/js/dom.js";
import { formats } from "/js/format.js";
import { marginNote, table } from "/js/forms/why-line.js";
import { Live } from "/js/live.js";
import { attentionOrder, noteValue, problemInWords } from "/js/present.js";
import { degreeScale } from "/js/scale.js";
import { remember, trend } from "/js/trend.js";
import * as words from "/js/words.js";

/** Ages grow by themselves; a person counts them in minutes. */
const AGEING_MS = 10_000;
/** What was being chosen is kept through a reload, a lost link or a restart of ingle. */
const DRAFT = "ingle.hold";

/**
 * @typedef {import("/js/api.js").ZoneNow} ZoneNow
 * @typedef {import("/js/api.js").Notice} Notice
 * @typedef {import("/js/forms/zone-row.js").ZoneRow} ZoneRow
 */

const state = {
  /** @type {Map<string, ZoneNow>} */
  zones: new Map(),
  /** @type {import("/js/api.js").HouseNow | null} */
  house: null,
  /** @type {Notice[]} */
  notices: [],
  /** @type {Map<string, import("/js/trend.js").Sample[]>} */
  samples: new Map(),
  /** @type {import("/js/scale.js").Scale | null} */
  scale: null,
  fmt: formats({ locale: words.LOCALE }),
  skewMs: 0, // ingle's clock minus this machine's: ages are told by ingle's
  /** Whether the rooms of the house, and their order, are known; the feed tells only of each room by itself. */
  listed: false,
  offline: false,
  restored: false,
};

/** States of the clock in which a person can help by saying that it is right. */
const DOUBTED = ["untrusted", "assumed", "stepped"];

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const parts = {
  link: part("link"),
  notes: part("notes"),
  rows: part("rows"),
  house: /** @type {import("/js/forms/house-row.js").HouseRow} */ (part("house")),
  axis: /** @type {import("/js/forms/scale-axis.js").ScaleAxis} */ (part("axis")),
  summary: part("summary"),
  tabular: /** @type {HTMLDetailsElement} */ (part("tabular")),
  title: /** @type {import("/js/forms/title-block.js").TitleBlock} */ (part("title")),
};

const live = new Live("/api/events", {
  message(name, data) {
    if (name === "zone") hear(data);
    if (name === "house") hearHouse(data);
    if (name === "notices") state.notices = data.notices;
    later();
  },
  opened() {
    list();
  },
  up() {
    state.offline = false;
    say(parts.link, words.link.up(state.fmt.seconds(nowMs())));
    parts.link.classList.remove("down");
  },
  down(lastHeard) {
    if (state.offline) return;
    state.offline = true;
    say(parts.link, words.link.down);
    parts.link.classList.add("down");
    offline(lastHeard);
    later();
  },
});

/** Ask which rooms the house has, in which order. What the feed has told of a room meanwhile is newer and stays. */
async function list() {
  try {
    const zones = await api.zones();
    state.zones = new Map(zones.map((zone) => [zone.id, state.zones.get(zone.id) ?? zone]));
    state.listed = true;
    later();
  } catch {
    // The feed will be lost for the same reason, and says so.
  }
}

/** @param {ZoneNow} zone */
function hear(zone) {
  if (state.listed && !state.zones.has(zone.id)) list(); // another house was loaded
  state.zones.set(zone.id, zone);
  if (zone.temp_c !== null && zone.t && zone.quality !== "stale") {
    const sample = { ms: Date.parse(zone.t), tempC: zone.temp_c };
    state.samples.set(zone.id, remember(state.samples.get(zone.id) ?? [], sample));
  }
}

/** @param {import("/js/api.js").HouseNow} house */
function hearHouse(house) {
  if (house.timezone !== state.house?.timezone) {
    state.fmt = formats({ locale: words.LOCALE, timeZone: house.timezone });
  }
  if (state.house && (house.name !== state.house.name || house.plate_w !== state.house.plate_w)) list();
  state.house = house;
  state.notices = house.notices;
  state.skewMs = Date.parse(house.t) - Date.now();
}

function nowMs() {
  return Date.now() + state.skewMs;
}

let due = false;
/** Draw once for all the events that came together. */
function later() {
  if (due) return;
  due = true;
  queueMicrotask(() => {
    due = false;
    draw();
  });
}

function draw() {
  const { house, fmt } = state;
  if (!house || !state.listed) return;
  const zones = [...state.zones.values()];
  state.scale = degreeScale([house.outdoor_c, ...zones.flatMap(({ temp_c, wanted_c }) => [temp_c, wanted_c])], state.scale);
  document.title = words.now.title(house.name);
  say(part("name"), house.name);
  parts.axis.value = { scale: state.scale, unit: words.units.celsius, format: fmt.level };
  parts.house.hidden = house.plate_w === 0; // a house without a heater, or one of which somebody sees only their rooms
  parts.house.update(house, { fmt, nowMs: nowMs(), wanting: wanting(zones), offline: state.offline });
  drawNotes(house);
  drawRows(zones);
  drawTable(zones);
  parts.title.value = titleCells(house);
  if (document.body.classList.contains("loading")) document.getElementById(location.hash.slice(1))?.scrollIntoView(); // from another page
  document.body.classList.remove("loading");
}

/** @param {ZoneNow[]} zones */
function wanting(zones) {
  return zones.filter(({ id }) => state.notices.some(({ zone }) => zone === id)).map(({ id, name }) => ({ id, name }));
}

/** @param {import("/js/api.js").HouseNow} house */
function drawNotes(house) {
  if (state.offline) return; // the sentence about the lost link stands there
  const own = state.notices.filter(({ zone }) => zone === null || !state.zones.has(zone)).map((notice) => noteValue(notice));
  const link = house.broker === "down" ? [{ head: words.notice.attention, body: words.link.broker, urgent: false }] : [];
  const disk = house.history === "paused" ? [{ head: words.notice.attention, body: words.link.history, urgent: false }] : [];
  const notes = [...link, ...disk, ...own].map((note) => marginNote(note));
  say(confirmButton, words.confirm(state.fmt.time(nowMs())));
  put(parts.notes, DOUBTED.includes(house.clock) ? [...notes, confirmButton] : notes);
}

const confirmButton = el("button", { type: "button", click: confirmClock });

async function confirmClock() {
  try {
    hearHouse(await api.confirmClock());
    later();
  } catch (error) {
    const body = problemInWords(/** @type {import("/js/api.js").Problem} */ (error));
    put(parts.notes, [marginNote({ head: words.notice.attention, body, urgent: false }), confirmButton]);
  }
}

/** @param {number | null} lastHeard */
function offline(lastHeard) {
  const body = lastHeard === null ? words.link.never : words.link.stopped(state.fmt.time(lastHeard + state.skewMs));
  put(parts.notes, [marginNote({ head: words.notice.attention, body, urgent: true })]);
  document.body.classList.remove("loading");
}

/** @param {ZoneNow[]} zones */
function drawRows(zones) {
  if (zones.length === 0) {
    put(parts.rows, [el("li", { class: "empty" }, words.now.noZones, " ", el("code", {}, words.now.loadCommand))]);
    return;
  }
  const standing = /** @type {ZoneRow[]} */ ([...parts.rows.querySelectorAll("zone-row")]);
  const rows = new Map(standing.map((row) => [row.dataset.zone, row]));
  const order = attentionOrder(zones, state.notices);
  for (const id of order) if (!rows.has(id)) rows.set(id, newRow(id));
  arrange(order.map((id) => /** @type {ZoneRow} */ (rows.get(id))));
  for (const zone of zones) rows.get(zone.id)?.update(zone, view(zone.id));
  if (!state.restored) restoreDraft();
}

/**
 * Put the rows into order, unless a person has a hand on one of them: it must not move away under it.
 *
 * @param {ZoneRow[]} rows
 */
function arrange(rows) {
  const items = rows.map((row) => row.parentElement ?? el("li", { id: `zone-${row.dataset.zone}` }, row));
  const standing = [...parts.rows.children];
  const same = standing.length === items.length && standing.every((item, index) => item === items[index]);
  const known = items.every((item) => item.parentElement === parts.rows) && standing.length === items.length;
  if (same || (known && rows.some((row) => row.inUse))) return;
  parts.rows.replaceChildren(...items);
}

/** @param {string} id */
function newRow(id) {
  const row = /** @type {ZoneRow} */ (el("zone-row", { "data-zone": id }));
  row.ask = ask;
  row.explain = explain;
  row.drafted = (tempC) => keepDraft(id, tempC);
  return row;
}

/** @param {string} id */
function view(id) {
  return {
    fmt: state.fmt,
    scale: /** @type {import("/js/scale.js").Scale} */ (state.scale),
    nowMs: nowMs(),
    outdoorC: state.house?.outdoor_c ?? null,
    offline: state.offline,
    trend: trend(state.samples.get(id) ?? []),
    notices: state.notices.filter(({ zone }) => zone === id),
  };
}

/** @type {import("/js/forms/zone-row.js").Ask} */
async function ask(id, request) {
  const zone = await api.request(id, request);
  hear(zone);
  later();
  return zone;
}

/** @param {ZoneNow[]} zones */
function drawTable(zones) {
  if (!parts.tabular.open) return;
  const { fmt } = state;
  const celsius = (/** @type {number | null} */ value) =>
    value === null ? words.check.absent : words.withUnit(fmt.temperature(value), words.units.celsius);
  const watts = (/** @type {number | null} */ value) =>
    value === null ? words.power.unknown : words.withUnit(fmt.watts(value), words.units.watt);
  const rows = zones.map((zone) => [
    zone.name,
    celsius(zone.temp_c),
    celsius(zone.wanted_c),
    words.states[zone.state] ?? zone.state,
    watts(zone.power_w),
    watts(zone.plate_w),
    state.offline ? words.quality.stale : words.quality[zone.quality],
    zone.t ? fmt.when(zone.t, nowMs()) : words.why.never,
    zone.reason,
  ]);
  put(part("tabular-body"), [table({ caption: words.now.rooms, columns: words.now.columns, rows })]);
}

/** @param {import("/js/api.js").HouseNow} house */
function titleCells(house) {
  const t = words.title;
  return [
    { term: t.sheet, text: words.pages.now },
    { term: t.house, text: house.name },
    { term: t.read, text: `${state.fmt.fullDate(house.t)}, ${state.fmt.seconds(house.t)}` },
    { term: t.zone, text: house.timezone },
    { term: t.clock, text: words.clocks[house.clock], attention: ["untrusted", "stepped"].includes(house.clock) },
    { term: t.broker, text: t[house.broker], attention: house.broker === "down" },
    { term: t.history, text: t[house.history], attention: house.history === "paused" },
  ];
}

/**
 * @param {string} zone
 * @param {number | null} tempC
 */
function keepDraft(zone, tempC) {
  if (tempC === null) sessionStorage.removeItem(DRAFT);
  else sessionStorage.setItem(DRAFT, JSON.stringify({ zone, tempC }));
}

/** Open again what was being chosen when the page went away. */
function restoreDraft() {
  state.restored = true;
  const kept = JSON.parse(sessionStorage.getItem(DRAFT) ?? "null");
  const zone = kept && state.zones.get(kept.zone);
  if (!zone) return;
  const row = /** @type {ZoneRow | null} */ (parts.rows.querySelector(`#zone-${CSS.escape(zone.id)} zone-row`));
  row?.open(kept.tempC - zone.wanted_c);
}

/**
 * Replace what stands in a place, unless it already says the same.
 *
 * @param {HTMLElement} place
 * @param {HTMLElement[]} nodes
 */
function put(place, nodes) {
  const standing = [...place.children];
  const same = standing.length === nodes.length && nodes.every((node, index) => standing[index].isEqualNode(node));
  if (!same) place.replaceChildren(...nodes);
}

parts.rows.addEventListener("hold-open", (event) => {
  for (const row of parts.rows.querySelectorAll("zone-row")) {
    if (row !== event.target && row.querySelector("hold-panel")) /** @type {ZoneRow} */ (row).close();
  }
});
parts.tabular.addEventListener("toggle", later);
setInterval(later, AGEING_MS);
addEventListener("pagehide", () => live.stop());
addEventListener("pageshow", (event) => event.persisted && location.reload());
addEventListener("online", () => live.nudge());
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && live.nudge());

live.run();
