/**
 * A form from the studio's own description of it: groups of fields, and lists of rows.
 *
 * The same form is drawn anew after every change.  Where its shape is as before, only values and
 * refusals are written, so that the field one types in keeps its caret.
 */
import { el, icon } from "./page.js";

/**
 * @typedef {{path: string, label: string, kind: string, value: string, help: string,
 *   required: boolean, more: boolean, usual: string, choices: {value: string, label: string}[]}} Field
 * @typedef {{path: string, title: string, fields: Field[]}} Row
 * @typedef {{key: string, title: string, words: string, is_list: boolean, one: string,
 *   fields: Field[], rows: Row[]}} Group
 */

const INPUT_MODES = { number: "decimal", count: "numeric" };

export class SheetForm {
  /**
   * @param {HTMLElement} root
   * @param {{change: (path: string, value: any, sure: boolean) => void,
   *   add?: (group: Group) => void, remove?: (group: Group, row: Row, at: number) => void,
   *   move?: (group: Group, row: Row, to: number) => void,
   *   keep?: (group: Group, at: number) => void, extra?: (group: Group) => (Node|null), closed?: Set<string>}} on what is done with what is typed; sure where
   *   the field was left.
   */
  constructor(root, on) {
    this.root = root;
    this.on = on;
    this.shape = "";
    /** @type {Map<string, boolean>} */
    this.open = new Map();
  }

  /** @param {Group[]} groups @param {{field: ?string, error: string, try: ?string, given: ?string}[]} problems */
  show(groups, problems = []) {
    const shape = JSON.stringify(groups.map((g) => [g.key, g.title, g.fields.map(outline),
      g.rows.map((r) => r.fields.map(outline))]));
    if (shape !== this.shape) {
      const focused = document.activeElement?.id;
      for (const box of this.root.querySelectorAll("details[data-key]")) {
        this.open.set(box.getAttribute("data-key"), /** @type {HTMLDetailsElement} */ (box).open);
      }
      this.root.replaceChildren(...groups.map((group) => this.group(group)));
      this.shape = shape;
      if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
    }
    for (const group of groups) {
      for (const field of group.fields) this.write(field);
      group.rows.forEach((row, at) => {
        for (const field of row.fields) this.write(field);
        const legend = document.getElementById(idOf(row.path, "legend"));
        if (legend) legend.textContent = row.title;
      });
    }
    this.refuse(problems);
  }

  /** @param {Field} field */
  write(field) {
    const input = /** @type {HTMLInputElement} */ (document.getElementById(idOf(field.path)));
    if (!input) return;
    if (field.kind === "flag") input.checked = field.value ? field.value === "true" : field.usual === "yes";
    else if (input !== document.activeElement || !input.dataset.typing) {
      const value = field.kind === "colour" ? colour(field.value || field.usual) : field.value;
      if (input.value !== value) input.value = value;
    }
    const help = document.getElementById(idOf(field.path, "help"));
    if (help && help.textContent !== field.help) help.textContent = field.help;
  }

  /** Mark what is wrong beside its field. */
  refuse(problems) {
    /** @type {Map<string, string>} */
    const wrong = new Map();
    for (const problem of problems) {
      let path = problem.field ?? "";
      while (path && !document.getElementById(idOf(path))) path = path.replace(/(\.[^.]*|\[\d+\])$|^[^.[]*$/, "");
      if (path && !wrong.has(path)) wrong.set(path, sentenceOf(problem));
    }
    for (const place of this.root.querySelectorAll("[data-wrong]")) {
      const path = place.getAttribute("data-wrong");
      const input = document.getElementById(idOf(path));
      const words = wrong.get(path) ?? "";
      if (place.textContent !== words) place.textContent = words;
      /** @type {HTMLElement} */ (place).hidden = !words;
      if (words) input?.setAttribute("aria-invalid", "true");
      else input?.removeAttribute("aria-invalid");
      if (words) for (let box = place.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
    }
  }

  /** @param {Group} group */
  group(group) {
    const closed = this.on.closed?.has(group.key) ?? false;
    const open = this.open.get(group.key) ?? !closed;
    const body = group.is_list ? this.rows(group) : [this.fields(group.fields, group.key)];
    return el("details", { class: "group", "data-key": group.key, open },
      el("summary", {}, el("h2", {}, group.title)),
      group.words && el("p", { class: "words" }, group.words),
      this.on.extra?.(group) ?? null,
      group.key === "loom" && this.on.keep ? el("p", {}, el("button", { type: "button", onclick: () => this.on.keep(group, 1) },
        icon("keep"), "Keep this board in the library")) : null,
      ...body);
  }

  /** @param {Group} group */
  rows(group) {
    const rows = group.rows.map((row, at) => {
      const name = row.title;
      const buttons = el("span", { class: "row" },
        group.rows.length > 1 && this.tool("up", `Move ${name} up`, at === 0, () => this.on.move?.(group, row, at)),
        group.rows.length > 1 && this.tool("down", `Move ${name} down`, at === group.rows.length - 1,
          () => this.on.move?.(group, row, at + 2)),
        this.on.keep && group.key !== "stripes" && this.tool("keep", `Keep ${name} in the library`, false,
          () => this.on.keep(group, at + 1)),
        this.tool("remove", `Remove ${name}`, false, () => this.on.remove?.(group, row, at + 1)));
      return el("fieldset", { class: "group-row" },
        el("legend", { id: idOf(row.path, "legend") }, name),
        el("div", { class: "row" }, el("span", {}), buttons),
        this.fields(row.fields, row.path, at > 0));
    });
    const add = el("button", { type: "button", id: `add-${group.key}`, onclick: () => this.on.add?.(group) },
      icon("add"), `Add a ${group.one}`);
    return [...rows, el("p", {}, add)];
  }

  tool(name, words, disabled, onclick) {
    return el("button", { type: "button", class: "icon", "aria-label": words, title: words, disabled, onclick }, icon(name));
  }

  /** @param {Field[]} fields @param {string} key @param {boolean} [again] helps are shown further up already */
  fields(fields, key, again = false) {
    const usual = fields.filter((f) => !f.more).map((f) => this.field(f, again));
    const more = fields.filter((f) => f.more).map((f) => this.field(f, again));
    const box = el("div", {}, el("div", { class: "fields" }, ...usual));
    if (more.length) {
      box.append(el("details", { class: "more", "data-key": `${key}/more`, open: this.open.get(`${key}/more`) ?? false },
        el("summary", {}, "More, seldom needed"), el("div", { class: "fields" }, ...more)));
    }
    return box;
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
    const send = (value, sure) => this.on.change(field.path, value, sure);
    if (field.kind === "many") return this.many(field, attributes, send);
    if (field.kind === "flag") {
      return el("input", { ...attributes, type: "checkbox", onchange: (e) => send(e.target.checked, true) });
    }
    if (field.kind === "choice") {
      const empty = field.required ? [] : [el("option", { value: "" }, field.usual ? `usual: ${field.usual}` : "none")];
      if (field.required && !field.value) empty.push(el("option", { value: "" }, "choose"));
      return el("select", { ...attributes, onchange: (e) => send(e.target.value, true) },
        ...empty, ...field.choices.map((c) => el("option", { value: c.value }, c.label)));
    }
    const typing = (e) => {
      e.target.dataset.typing = "1";
      send(e.target.value, false);
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
