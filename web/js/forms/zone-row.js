/**
 * `<zone-row>`: a room's name and state, its band gauge, its power bar, its why line, and what can be done about it.
 *
 * The row is built once and then only told what changed, so focus, an open explanation and a half-made choice survive
 * every event of the live feed. The row asks; the page answers (`ask`), because the page owns the link.
 */

import "/js/forms/band-gauge.js";
import "/js/forms/hold-panel.js";
import "/js/forms/power-bar.js";
import "/js/forms/undo-line.js";
import "/js/forms/why-line.js";
import { el, say } from "/js/dom.js";
import { proofSheet } from "/js/forms/proof-sheet.js";
import { gaugeValue, powerValue, problemInWords, undoRequest, whyValue } from "/js/present.js";
import * as words from "/js/words.js";

/**
 * @typedef {import("/js/api.js").ZoneNow} ZoneNow
 * @typedef {import("/js/api.js").ZoneRequest} ZoneRequest
 * @typedef {import("/js/present.js").View} View
 * @typedef {(zone: string, request: ZoneRequest) => Promise<ZoneNow>} Ask
 * @typedef {(zone: string, at?: string) => Promise<import("/js/api-explain.js").Explanation>} Explain
 */

const FIRST_STEP_C = 1;
const HOURS = [1, 2, 4];
/** How long a plain answer stands. */
const SAID_MS = 10_000;
/** An end nearer than this is no choice: it would be over before the room felt it. */
const SOON_MS = 10 * 60_000;
const HOUR_MS = 3_600_000;

export class ZoneRow extends HTMLElement {
  /** @type {ZoneNow | null} */
  zone = null;
  /** @type {Omit<View, "proposedC"> | null} */
  view = null;
  /** @type {Ask} */
  ask = () => Promise.reject(new Error("no page answers this row"));
  /** @type {Explain} */
  explain = () => Promise.reject(new Error("no page explains this row"));
  /** @type {(tempC: number | null) => void} */
  drafted = () => undefined;

  #name = el("h3");
  #state = el("p", { class: "state" });
  #gauge = /** @type {import("/js/forms/band-gauge.js").BandGauge} */ (el("band-gauge"));
  #power = /** @type {import("/js/forms/power-bar.js").PowerBar} */ (el("power-bar"));
  #why = /** @type {import("/js/forms/why-line.js").WhyLine} */ (el("why-line"));
  #cooler = el("button", { type: "button", class: "cooler", click: () => this.open(-FIRST_STEP_C, this.#cooler) });
  #warmer = el("button", { type: "button", class: "warmer", click: () => this.open(FIRST_STEP_C, this.#warmer) });
  #release = el("button", { type: "button", class: "release", click: () => this.#send({ do: "release" }) });
  #below = el("div", { class: "below" });
  /** @type {import("/js/forms/hold-panel.js").HoldPanel | null} */
  #panel = null;
  /** @type {HTMLElement} */
  #opener = this.#warmer;

  connectedCallback() {
    if (this.firstChild) return;
    this.#cooler.append(el("span", { class: "sign", "aria-hidden": "true" }, "−"), ` ${words.act.cooler}`);
    this.#warmer.append(el("span", { class: "sign", "aria-hidden": "true" }, "+"), ` ${words.act.warmer}`);
    say(this.#release, words.act.release);
    this.#why.prove = (hours) => this.#prove(hours);
    this.append(
      el("div", { class: "name" }, this.#name, this.#state),
      this.#gauge,
      this.#power,
      el("div", { class: "act" }, this.#cooler, this.#warmer, this.#release),
      this.#why,
      this.#below,
    );
  }

  /** True while moving the row would take something from under a person's hand. */
  get inUse() {
    return this.#below.hasChildNodes() || this.contains(document.activeElement);
  }

  /**
   * @param {ZoneNow} zone
   * @param {Omit<View, "proposedC">} view
   */
  update(zone, view) {
    this.zone = zone;
    this.view = view;
    const whole = { ...view, proposedC: this.#panel?.tempC ?? null };
    say(this.#name, zone.name);
    const state = words.states[zone.state] ?? zone.state;
    say(this.#state, zone.temp_c !== null && zone.quality === "stale" ? words.now.stale(state) : state);
    this.#gauge.value = gaugeValue(zone, whole);
    this.#power.value = powerValue(zone, whole);
    this.#why.value = whyValue(zone, whole);
    this.#cooler.setAttribute("aria-label", words.act.coolerFor(zone.name));
    this.#warmer.setAttribute("aria-label", words.act.warmerFor(zone.name));
    this.#release.hidden = !zone.held;
    this.classList.toggle("attention", view.notices.length > 0);
  }

  /**
   * The first step: propose a temperature and ask until when.
   *
   * @param {number} stepC from what is wanted now
   * @param {HTMLElement} [opener] where the keyboard goes back to
   */
  open(stepC, opener = this.#warmer) {
    if (!this.zone || !this.view) return;
    const { zone, view } = this;
    this.#opener = opener;
    this.#panel = /** @type {import("/js/forms/hold-panel.js").HoldPanel} */ (el("hold-panel"));
    this.#panel.value = {
      zone: zone.name,
      tempC: Math.min(35, Math.max(1, zone.wanted_c + stepC)),
      ends: ends(zone, view),
      format: view.fmt.temperature,
      changed: (tempC) => this.#draft(tempC),
      hold: (tempC, span) => this.#send({ do: "override", temp_c: tempC, ...span }),
      close: () => this.close(),
    };
    this.#below.replaceChildren(this.#panel);
    this.#draft(this.#panel.tempC);
    this.#panel.enter();
    this.dispatchEvent(new CustomEvent("hold-open", { bubbles: true }));
  }

  /**
   * The proof behind the sentence, or why there is none.
   *
   * @param {number} hours of how long ago; 0 is now
   */
  async #prove(hours) {
    const { zone, view } = this;
    if (!zone || !view) return el("p");
    try {
      const at = hours ? new Date(view.nowMs - hours * HOUR_MS).toISOString() : undefined;
      return proofSheet(await this.explain(zone.id, at), view.fmt, hours, (back) => this.#why.ask(back));
    } catch (error) {
      return el("p", { class: "note" }, problemInWords(/** @type {import("/js/api.js").Problem} */ (error)));
    }
  }

  /** Leave everything as it is and give the keyboard back. */
  close() {
    const focused = this.#below.contains(document.activeElement);
    this.#below.replaceChildren();
    this.#panel = null;
    this.#draft(null);
    if (focused) this.#opener.focus();
  }

  /** @param {number | null} tempC */
  #draft(tempC) {
    this.drafted(tempC);
    if (this.zone && this.view) this.#gauge.value = gaugeValue(this.zone, { ...this.view, proposedC: tempC });
  }

  /**
   * @param {ZoneRequest} request
   * @param {boolean} [undoing]
   */
  async #send(request, undoing = false) {
    const before = this.zone;
    if (!before || !this.view) return;
    if (this.#panel) this.#panel.busy = true;
    try {
      const after = await this.ask(before.id, request);
      const done = undoing ? words.act.undone(before.name) : doneWords(request, after, this.view);
      this.#done(done, undoing ? null : undoRequest(before));
    } catch (error) {
      this.#refused(problemInWords(/** @type {import("/js/api.js").Problem} */ (error)));
    }
  }

  /**
   * @param {string} text
   * @param {ZoneRequest | null} back
   */
  #done(text, back) {
    this.#panel = null;
    this.#draft(null);
    if (!back) {
      const said = el("p", { class: "said", role: "status" }, text);
      this.#below.replaceChildren(said);
      this.#opener.focus();
      setTimeout(() => said.remove(), SAID_MS);
      return;
    }
    const line = /** @type {import("/js/forms/undo-line.js").UndoLine} */ (el("undo-line"));
    line.value = { done: text, undo: () => this.#send(back, true), gone: () => this.close() };
    this.#below.replaceChildren(line);
    line.enter();
  }

  /** @param {string} text */
  #refused(text) {
    if (this.#panel) this.#panel.problem = text;
    else this.#below.replaceChildren(el("p", { class: "note", role: "alert" }, text));
  }
}

/**
 * The ends on offer: the next change the programme already knows, and some hours.
 *
 * @param {ZoneNow} zone
 * @param {Omit<View, "proposedC">} view
 * @returns {import("/js/forms/hold-panel.js").End[]}
 */
function ends(zone, { fmt, nowMs }) {
  const hours = HOURS.map((count) => ({ label: words.act.hours(count), hint: "", span: { for: `PT${count}H` } }));
  const change = zone.next?.at ?? zone.until;
  if (!change || Date.parse(change) - nowMs < SOON_MS) return hours;
  const next = { label: words.act.until(fmt.when(change, nowMs)), hint: words.act.nextChange, span: { until: change } };
  return [...hours, next];
}

/**
 * @param {ZoneRequest} request
 * @param {ZoneNow} after
 * @param {Omit<View, "proposedC">} view
 */
function doneWords(request, after, { fmt, nowMs }) {
  if (request.do === "release") return words.act.released(after.name);
  const temp = words.withUnit(fmt.temperature(request.temp_c ?? after.wanted_c), words.units.celsius);
  return words.act.done(after.name, temp, after.until ? fmt.when(after.until, nowMs) : "");
}

customElements.define("zone-row", ZoneRow);
