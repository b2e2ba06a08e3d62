/** Wrap test: what the board draws, what the maker's own drew, the gap for a length she wants. */
import { drawing, el, told } from "./page.js";
import { banner, paragraphs, RecordTask } from "./record_task.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/boards/${id}/wrap-test`;

const task = new RecordTask(address, { live: true, show });

function show(found) {
  const parts = [el("p", { class: "lead" }, found.words)];
  if (found.drew) parts.push(drew(found.drew));
  if (found.wanted) parts.push(wanted(found.wanted));
  parts.push(el("section", { "aria-labelledby": "how-title" },
    el("h2", { id: "how-title" }, "How to do it"),
    el("ol", { class: "steps" }, ...found.how.map((step) => el("li", {}, step)))));
  parts.push(el("div", { class: "figures" }, ...found.figures.map((figure) =>
    el("figure", { class: "panel" }, drawing(figure.svg), el("figcaption", {}, figure.caption)))));
  const focused = document.activeElement?.id;
  task.place.replaceChildren(...parts);
  if (focused?.startsWith("keep-")) document.getElementById(focused)?.focus();
  task.heard([found.words, found.drew?.advice[0], found.drew?.words[0], found.wanted?.words.at(-1)]
    .filter(Boolean).join(" "));
}

function drew(found) {
  const [verdict, ...advice] = found.advice;
  const keep = el("button", { type: "button", id: "keep-slack", onclick: () =>
    task.keep(`${address}/slack`, { test: task.filled() }, keep) }, "Keep this slack on the board");
  return el("section", { class: "panel", "aria-labelledby": "drew-title" },
    el("h2", { id: "drew-title" }, "What your board drew"),
    el("p", { class: "quiet" }, found.against),
    banner(found.suits ? "good" : "note", verdict, ...advice),
    ...paragraphs(found.words),
    el("p", {}, keep));
}

function wanted(found) {
  const keep = el("button", { type: "button", id: "keep-gap", onclick: () =>
    task.keep(`${address}/gap`, { test: task.filled() }, keep) }, "Set the board to this gap");
  return el("section", { class: "panel", "aria-labelledby": "wanted-title" },
    el("h2", { id: "wanted-title" }, "To draw what the pattern asks for"),
    ...paragraphs(found.words),
    found.stack ? banner("good", found.stack.words[0], ...found.stack.words.slice(1)) : null,
    found.gap_mm === null ? null : el("p", {}, keep),
    found.gap_mm === null || found.stack ? null
      : el("p", {}, el("a", { href: `/library/board/${id}` }, "To the board's own measures")));
}

told(async () => {
  await task.open();
  await task.ask({ quiet: true });
});
