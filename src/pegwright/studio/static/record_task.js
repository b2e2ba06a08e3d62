/** A page that works with one record of the library: its form, what is asked, what is kept. */
import { el, icon, say, sayFailure } from "./page.js";
import { Refusal, request, sentence } from "./request.js";
import { SheetForm } from "./form.js";

const UNITS = "pegwright-units";
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));

export class RecordTask {
  /**
   * The page has a form `#form` with a place `#fields` in it, a place `#result` and `#heard`.
   * @param {string} address of the API, whose form stands under `/form`
   * @param {{show: (found: any) => void, closed?: string[], live?: boolean}} how `show` lays out an
   *   answer; where `live`, it is asked anew whenever a field is left.
   */
  constructor(address, how) {
    const root = byId("task");
    this.address = address;
    this.how = how;
    this.revision = Number(root.dataset.revision);
    this.place = byId("result");
    /** @type {Record<string, string>} */
    this.values = {};
    this.shown = false;
    this.turn = 0;
    this.form = new SheetForm(byId("fields"), {
      closed: new Set(how.closed ?? []),
      change: (path, value, sure) => this.changed(path, String(value), sure),
    });
    byId("form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.submitted();
    });
  }

  /** Show the form, with what the address says and with the units of last time. */
  async open() {
    this.groups = await request("GET", `${this.address}/form`);
    const told = new URLSearchParams(location.search);
    for (const field of this.groups.flatMap((group) => group.fields)) {
      if (told.has(field.path)) field.value = told.get(field.path);
      else if (field.path === "units") field.value = lastUnits() || field.value;
      if (field.value) field.more = false;
      this.values[field.path] = field.value;
    }
    this.form.show(this.groups);
  }

  /** Write values into the form. @param {Record<string, string>} values */
  write(values) {
    for (const field of this.groups.flatMap((group) => group.fields)) {
      if (field.path in values) this.values[field.path] = values[field.path];
      field.value = this.values[field.path] ?? "";
    }
    this.form.show(this.groups);
  }

  changed(path, value, sure) {
    const other = this.values[path] !== value;
    this.values[path] = value;
    if (path === "units") keepUnits(value);
    if (other) this.old = true;
    if (sure && this.old && this.shown && this.how.live) this.ask();
    else if (this.old && this.shown) this.place.classList.add("old-answer");
  }

  /** What is asked: the fields that are not empty. */
  filled() {
    return Object.fromEntries(Object.entries(this.values).filter(([, value]) => value.trim()));
  }

  query() {
    return new URLSearchParams(this.filled());
  }

  /** What the button of the form does, unless a page says otherwise. */
  submitted() {
    this.ask({ asked: true });
  }

  /**
   * Ask, and show the answer; an answer that was asked for earlier never covers a later one.
   * @param {{asked?: boolean, quiet?: boolean}} [how] asked by the maker; quiet says no refusal.
   */
  async ask({ asked = false, quiet = false } = {}) {
    const mine = ++this.turn;
    const query = this.query();
    this.old = false;
    try {
      const found = await request("GET", `${this.address}?${query}`);
      if (mine !== this.turn) return;
      this.form.refuse(found.problems?.filter((problem) => problem.field) ?? []);
      this.place.classList.remove("old-answer");
      this.shown = true;
      history.replaceState(null, "", `?${query}`);
      this.how.show(found);
      if (asked && found.problems?.length) this.toWrong();
    } catch (failure) {
      if (mine === this.turn && !quiet) this.refused(failure, asked);
    }
  }

  /** Say a refusal beside its field. @param {unknown} failure @param {boolean} [focus] */
  refused(failure, focus = true) {
    if (this.shown) this.place.classList.add("old-answer");
    if (!(failure instanceof Refusal)) {
      sayFailure(failure);
      return;
    }
    this.form.refuse(failure.data.field ? [failure.data] : []);
    const wrong = document.querySelector('#fields [aria-invalid="true"]');
    if (!wrong) sayFailure(failure);
    else if (focus) this.toWrong();
    this.heard(sentence(failure.data));
  }

  toWrong() {
    /** @type {HTMLElement|null} */ (document.querySelector('#fields [aria-invalid="true"]'))?.focus();
  }

  /** Keep something with the record. @param {string} url @param {object} body @param {HTMLElement} button */
  async keep(url, body, button) {
    button.setAttribute("disabled", "");
    try {
      const kept = await request("POST", url, { revision: this.revision, ...body });
      this.revision = kept.revision;
      say(kept.words);
      return kept;
    } catch (failure) {
      this.refused(failure);
      return null;
    } finally {
      button.removeAttribute("disabled");
    }
  }

  /** Said to those who hear the page. @param {string} words */
  heard(words) {
    byId("heard").textContent = words;
  }
}

function lastUnits() {
  try {
    return localStorage.getItem(UNITS) ?? "";
  } catch {
    return "";
  }
}

function keepUnits(units) {
  try {
    localStorage.setItem(UNITS, units);
  } catch {
    // Refused: the next page begins with the usual units.
  }
}

/** A banner with an icon. @param {"good"|"fault"|"note"} kind @param {string} title @param {...(string|Node)} lines */
export function banner(kind, title, ...lines) {
  return el("div", { class: `banner ${kind}` }, kind === "note" ? null : icon(kind === "good" ? "proved" : "fault"),
    el("div", {}, el("p", {}, el("strong", {}, title)),
      ...lines.map((line) => (typeof line === "string" ? el("p", {}, line) : line))));
}

/** Findings, as everywhere. @param {any[]} found */
export function findings(found) {
  return found.map((one) => el("div", { class: `finding ${one.severity}` },
    el("p", {}, el("strong", {}, `${one.label}. `), full(one.what)), el("p", {}, full(`To mend it: ${one.mend}`))));
}

/** Each of several texts as a paragraph. @param {string[]} texts */
export const paragraphs = (texts) => texts.map((text) => el("p", {}, text));

/** A text as a whole sentence. @param {string} text */
export function full(text) {
  const said = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.?!]$/.test(said) ? said : `${said}.`;
}
