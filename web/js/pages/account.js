/** The account page: the first owner's claim, signing in and out, tokens, and the people of the house. */

import "/js/forms/ask-form.js";
import { ask, json } from "/js/api.js";
import { el, say } from "/js/dom.js";
import * as w from "/js/words-account.js";
import { LOCALE } from "/js/words.js";

/**
 * @typedef {{number: number, person: string, kind: "session" | "token", label: string, until: string, used: string}} Proof
 * @typedef {{id: string, role: keyof typeof w.mine.roles, zones: string[], may: string[], owned: boolean,
 *   signed_in: boolean, proofs: Proof[]}} Me
 * @typedef {{id: string, name: string, role: keyof typeof w.people.roles, zones: string[], ended: string | null}} Person
 */

const day = new Intl.DateTimeFormat(LOCALE, { day: "numeric", month: "short", year: "numeric" });
/** @param {string} instant */
const on = (instant) => day.format(new Date(instant));
/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
/** @param {string} path @param {unknown} [body] */
const post = (path, body = {}) => ask(path, json("POST", body));

async function load() {
  try {
    const me = /** @type {Me} */ (await ask("/api/me"));
    if (!me.owned) show(w.claim.heading, w.claim.summary, [claimForm()]);
    else await showMine(me);
  } catch (error) {
    const problem = /** @type {import("/js/api.js").Problem} */ (error);
    if (problem.status === 401) show(w.signIn.heading, w.signIn.summary, [signInForm()]);
    else show(w.signIn.heading, problem.message, []);
  }
}

/** @param {string} heading @param {string} summary @param {Node[]} nodes */
function show(heading, summary, nodes) {
  say(part("heading"), heading);
  say(part("summary"), summary);
  part("view").replaceChildren(...nodes);
}

/** @param {import("/js/forms/ask-form.js").Asked} value @returns {HTMLElement} */
function form(value) {
  const made = document.createElement("ask-form");
  Object.assign(made, { value });
  return made;
}

function claimForm() {
  return form({
    heading: w.claim.form,
    boxes: [
      { name: "code", label: w.claim.code },
      { name: "id", label: w.claim.id, autocomplete: "username" },
      { name: "name", label: w.claim.name, autocomplete: "name" },
      { name: "password", label: w.claim.password, type: "password", autocomplete: "new-password" },
    ],
    button: w.claim.send,
    send: async (typed) => {
      await post("/api/claim", typed);
      await load();
    },
  });
}

function signInForm() {
  return form({
    heading: "",
    boxes: [
      { name: "id", label: w.signIn.id, autocomplete: "username" },
      { name: "password", label: w.signIn.password, type: "password", autocomplete: "current-password" },
    ],
    button: w.signIn.send,
    send: async (typed) => {
      await post("/api/session", typed);
      const next = new URLSearchParams(location.search).get("next");
      if (next && /^\/(?!\/)/.test(next)) location.assign(next); // only to a page of this machine
      else await load();
    },
  });
}

/** @param {Me} me */
async function showMine(me) {
  const nodes = [doing(w.mine.signOut, () => post("/api/session/end")), proofs(me), passwordForm(me), tokenForm(me)];
  if (me.may.includes("manage-people")) nodes.push(...(await people(me)));
  const zones = me.zones.length ? ` ${w.mine.zones(me.zones.join(", "))}` : "";
  show("Account", w.mine.summary(me.id, w.mine.roles[me.role]) + zones, nodes);
}

/** @param {string} text @param {() => Promise<unknown>} act @returns {HTMLElement} */
function doing(text, act) {
  const button = el("button", { type: "button", class: "quiet" }, text);
  button.addEventListener("click", async () => {
    try {
      await act();
      await load();
    } catch (error) {
      say(part("summary"), /** @type {Error} */ (error).message);
    }
  });
  return button;
}

/** @param {Me} me */
function proofs({ proofs: all }) {
  const rows = all.map((proof) =>
    el(
      "li",
      {},
      el(
        "span",
        {},
        proof.kind === "session" ? w.mine.session : w.mine.token(proof.label),
        el("small", {}, w.mine.until(on(proof.used), on(proof.until))),
      ),
      doing(w.mine.end, () => post(`/api/proofs/${proof.number}/end`)),
    ),
  );
  return el("section", { class: "card" }, el("h2", {}, w.mine.proofs), el("ul", { class: "people" }, ...rows));
}

/** @param {Me} me */
function passwordForm({ id }) {
  return form({
    heading: w.mine.password,
    boxes: [
      { name: "id", value: id, autocomplete: "username" }, // for the browser's own keeper of passwords; not shown
      { name: "present", label: w.mine.present, type: "password", autocomplete: "current-password" },
      { name: "password", label: w.mine.next, type: "password", autocomplete: "new-password" },
    ],
    button: w.mine.change,
    send: async ({ present, password }) => {
      await post(`/api/people/${id}/password`, { present, password });
      await load();
      say(part("summary"), w.mine.changed);
    },
  });
}

/** @param {Me} me */
function tokenForm({ id }) {
  return form({
    heading: w.mine.newToken,
    boxes: [{ name: "label", label: w.mine.label }],
    button: w.mine.make,
    send: async (typed) => {
      const { token } = await post(`/api/people/${id}/tokens`, typed);
      await load();
      const shown = el("p", { class: "card" }, w.mine.made, el("br"), el("code", { class: "secret" }, token));
      part("view").prepend(shown);
    },
  });
}

/** @param {Me} me @returns {Promise<Node[]>} */
async function people(me) {
  const { people: all } = /** @type {{people: Person[]}} */ (await ask("/api/people"));
  const rows = all.map((person) =>
    el(
      "li",
      {},
      el(
        "span",
        {},
        `${person.name} (${person.id})`,
        el("small", {}, person.ended ? w.people.closed(on(person.ended)) : w.people.of(person.role, person.zones.join(", "))),
      ),
      !person.ended && person.id !== me.id && doing(w.people.close, () => post(`/api/people/${person.id}/close`)),
    ),
  );
  const adding = form({
    heading: w.people.add,
    boxes: [
      { name: "id", label: w.people.id },
      { name: "name", label: w.people.name },
      { name: "role", label: w.people.role, choices: w.people.roles },
      { name: "zones", label: w.people.zones, optional: true },
      { name: "password", label: w.people.password, type: "password", autocomplete: "new-password" },
    ],
    button: w.people.send,
    send: async ({ zones, ...typed }) => {
      const named = zones.split(",").map((zone) => zone.trim()).filter(Boolean);
      await post("/api/people", { ...typed, zones: named });
      await load();
    },
  });
  return [el("section", { class: "card" }, el("h2", {}, w.people.heading), el("ul", { class: "people" }, ...rows)), adding];
}

await load();
