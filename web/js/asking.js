/** What ingle answers while a room is being typed: asked after each pause, and only the newest question counts. */

import { given, pathIn } from "/js/survey.js";
import { tried } from "/js/trial.js";
import { survey as words } from "/js/words.js";

/**
 * @typedef {import("/js/api.js").Fields} Fields
 * @typedef {import("/js/api.js").Problem} Problem
 * @typedef {import("/js/trial.js").Fault} Fault
 */

/** A pause in typing after which the figures follow, and how long to wait for ingle to come back. */
const PAUSE_MS = 150;
const AGAIN_MS = 3000;

export class Asking {
  /** @type {import("/js/api.js").ZoneDesign | null} */
  design = null;
  /** @type {string[]} */
  without = [];
  offline = false;
  /** @type {Fault[]} */
  #found = [];
  /** @type {number | null} the level for which saving wanted a reason: trying a house asks for none */
  refused = null;
  #asked = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;

  /**
   * @param {() => {document: import("/js/api.js").HouseDocument, zone: Fields}} typed the house with the room as it is typed
   * @param {() => void} answered what to do with an answer
   * @param {(problem: Problem) => void} failed what to do where ingle would not answer the question
   */
  constructor(typed, answered, failed) {
    this.typed = typed;
    this.answered = answered;
    this.failed = failed;
  }

  /** @returns {Fault[]} */
  get faults() {
    if (this.refused === null || !wantsReason(this.typed().zone)) return this.#found;
    return [...this.#found, { path: ["cooler_reason"], value: this.refused, allowed: "", sentence: words.coolerRefused(`${this.refused}`) }];
  }

  /** Ask after a pause in typing. */
  soon() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.now(), PAUSE_MS);
  }

  async now() {
    const asked = ++this.#asked;
    const { document, zone } = this.typed();
    try {
      const found = await tried(document, zone);
      if (asked !== this.#asked) return;
      this.offline = false;
      [this.design, this.#found, this.without] = [found.design, found.faults, found.without];
    } catch (error) {
      if (asked !== this.#asked) return;
      this.#failed(/** @type {Problem} */ (error));
    }
    this.answered();
  }

  /** Ask no more: the page shows something else. */
  stop() {
    clearTimeout(this.#timer);
    this.#asked += 1;
  }

  /**
   * Keep a refusal to save that wants a reason for a cooler room, until the reason is there.
   *
   * @param {Problem} problem
   * @returns {boolean} whether it was one
   */
  keepRefusal(problem) {
    const { document, zone } = this.typed();
    const place = document.zone.findIndex(({ id }) => id === zone.id);
    const found = problem.errors.find(({ pointer }) => isLevel(pointer, place));
    this.refused = found && wantsReason(zone) ? Number(found.value) : null;
    return this.refused !== null;
  }

  /** @param {Problem} problem */
  #failed(problem) {
    this.offline = problem.status === 0;
    clearTimeout(this.#timer);
    if (this.offline) this.#timer = setTimeout(() => void this.now(), AGAIN_MS);
    else this.failed(problem);
  }
}

/** @param {Fields} zone */
const wantsReason = ({ vulnerable, cooler_reason }) => vulnerable === true && !(given(cooler_reason) && cooler_reason.trim());

/**
 * The occupied level of this room, its own or the house's.
 *
 * @param {string} pointer
 * @param {number} place of the zone in its document
 */
const isLevel = (pointer, place) => pointer === "/house/levels/occupied_c" || pathIn(pointer, place)?.join("/") === "levels/occupied_c";
