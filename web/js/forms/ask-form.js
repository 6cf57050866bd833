/**
 * `<ask-form>`: a few boxes and a button. What ingle refuses is said at its box, or above the button; nothing that was
 * typed is lost by it.
 */

import { el, say } from "/js/dom.js";

/**
 * @typedef {{name: string, label?: string, value?: string, type?: string, autocomplete?: string,
 *   choices?: Record<string, string>, optional?: boolean}} Box one without a label is not shown
 * @typedef {{heading: string, boxes: Box[], button: string, send: (typed: Record<string, string>) => Promise<void>}} Asked
 */

let made = 0;

export class AskForm extends HTMLElement {
  /** @param {Asked} asked */
  set value({ heading, boxes, button, send }) {
    const rest = el("p", { class: "note", role: "alert", hidden: true });
    const form = el(
      "form",
      { novalidate: true },
      heading !== "" && el("h2", {}, heading),
      ...boxes.map(field),
      rest,
      el("div", { class: "doing" }, el("button", { type: "submit", class: "save" }, button)),
    );
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      this.#say({}, rest, "");
      const typed = Object.fromEntries(/** @type {[string, string][]} */ ([...new FormData(/** @type {HTMLFormElement} */ (form))]));
      try {
        await send(typed);
      } catch (error) {
        const problem = /** @type {import("/js/api.js").Problem} */ (error);
        const at = Object.fromEntries((problem.errors ?? []).map(({ pointer, allowed }) => [pointer.split("/")[1], allowed]));
        this.#say(at, rest, Object.keys(at).length ? "" : problem.message);
      }
    });
    this.replaceChildren(form);
  }

  /** Put the keyboard on the first box. */
  enter() {
    /** @type {HTMLElement | null} */ (this.querySelector("input, select"))?.focus();
  }

  /**
   * @param {Record<string, string>} faults by box
   * @param {HTMLElement} rest
   * @param {string} problem what belongs to no box
   */
  #say(faults, rest, problem) {
    for (const each of /** @type {NodeListOf<HTMLElement>} */ (this.querySelectorAll(".field"))) {
      const fault = faults[each.dataset.field ?? ""] ?? "";
      each.classList.toggle("wrong", fault !== "");
      each.querySelector("input, select")?.setAttribute("aria-invalid", String(fault !== ""));
      say(each.querySelector(".said"), fault);
    }
    /** @type {HTMLElement | null} */ (this.querySelector(".field.wrong :is(input, select)"))?.focus();
    rest.hidden = problem === "";
    say(rest, problem);
  }
}

/** @param {Box} box @returns {HTMLElement} */
function field({ name, label, value = "", type = "text", autocomplete = "off", choices, optional = false }) {
  if (label === undefined) return el("input", { name, value, autocomplete, hidden: true });
  const id = `ask-${(made += 1)}`;
  const about = { id, name, "aria-describedby": `${id}-said`, "aria-required": String(!optional) };
  const entry = choices
    ? el("select", about, ...Object.entries(choices).map(([value, text]) => el("option", { value }, text)))
    : el("input", { ...about, type, autocomplete, autocapitalize: "none", spellcheck: "false" });
  return el(
    "div",
    { class: "field", "data-field": name },
    el("label", { for: id }, label),
    el("div", { class: "entry" }, entry),
    el("p", { class: "said", id: `${id}-said` }),
  );
}

customElements.define("ask-form", AskForm);
