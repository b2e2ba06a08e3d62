/** What a design comes to: counts, finished sizes, yarn, figures, faults and cautions. */
import { drawing, el, icon } from "./page.js";

export class ResultPane {
  /** @param {HTMLElement} root @param {HTMLElement} heard where the whole is said in one sentence */
  constructor(root, heard) {
    this.root = root;
    this.heard = heard;
    this.status = el("div", {});
    this.numbers = el("div", {});
    this.found = el("div", {});
    this.figures = el("div", { class: "figures" });
    this.fabric = el("div", { class: "fabric" });
    this.words = el("div", {});
    root.append(this.status, this.numbers, this.found, this.figures, this.fabric, this.words);
    this.said = "";
    /** @type {Map<string, string>} */
    this.drawn = new Map();
  }

  /** @param {any} view the design's view */
  show(view) {
    const result = view.result;
    this.status.replaceChildren(status(view));
    this.say(view);
    for (const part of [this.numbers, this.found, this.figures, this.fabric, this.words]) {
      part.hidden = !result;
      part.classList.toggle("stale", view.stale);
    }
    if (!result) return;
    this.numbers.replaceChildren(...numbers(result));
    this.found.replaceChildren(...found(result));
    this.draw(result.figures);
    this.words.replaceChildren(...words(result));
  }

  /** Say the whole once, when it is another than before. */
  say(view) {
    const problem = view.problems[0];
    const words = problem ? `Not worked out: ${problem.error}.` : view.result?.summary ?? "";
    if (words === this.said) return;
    this.said = words;
    this.heard.textContent = words;
  }

  /** Figures that are as they were are left alone. */
  draw(figures) {
    const keys = figures.map((f) => f.key);
    for (const box of [...this.figures.children]) {
      if (!keys.includes(box.getAttribute("data-key") ?? "")) box.remove();
    }
    for (const figure of figures) {
      const text = figure.svg + figure.caption;
      let box = this.figures.querySelector(`[data-key="${CSS.escape(figure.key)}"]`);
      if (box && this.drawn.get(figure.key) === text) continue;
      const fresh = el("figure", { "data-key": figure.key, class: "panel" },
        drawing(figure.svg), el("figcaption", {}, figure.caption));
      if (box) box.replaceWith(fresh);
      else this.figures.append(fresh);
      this.drawn.set(figure.key, text);
    }
  }
}

function status(view) {
  const result = view.result;
  if (view.problems.length) {
    const more = view.problems.length - 1;
    return banner("fault", "fault", "Not worked out yet",
      `${sentence(view.problems[0])}${more ? ` And ${more} more.` : ""}`,
      view.problems[0].line ? `Line ${view.problems[0].line} of the text.` : "",
      result ? "Below is the design as it last was." : "");
  }
  if (!result) return el("p", {}, "");
  if (result.refused.length) {
    return banner("fault", "fault", "Cannot be made so", ...result.refused.map((one) =>
      `${one.name}: ${one.error}.${one.try ? ` Try: ${one.try}` : ""}`));
  }
  if (!result.proved) return banner("fault", "fault", "Not to be knitted so", result.summary);
  return banner("good", "proved", "Proved",
    `${result.loops.toLocaleString("en-GB")} loops were knitted on the simulated loom and followed, without a fault.`);
}

function banner(kind, image, title, ...lines) {
  return el("div", { class: `banner ${kind}` }, icon(image),
    el("div", {}, el("p", {}, el("strong", {}, title)), ...lines.filter(Boolean).map((line) => el("p", {}, line))));
}

function sentence(problem) {
  const what = problem.error.charAt(0).toUpperCase() + problem.error.slice(1);
  return `${what}${problem.given ? ` (${problem.given})` : ""}.${problem.try ? ` Try: ${problem.try}.` : ""}`;
}

function numbers(result) {
  if (!result.sizes.length) return [];
  const names = (pick) => [...new Set(result.sizes.flatMap((s) => pick(s).map((one) => one.name)))];
  const line = (title, pick) => el("tr", {}, el("th", { scope: "row" }, title),
    ...result.sizes.map((size) => el("td", {}, pick(size) ?? "")));
  const rows = [
    ...names((s) => s.counts).map((name) => line(capital(name), (s) => word(s.counts, name))),
    ...names((s) => s.finished).map((name) => line(`Finished ${name}`, (s) => word(s.finished, name))),
    ...names((s) => s.yarn).map((name) => line(name, (s) => word(s.yarn, name))),
    line("Time", (s) => s.time),
  ];
  const table = el("table", {},
    el("caption", {}, "Counts, finished sizes and yarn"),
    el("thead", {}, el("tr", {}, el("td", {}), ...result.sizes.map((s) => el("th", { scope: "col" }, s.name)))),
    el("tbody", {}, ...rows));
  return [el("div", { class: "scroll", role: "region", "aria-label": "Counts, finished sizes and yarn", tabindex: "0" }, table)];
}

function word(list, name) {
  return list.filter((one) => one.name === name).map((one) => one.words).join("; ");
}

function found(result) {
  const parts = [];
  if (result.findings.length || result.cautions.length) parts.push(el("h2", {}, "Faults, cautions and notes"));
  for (const one of result.findings) {
    parts.push(el("div", { class: `finding ${one.severity}` },
      el("p", {}, el("strong", {}, `${one.label}. `), `${capital(one.what)}.`),
      el("p", {}, `To mend it: ${one.mend}.`.replace(/\.\.$/, ".")),
      one.where.length ? el("p", { class: "source" }, one.where.slice(0, 6).join("; ")
        + (one.where.length > 6 ? ` and ${one.where.length - 6} more` : "")) : null));
  }
  for (const one of result.cautions) {
    parts.push(el("div", { class: "finding caution" }, el("p", {}, el("strong", {}, `Caution: ${one.title}. `), one.text),
      el("p", { class: "source" }, one.source)));
  }
  return parts;
}

function words(result) {
  const counts = result.sizes.flatMap((size) => size.choices.map((choice) =>
    el("li", {}, el("strong", {}, `${size.name}: `), choice)));
  return [el("details", { class: "more" }, el("summary", {}, "How the counts were chosen, and the gauge"),
    ...result.gauge.map((line) => el("p", {}, line)),
    result.wrap_test ? el("p", {}, `Wrap test. ${result.wrap_test}`) : null,
    el("ul", {}, ...counts))];
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
