/**
 * The live feed: Server-Sent Events read through fetch, so that silence can be noticed.
 *
 * The browser's own reader hides heartbeats (comment lines), and with them the only sign that a link which looks open
 * is still alive. Here every byte counts: after SILENCE_MS without one the link is called lost and made anew, with
 * capped back-off and jitter. The server sends its whole state first, so nothing is missed by reconnecting.
 */

import { problem, signIn } from "/js/api.js";

const SILENCE_MS = 40_000; // the server's heartbeat is 15 s
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 15_000;

/**
 * @typedef {{event: string, data: string}} Message
 * @typedef {{
 *   message: (name: string, data: any) => void,
 *   opened: () => void,
 *   up: () => void,
 *   down: (lastHeard: number | null) => void,
 * }} Listener
 */

/** Cuts a stream of text into Server-Sent Events; text may arrive in any pieces. */
export class EventParser {
  constructor() {
    this.rest = "";
    this.event = "";
    /** @type {string[]} */
    this.data = [];
  }

  /**
   * @param {string} text
   * @returns {Message[]} the events that this text completed
   */
  push(text) {
    const lines = (this.rest + text).split(/\r\n|\n|\r(?!$)/u);
    this.rest = lines.pop() ?? "";
    return lines.map((line) => this.#line(line)).filter((message) => message !== null);
  }

  /**
   * @param {string} line
   * @returns {Message | null}
   */
  #line(line) {
    if (line === "") return this.#complete();
    const [, field, value] = /^([^:]*):? ?(.*)$/su.exec(line) ?? ["", "", ""];
    if (field === "event") this.event = value;
    if (field === "data") this.data.push(value);
    return null;
  }

  /** @returns {Message | null} */
  #complete() {
    const message = { event: this.event || "message", data: this.data.join("\n") };
    const empty = this.data.length === 0;
    this.event = "";
    this.data = [];
    return empty ? null : message;
  }
}

/** A feed that stays up until it is stopped. */
export class Live {
  /**
   * @param {string} path
   * @param {Listener} listener
   */
  constructor(path, listener) {
    this.path = path;
    this.listener = listener;
    /** @type {number | null} */
    this.lastHeard = null;
    this.stopped = false;
    this.wait = FIRST_WAIT_MS;
    /** @type {AbortController | null} */
    this.link = null;
    /** @type {(() => void) | null} */
    this.hurry = null;
  }

  /** Keep the feed up; returns when stopped. */
  async run() {
    while (!this.stopped) {
      try {
        await this.#listen();
      } catch {
        // Whatever ended the link, the answer is the same: say so, wait, try again.
      }
      if (this.stopped) return;
      this.listener.down(this.lastHeard);
      await this.#pause();
    }
  }

  /** Close the feed for good, as when the page goes away. */
  stop() {
    this.stopped = true;
    this.link?.abort();
    this.hurry?.();
  }

  /** Try now rather than after the wait: the page came back to the front, or the network did. */
  nudge() {
    this.wait = FIRST_WAIT_MS;
    if (this.lastHeard !== null && Date.now() - this.lastHeard > SILENCE_MS) this.link?.abort();
    this.hurry?.();
  }

  async #listen() {
    this.link = new AbortController();
    let watchdog = this.#watch();
    try {
      const answer = await fetch(this.path, {
        headers: { Accept: "text/event-stream" },
        cache: "no-store",
        signal: this.link.signal,
      });
      if (answer.status === 401) signIn();
      if (!answer.ok || !answer.body) throw await problem(answer);
      this.listener.opened();
      const parser = new EventParser();
      const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
      for (;;) {
        const { done, value } = await reader.read();
        if (done) return;
        clearTimeout(watchdog);
        watchdog = this.#watch();
        this.#heard(parser.push(value));
      }
    } finally {
      clearTimeout(watchdog);
    }
  }

  /** @param {Message[]} messages */
  #heard(messages) {
    this.lastHeard = Date.now();
    this.wait = FIRST_WAIT_MS;
    this.listener.up();
    for (const { event, data } of messages) this.listener.message(event, JSON.parse(data));
  }

  #watch() {
    return setTimeout(() => this.link?.abort(), SILENCE_MS);
  }

  async #pause() {
    const wait = this.wait * (0.75 + Math.random() / 2);
    this.wait = Math.min(LONGEST_WAIT_MS, this.wait * 2);
    await new Promise((resolve) => {
      this.hurry = () => resolve(undefined);
      setTimeout(resolve, wait);
    });
    this.hurry = null;
  }
}
