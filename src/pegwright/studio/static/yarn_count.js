/** Counting a yarn: its wraps, strands of it held together, a ball parted on the scale. */
import { el, told } from "./page.js";
import { request } from "./request.js";
import { findings, paragraphs, RecordTask } from "./record_task.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/yarns/${id}/count`;

const task = new RecordTask(address, { live: true, show });

function show(found) {
  const parts = [found.wraps && wraps(found.wraps), found.strands && strands(found.strands), found.scale && scale(found.scale)]
    .filter(Boolean);
  const loose = found.problems.filter((problem) => !problem.field).map((problem) =>
    el("p", { class: "wrong" }, `${problem.error}.${problem.try ? ` Try: ${problem.try}.` : ""}`));
  const focused = document.activeElement?.id;
  task.place.replaceChildren(...parts, ...loose);
  if (focused?.startsWith("keep-")) document.getElementById(focused)?.focus();
  const said = [found.wraps?.words[0], found.strands?.words[0], found.scale?.words[0]].filter(Boolean);
  task.heard(said.join(" "));
}

function wraps(found) {
  const several = found.categories.length > 1;
  const choices = found.categories.map((each) => el("label", { class: "check" },
    el("input", { type: "radio", name: "category", value: String(each.number), checked: each.own }),
    `${each.name}${each.own ? " (as it is noted)" : ""}`));
  const keep = el("button", { type: "button", id: "keep-wraps", onclick: () => {
    const chosen = /** @type {HTMLInputElement|null} */ (document.querySelector('input[name="category"]:checked'));
    const body = { asked: task.filled(), ...(chosen ? { category: Number(chosen.value) } : {}) };
    task.keep(`${address}/keep`, body, keep);
  } }, "Keep it on the yarn");
  return el("section", { class: "panel", "aria-labelledby": "wraps-title" },
    el("h2", { id: "wraps-title" }, "Its wraps"), ...paragraphs(found.words), ...findings(found.findings),
    el("p", { class: "quiet" }, found.keeping),
    several ? el("fieldset", {}, el("legend", {}, "Keep it as"), ...choices.map((choice) => el("div", {}, choice))) : null,
    el("p", {}, keep));
}

function strands(found) {
  const keep = el("button", { type: "button", id: "keep-strands", onclick: () => told(async () => {
    const made = await request("POST", `/api/yarns/${id}/strands/keep`, { asked: task.filled() });
    location.assign(`/library/yarn/${made.id}`);
  }) }, "Keep it as a yarn of its own");
  return el("section", { class: "panel", "aria-labelledby": "strands-title" },
    el("h2", { id: "strands-title" }, "Held together"), ...paragraphs(found.words), el("p", {}, keep));
}

function scale(found) {
  const columns = ["Part", "The scale shows", "It weighs", "It holds", "Off by at most"];
  return el("section", { class: "panel", "aria-labelledby": "scale-title" },
    el("h2", { id: "scale-title" }, "On the scale"), ...paragraphs(found.words),
    ...(found.parts.length ? [
      el("h3", {}, "How to part it"),
      el("ol", { class: "steps" }, ...found.parting.slice(0, -1).map((step) => el("li", {}, step))),
      el("p", {}, found.parting.at(-1)),
      ...findings(found.findings),
      el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": "The parts" },
        el("table", {}, el("caption", {}, "The parts, nine times in ten"),
          el("thead", {}, el("tr", {}, ...columns.map((words) => el("th", { scope: "col" }, words)))),
          el("tbody", {}, ...found.parts.map((part) => el("tr", {}, el("th", { scope: "row" }, String(part.number)),
            el("td", {}, part.remain), el("td", {}, part.weighs), el("td", {}, part.holds), el("td", {}, part.within)))))),
    ] : []));
}

told(async () => {
  await task.open();
  await task.ask({ quiet: true });
});
