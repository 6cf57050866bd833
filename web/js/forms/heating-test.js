/**
 * `<heating-test>`: some nights at one level in an empty house - start it, follow it, stop it, read what it tells.
 *
 * One test runs at a time in the house. While one does, its progress stands here on every room's page; else the room's
 * last result, and the form to start another.
 */

import "/js/forms/heating-test-form.js";
import { heatingTests, stopTest } from "/js/api-heating-test.js";
import { el, say } from "/js/dom.js";
import { tested } from "/js/forms/heating-test-result.js";
import { marginNote } from "/js/forms/why-line.js";
import { problemInWords } from "/js/present.js";
import * as words from "/js/words.js";
import * as w from "/js/words-heating-test.js";

/**
 * @typedef {import("/js/api-heating-test.js").HeatingTestShown} HeatingTestShown
 * @typedef {{zone: {id: string, name: string}, names: Record<string, string>,
 *   fmt: import("/js/format.js").Formats}} TestValue `names`: of all rooms by id
 */

/** How often a running test is looked at again [ms]. */
const AGAIN_MS = 30_000;

export class HeatingTest extends HTMLElement {
  /** @type {TestValue | null} */
  #value = null;
  #timer = 0;
  #drawn = "";

  /** @param {TestValue} value */
  set value(value) {
    this.#value = value;
    this.replaceChildren(el("p", { class: "small", role: "status" }, w.loading));
    this.#load();
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
  }

  async #load() {
    clearTimeout(this.#timer);
    const value = this.#value;
    if (!value) return;
    try {
      this.#draw(value, await heatingTests());
    } catch (error) {
      this.#refuse(/** @type {import("/js/api.js").Problem} */ (error));
    }
    if (this.isConnected) this.#timer = setTimeout(() => this.#load(), AGAIN_MS);
  }

  /** @param {TestValue} value @param {HeatingTestShown[]} tests newest first */
  #draw(value, tests) {
    const open = tests.find(({ test }) => !["done", "ended-early"].includes(test.stage));
    const last = tests.find(({ test }) => test.zones.includes(value.zone.id));
    const shown = open ?? last;
    // What has not changed stays: a form that is being filled in, a stop that is being thought over.
    const key = JSON.stringify([shown ?? null, open === undefined]);
    if (key === this.#drawn && this.firstElementChild?.getAttribute("role") !== "status") return;
    this.#drawn = key;
    if (open) return this.replaceChildren(this.#progress(value, open));
    const again = /** @type {import("/js/forms/heating-test-form.js").HeatingTestForm} */ (el("heating-test-form"));
    again.value = { ...value, started: () => this.#load() };
    this.replaceChildren(...(last ? [this.#last(value, last)] : []), again);
  }

  /** @param {TestValue} value @param {HeatingTestShown} shown */
  #progress({ zone, names, fmt }, shown) {
    const { test, nights_done, waits_for, result } = shown;
    const room = result?.zones.find(({ id }) => id === zone.id);
    const held = list([...test.zones, ...test.guards].map((id) => names[id] ?? id));
    const p = w.progress;
    return el(
      "div",
      { class: "test-now" },
      el("h3", {}, p.title(test.number, w.stages[test.stage] ?? test.stage)),
      el("p", { class: "waits", role: "status" }, waits_for),
      el("p", {}, p.holds(held, words.withUnit(fmt.level(test.temp_c), words.units.celsius))),
      el("p", {}, p.nights(nights_done, test.nights, room?.good_nights ?? 0), " ", p.ends(`${fmt.fullDate(test.end)}, ${fmt.time(test.end)}`)),
      !test.zones.includes(zone.id) && el("p", {}, p.elsewhere(list(test.zones.map((id) => names[id] ?? id)))),
      marginNote({ head: words.notice.attention, body: p.empty, urgent: false }),
      room && tested(room, fmt),
      this.#stopper(test),
    );
  }

  /** Two steps, so that a slip of the thumb does not throw nights away. @param {import("/js/api-heating-test.js").HeatingTest} test */
  #stopper(test) {
    const p = w.progress;
    const error = el("p", { class: "note", role: "alert", hidden: true });
    const first = el("button", { type: "button", class: "stop" }, p.stop);
    const sure = el("button", { type: "button" }, p.sure);
    const keep = el("button", { type: "button", class: "quiet" }, p.keep);
    const second = el("div", { class: "doing", hidden: true, role: "group", "aria-label": p.stop }, el("p", { class: "small" }, p.why), sure, keep);
    const ask = (/** @type {boolean} */ on) => {
      second.hidden = !on;
      first.hidden = on;
      (on ? sure : first).focus();
    };
    first.addEventListener("click", () => ask(true));
    keep.addEventListener("click", () => ask(false));
    second.addEventListener("keydown", (event) => event.key === "Escape" && ask(false));
    sure.addEventListener("click", async () => {
      try {
        await stopTest(test.number, { who: test.who });
        await this.#load();
      } catch (problem) {
        error.hidden = false;
        say(error, problemInWords(/** @type {import("/js/api.js").Problem} */ (problem)));
      }
    });
    return el("div", {}, first, second, error);
  }

  /** @param {TestValue} value @param {HeatingTestShown} last */
  #last({ zone, fmt }, { test, result }) {
    const room = result?.zones.find(({ id }) => id === zone.id);
    return el(
      "div",
      { class: "test-last" },
      el("h3", {}, `${w.result.title(test.number)}, ${fmt.fullDate(test.ended ?? test.end)}`),
      test.stage === "ended-early" && el("p", {}, w.result.ended(test.reason)),
      room && result ? tested(room, fmt, result) : el("p", { class: "small", role: "status" }, w.progress.working),
    );
  }

  /** @param {import("/js/api.js").Problem} problem */
  #refuse(problem) {
    this.#drawn = "";
    const body = problem.status === 0 ? words.problem.silentRead : problemInWords(problem);
    this.replaceChildren(
      marginNote({ head: w.failed, body, urgent: false }),
      el("button", { type: "button", click: () => this.#load() }, w.again),
    );
  }
}

/** @param {string[]} names */
function list(names) {
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

customElements.define("heating-test", HeatingTest);
