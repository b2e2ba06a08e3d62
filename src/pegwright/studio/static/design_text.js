/** A design as the text of its file, with what is wrong at its line. */
import { el } from "./page.js";

export class TextPane {
  /** @param {HTMLElement} root @param {(text: string) => Promise<any>} save */
  constructor(root, save) {
    this.save = save;
    this.saved = "";
    this.numbers = el("ol", { class: "numbers", "aria-hidden": "true" });
    this.area = /** @type {HTMLTextAreaElement} */ (el("textarea", { id: "text", spellcheck: "false", wrap: "off",
      autocapitalize: "off", autocomplete: "off", "aria-describedby": "text-help text-problems" }));
    this.problems = el("div", { id: "text-problems", "aria-live": "polite" });
    root.append(
      el("label", { for: "text" }, "The design as text"),
      el("p", { class: "help quiet", id: "text-help" },
        "The same file that the command line reads. Remarks, order and spacing stay as you write them. "
        + "It is saved as you type; Tab leaves the field."),
      el("div", { class: "text-edit" }, this.numbers, this.area),
      this.problems);
    this.timer = 0;
    this.area.addEventListener("input", () => {
      this.number();
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.flush(), 600);
    });
    this.area.addEventListener("blur", () => this.flush());
    this.area.addEventListener("scroll", () => { this.numbers.scrollTop = this.area.scrollTop; });
    /** @type {Set<number>} */
    this.wrong = new Set();
  }

  flush() {
    clearTimeout(this.timer);
    if (this.area.value !== this.saved) {
      this.saved = this.area.value;
      this.save(this.area.value);
    }
  }

  /** @param {any} view */
  show(view) {
    const untouched = this.area.value === this.saved;
    if (untouched || document.activeElement !== this.area) {
      const { selectionStart, selectionEnd } = this.area;
      if (this.area.value !== view.text) {
        this.area.value = view.text;
        this.area.setSelectionRange(selectionStart, selectionEnd);
      }
      this.saved = this.area.value;
    }
    this.wrong = new Set(view.problems.map((p) => p.line).filter(Boolean));
    this.number();
    this.problems.replaceChildren(...view.problems.map((problem) => {
      const words = `${problem.line ? `Line ${problem.line}: ` : ""}${problem.error}${problem.given ? ` (${problem.given})` : ""}.`
        + (problem.try ? ` Try: ${problem.try}` : "");
      return el("div", { class: "finding fault" }, el("p", {}, words),
        problem.line ? el("button", { type: "button", class: "plain", onclick: () => this.go(problem.line) },
          `Go to line ${problem.line}`) : null);
    }));
  }

  number() {
    const count = this.area.value.split("\n").length;
    if (this.numbers.childElementCount !== count) {
      this.numbers.replaceChildren(...Array.from({ length: count }, (_, i) => el("li", {}, String(i + 1))));
    }
    [...this.numbers.children].forEach((line, i) => line.classList.toggle("wrong", this.wrong.has(i + 1)));
    this.numbers.scrollTop = this.area.scrollTop;
  }

  go(line) {
    const lines = this.area.value.split("\n");
    const start = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
    this.area.focus();
    this.area.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0));
    this.area.scrollTop = Math.max(0, (line - 6) * 24);
  }
}
