/** Build it: the plan of a board, its template at true scale, the files, how exactly to drill. */
import { drawing, el, told } from "./page.js";
import { work } from "./job.js";
import { request } from "./request.js";
import { banner, paragraphs, RecordTask } from "./record_task.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/boards/${id}/plan`;

const task = new RecordTask(address, { show, closed: ["yarn-part", "drilling-part", "paper-part"] });

const FILES = [["pack", "Everything as a zip"], ["pdf", "PDF"], ["svg", "SVG"], ["dxf", "DXF"], ["cut-list", "Cut list as data"]];

function show(found) {
  if (!found.plan) {
    task.place.replaceChildren(refusal(found));
    task.heard(`It cannot be built as it stands: ${found.problems[0].what}.`);
    return;
  }
  const [overview, cautions, ...rest] = found.plan.sections;
  task.place.replaceChildren(
    el("p", { class: "lead" }, `${found.plan.title}. ${found.plan.subtitle}.`),
    files(),
    section(cautions),
    template(found.template),
    section(overview),
    ...(found.drills ? [drilling()] : []),
    ...rest.map(section));
  task.heard(`Planned. ${found.plan.subtitle}.`);
}

function refusal(found) {
  const lines = found.problems.map((one) => el("p", {}, `${capital(one.what)}: ${one.given}. To mend it: ${one.mend}.`));
  const near = Object.keys(found.nearest).length ? el("p", {}, el("button", { type: "button", onclick: () => {
    task.write(found.nearest);
    task.ask({ asked: true });
  } }, "Take the nearest board that can be built")) : null;
  return banner("fault", "It cannot be built as it stands.", ...lines, ...(near ? [near] : []));
}

const link = (which, more = {}) => {
  const wanted = task.query();
  for (const [name, value] of Object.entries(more)) wanted.set(name, value);
  return `${address}/files/${which}?${wanted}`;
};

function files() {
  return el("p", { class: "row", id: "files" }, ...FILES.map(([which, words]) =>
    el("a", { class: "button", href: link(which), download: true }, words)));
}

function template(svg) {
  const pdf = link("pdf", { download: "false" });
  const drawn = drawing(svg);
  drawn?.setAttribute("role", "img");
  return el("section", { "aria-labelledby": "template-title" },
    el("h2", { id: "template-title" }, "The drilling template"),
    el("p", {}, "Print it at 100 %, with nothing fitted to the page, and measure the square on every sheet before you drill: "
      + "each side is 50 mm."),
    el("div", { class: "scroll true-scale", role: "region", tabindex: "0", "aria-label": "The whole template, about its true size" }, drawn ?? ""),
    el("object", { class: "preview", data: pdf, type: "application/pdf", "aria-label": "The plan as it is printed" },
      el("p", {}, "This browser does not show PDF files inside a page."),
      el("p", {}, el("a", { class: "button", href: pdf, target: "_blank", rel: "noopener" }, "Open the printed plan"))));
}

// --- how exactly to drill ------------------------------------------------------------------------

function drilling() {
  const place = el("div", {});
  const button = el("button", { type: "button", onclick: () => told(async () => {
    button.setAttribute("disabled", "");
    try {
      const done = await work(place, `/api/boards/${id}/tolerance`, task.filled());
      if (!done) return;
      const found = await request("GET", done.result);
      place.replaceChildren(banner("note", found.words[0], ...found.words.slice(1)));
      task.heard(found.words[0]);
    } catch (failure) {
      task.refused(failure);
    } finally {
      button.removeAttribute("disabled");
    }
  }) }, "Work out how exactly to drill");
  return el("section", { "aria-labelledby": "drilling-title" },
    el("h2", { id: "drilling-title" }, "How exactly to drill"),
    el("p", {}, "Boards are drilled by chance and wrapped, and each loop is compared with the plan's."),
    el("p", {}, button), place);
}

// --- the document --------------------------------------------------------------------------------

function section(one) {
  const title = `section-${one.key}`;
  const figures = one.blocks.filter((each) => each.kind === "figure");
  const others = one.blocks.filter((each) => each.kind !== "figure");
  return el("section", { "aria-labelledby": title }, el("h2", { id: title }, one.title),
    figures.length ? el("div", { class: "figures" }, ...figures.map(block)) : null, ...others.map(block));
}

function block(one) {
  switch (one.kind) {
    case "facts":
      return el("dl", { class: "facts" }, ...one.facts.flatMap((fact) => [el("dt", {}, fact.name), el("dd", {}, fact.words)]));
    case "table":
      return table(one);
    case "steps":
      return el("ol", { class: "steps" }, ...one.steps.map((step) => el("li", {}, el("strong", {}, `${step.title}. `),
        ...paragraphs(step.text), step.tally ? el("p", { class: "tally" }, `Right when: ${step.tally}.`) : null)));
    case "cautions":
      return el("div", { class: "cautions" }, ...one.cautions.map((caution) => el("div", { class: "finding caution" },
        el("p", {}, el("strong", {}, `Caution: ${caution.title}. `), caution.text), el("p", { class: "source" }, caution.source))));
    case "figure":
      return el("figure", { class: "panel" }, drawing(one.figure.svg), el("figcaption", {}, one.figure.caption));
    default:
      return el("p", {}, one.text);
  }
}

function table(one) {
  const head = el("thead", {}, el("tr", {}, ...one.header.map((words) => el("th", { scope: "col" }, words))));
  const rows = one.rows.map(([first, ...cells]) => el("tr", {}, el("th", { scope: "row" }, first), ...cells.map((words) => el("td", {}, words))));
  return el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": one.caption },
    el("table", {}, el("caption", {}, one.caption), head, el("tbody", {}, ...rows)));
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

told(async () => {
  await task.open();
  await task.ask({ quiet: true });
});
