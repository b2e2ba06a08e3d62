/**
 * A form from the studio's own description of it: groups of fields, and lists of rows.
 *
 * The same form is drawn anew after every change.  Where its shape is as before, only values and
 * refusals are written, so that the field one types in keeps its caret.  A list may stand inside a
 * row or a group: the courses of a wrap, and in each its passes.
 */
import { el, icon } from "./page.js";

/**
 * @typedef {{path: string, label: string, kind: string, value: string, help: string,
 *   required: boolean, more: boolean, part: string, broad: boolean, usual: string, also: string,
 *   choices: {value: string, label: string, lang: string}[]}} Field
 * @typedef {{path: string, title: string, fields: Field[], lists: Group[]}} Row
 * @typedef {{key: string, title: string, words: string, is_list: boolean, ordered: boolean, one: string,
 *   fields: Field[], rows: Row[], lists: Group[]}} Group
 * @typedef {{field: ?string, error: string, try: ?string, given: ?string, line?: ?number}} Problem
 */

const INPUT_MODES = { number: "decimal", count: "numeric" };
const KEPT_IN_LIBRARY = new Set(["yarns", "sizes", "swatches"]);

export class SheetForm {
  /**
   * @param {HTMLElement} root
   * @param {{change: (path: string, value: any, sure: boolean) => void,
   *   add?: (group: Group) => void, remove?: (group: Group, row: Row, at: number) => void,
   *   move?: (group: Group, row: Row, to: number) => void,
   *   keep?: (group: Group, at: number) => void, extra?: (group: Group) => (Node|null), closed?: Set<string>,
   *   text?: (line: ?number) => void}} on what is done with what is typed; sure where the field was
   *   left; `text` leads to the text, for what has no place in the form.
   */
  constructor(root, on) {
    this.root = root;
    this.on = on;
    this.shape = "";
    /** @type {Map<string, boolean>} */
    this.open = new Map();
    /** @type {Map<string, string>} what refusals call a field, where that is not its path */
    this.also = new Map();
    /** @type {Map<string, string>} values that were not taken, with the reason; they stay as typed */
    this.kept = new Map();
    /** @type {Map<string, Group>} every list as it is now, which a button may have been drawn before */
    this.lists = new Map();
    /** @type {Problem[]} */
    this.problems = [];
    this.homeless = el("div", { class: "homeless" });
  }

  /** @param {Group[]} groups @param {Problem[]} problems */
  show(groups, problems = []) {
    const shape = JSON.stringify(groups.map(groupOutline));
    if (shape !== this.shape) {
      const focused = document.activeElement?.id;
      for (const box of this.root.querySelectorAll("details[data-key]")) {
        this.open.set(box.getAttribute("data-key"), /** @type {HTMLDetailsElement} */ (box).open);
      }
      this.root.replaceChildren(this.homeless, ...groups.map((group) => this.group(group)));
      this.shape = shape;
      this.kept.clear();
      if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
    }
    this.also.clear();
    for (const group of groups) this.fill(group);
    this.refuse(problems);
  }

  /** Write what stands in a group's fields, and in those of its lists. @param {Group} group */
  fill(group) {
    if (group.is_list) this.lists.set(group.key, group);
    for (const field of group.fields) this.write(field);
    for (const list of group.lists ?? []) this.fill(list);
    for (const row of group.rows) {
      for (const field of row.fields) this.write(field);
      for (const list of row.lists ?? []) this.fill(list);
      const legend = document.getElementById(idOf(row.path, "legend"));
      if (legend) legend.textContent = row.title;
      for (const tool of document.getElementById(idOf(row.path))?.querySelectorAll(":scope > .row [data-says]") ?? []) {
        tool.setAttribute("aria-label", tool.getAttribute("data-says").replace("…", row.title));
        tool.setAttribute("title", tool.getAttribute("aria-label"));
      }
    }
  }

  /** @param {Field} field */
  write(field) {
    if (field.also) this.also.set(field.also, field.path);
    const input = /** @type {HTMLInputElement} */ (document.getElementById(idOf(field.path)));
    if (!input || this.kept.has(field.path)) return;
    if (field.kind === "flag") input.checked = field.value ? field.value === "true" : field.usual === "yes";
    else if (input !== document.activeElement || !input.dataset.typing) {
      const value = field.kind === "colour" ? colour(field.value || field.usual) : field.value;
      if (input.value !== value) input.value = value;
    }
    const help = document.getElementById(idOf(field.path, "help"));
    if (help && help.textContent !== field.help) help.textContent = field.help;
  }

  /**
   * The place in the form of what a refusal is about: its field, or the row or group around it;
   * empty where there is none. @param {?string} [named]
   */
  placeOf(named) {
    let path = named ?? "";
    while (path && !document.getElementById(idOf(this.also.get(path) ?? path))) {
      path = path.replace(/(\.[^.[\]]*|\[\d+\])$|^[^.[]*$|[\s\S]$/, "");
    }
    return this.also.get(path) ?? path;
  }

  /**
   * A value that was not taken: it stays as it was typed, with the reason beside it.
   * @param {Problem} problem @returns {boolean} whether it has a place here
   */
  keep(problem) {
    const path = this.placeOf(problem.field);
    if (!path) return false;
    this.kept.set(path, sentenceOf(problem));
    this.refuse(this.problems);
    return true;
  }

  /** Mark what is wrong beside its field. @param {Problem[]} problems */
  refuse(problems) {
    this.problems = problems;
    const wrong = new Map(this.kept);
    const homeless = [];
    for (const problem of problems) {
      const path = this.placeOf(problem.field);
      if (!path) homeless.push(problem);
      else if (!wrong.has(path)) wrong.set(path, sentenceOf(problem));
    }
    this.homeless.replaceChildren(...(this.on.text ? homeless.map((one) => this.outside(one)) : []));
    for (const place of this.root.querySelectorAll("[data-wrong]")) {
      const path = place.getAttribute("data-wrong");
      const input = document.getElementById(idOf(path));
      const words = wrong.get(path) ?? "";
      if (place.textContent !== words) place.textContent = words;
      /** @type {HTMLElement} */ (place).hidden = !words;
      if (words && input?.matches("input, select, textarea")) input.setAttribute("aria-invalid", "true");
      else input?.removeAttribute("aria-invalid");
      if (words) for (let box = place.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
    }
  }

  /** What is wrong with a part of the text that the form does not show. @param {Problem} problem */
  outside(problem) {
    return el("div", { class: "finding fault" }, el("p", {}, sentenceOf(problem)),
      el("p", {}, "The form has no place for this part of the text. ",
        el("button", { type: "button", class: "plain", onclick: () => this.on.text?.(problem.line ?? null) },
          problem.line ? `See line ${problem.line} under Text` : "See it under Text")));
  }

  /** A place for what is wrong with a row or a group as a whole. @param {string} path */
  refusal(path) {
    return el("p", { class: "wrong", id: idOf(path, "wrong"), "data-wrong": path, hidden: true });
  }

  /** @param {Group} group */
  group(group) {
    const closed = this.on.closed?.has(group.key) ?? false;
    const open = this.open.get(group.key) ?? !closed;
    const body = group.is_list ? this.rows(group)
      : [this.fields(group.fields, group.key), ...(group.lists ?? []).map((list) => this.list(list))];
    return el("details", { class: "group", "data-key": group.key, "data-list": group.key, id: idOf(group.key), open },
      el("summary", {}, el("h2", {}, group.title)),
      group.words && el("p", { class: "words" }, group.words),
      this.refusal(group.key),
      this.on.extra?.(group) ?? null,
      group.key === "loom" && this.on.keep ? el("p", {}, el("button", { type: "button", onclick: () => this.on.keep(group, 1) },
        icon("keep"), "Keep this board in the library")) : null,
      ...body);
  }

  /** A list inside a row or a group. @param {Group} group */
  list(group) {
    return el("div", { class: "inner-list", "data-list": group.key, id: idOf(group.key) },
      group.title && el("h3", {}, group.title),
      group.words && el("p", { class: "help" }, group.words),
      this.refusal(group.key),
      ...this.rows(group));
  }

  /** @param {Group} group */
  rows(group) {
    const several = group.rows.length > 1 && (group.ordered ?? true);
    const rows = group.rows.map((row, at) => {
      const buttons = el("span", { class: "row" },
        several && this.tool("up", "Move … up", at === 0, () => this.on.move?.(group, row, at)),
        several && this.tool("down", "Move … down", at === group.rows.length - 1,
          () => this.on.move?.(group, row, at + 2)),
        this.on.keep && KEPT_IN_LIBRARY.has(group.key) && this.tool("keep", "Keep … in the library", false,
          () => this.on.keep(group, at + 1)),
        this.tool("remove", "Remove …", false, () => this.on.remove?.(group, row, at + 1)));
      return el("fieldset", { class: "group-row", id: idOf(row.path), "aria-describedby": idOf(row.path, "wrong") },
        el("legend", { id: idOf(row.path, "legend") }, row.title),
        el("div", { class: "row" }, el("span", {}), buttons),
        this.refusal(row.path),
        row.fields.length > 0 && this.fields(row.fields, row.path, at > 0),
        ...(row.lists ?? []).map((list) => this.list(list)));
    });
    const add = el("button", { type: "button", id: `add-${group.key}`, onclick: () => this.on.add?.(this.lists.get(group.key) ?? group) },
      icon("add"), `Add a ${group.one}`);
    return [...rows, el("p", {}, add)];
  }

  /** A button with a picture; … in its words stands for the row's name. */
  tool(name, words, disabled, onclick) {
    return el("button", { type: "button", class: "icon", "data-says": words, disabled, onclick }, icon(name));
  }

  /** @param {Field[]} fields @param {string} key @param {boolean} [again] helps are shown further up already */
  fields(fields, key, again = false) {
    const usual = fields.filter((f) => !f.more && !f.part).map((f) => this.field(f, again));
    const more = fields.filter((f) => f.more && !f.part);
    const box = el("div", {}, el("div", { class: "fields" }, ...usual));
    for (const part of new Set(fields.map((f) => f.part).filter(Boolean))) {
      box.append(this.part(part, key, fields.filter((f) => f.part === part), again));
    }
    if (more.length) box.append(this.part("More, seldom needed", key, more, again));
    return box;
  }

  /** Fields under a title of their own, closed while nothing stands in them. */
  part(title, key, fields, again) {
    const name = `${key}/${title}`;
    const open = this.open.get(name) ?? fields.some((f) => f.part && f.value !== "");
    return el("details", { class: "more", "data-key": name, open },
      el("summary", {}, title), el("div", { class: "fields" }, ...fields.map((f) => this.field(f, again))));
  }

  /** @param {Field} field @param {boolean} again */
  field(field, again) {
    const id = idOf(field.path);
    const help = idOf(field.path, "help");
    const wrong = idOf(field.path, "wrong");
    const attributes = { id, name: field.path, "aria-describedby": `${help} ${wrong}`, required: false,
      "aria-required": field.required || null, autocomplete: "off" };
    const input = this.input(field, attributes);
    const said = el("p", { class: again ? "spoken" : "help", id: help }, field.help);
    const refused = el("p", { class: "wrong", id: wrong, "data-wrong": field.path, hidden: true });
    if (field.kind === "flag") {
      return el("div", { class: "field" }, el("label", { class: "check", for: id }, input, field.label), said, refused);
    }
    const broad = field.broad || field.kind === "lines" || field.kind === "many" ? " broad" : "";
    const label = field.kind === "many"
      ? el("span", { class: "label", id: idOf(field.path, "label") }, field.label)
      : el("label", { for: id }, field.label);
    return el("div", { class: `field${broad}` }, label, input, said, refused);
  }

  /** @param {Field} field @param {Record<string, any>} attributes */
  input(field, attributes) {
    const send = (value, sure) => {
      this.kept.delete(field.path);
      this.on.change(field.path, value, sure);
    };
    if (field.kind === "many") return this.many(field, attributes, send);
    if (field.kind === "flag") {
      return el("input", { ...attributes, type: "checkbox", onchange: (e) => send(e.target.checked, true) });
    }
    if (field.kind === "choice") {
      const empty = field.required ? [] : [el("option", { value: "" }, field.usual ? `usual: ${field.usual}` : "none")];
      if (field.required && !field.value) empty.push(el("option", { value: "" }, "choose"));
      return el("select", { ...attributes, onchange: (e) => send(e.target.value, true) },
        ...empty, ...field.choices.map((c) => el("option", { value: c.value, lang: c.lang || null }, c.label)));
    }
    const typing = (e) => {
      e.target.dataset.typing = "1";
      if (field.kind !== "name") send(e.target.value, false);
    };
    const left = (e) => {
      delete e.target.dataset.typing;
      send(e.target.value, true);
    };
    if (field.kind === "lines") {
      return el("textarea", { ...attributes, rows: 3, oninput: typing, onchange: left });
    }
    return el("input", { ...attributes,
      type: field.kind === "colour" ? "color" : field.kind === "date" ? "date" : "text",
      inputmode: INPUT_MODES[field.kind] ?? null, placeholder: field.usual || null,
      spellcheck: field.kind === "stops" ? "false" : null,
      oninput: typing, onchange: left, onblur: (e) => delete e.target.dataset.typing });
  }

  many(field, attributes, send) {
    const chosen = new Set(field.value.split(" "));
    const box = el("div", { id: attributes.id, role: "group", "aria-labelledby": idOf(field.path, "label"), class: "row" });
    for (const choice of field.choices) {
      box.append(el("label", { class: "check" }, el("input", { type: "checkbox", value: choice.value,
        checked: chosen.has(choice.value), onchange: () => send([...box.querySelectorAll("input:checked")]
          .map((i) => i.value).join(" "), true) }), choice.label));
    }
    return box;
  }
}

/** The id of a field's element. @param {string} path @param {string} [part] */
export function idOf(path, part) {
  return `f:${path}${part ? `:${part}` : ""}`;
}

/** @param {Group} group @returns {any[]} */
function groupOutline(group) {
  return [group.key, group.title, group.fields.map(outline), (group.lists ?? []).map(groupOutline),
    group.rows.map((row) => [row.fields.map(outline), (row.lists ?? []).map(groupOutline)])];
}

function outline(field) {
  return [field.path, field.kind, field.label, field.more, field.usual, field.choices.map((c) => [c.value, c.label])];
}

function colour(value) {
  return /^#[0-9a-fA-F]{6}$/.test(value) ? value.toLowerCase() : "#8c8c8c";
}

function sentenceOf(problem) {
  const what = problem.error.charAt(0).toUpperCase() + problem.error.slice(1);
  return `${what}.${problem.try ? ` Try: ${problem.try}` : ""}`;
}
