/** Refit: a design on another board, with another yarn or for another body, beside the original. */
import { el, icon, say, sayFailure, told } from "./page.js";
import { Refusal, request, sentence } from "./request.js";
import { SheetForm } from "./form.js";
import { ResultPane } from "./result.js";
import { work } from "./job.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/refit/${id}`;
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));
const place = byId("result");
const FROM_LIBRARY = ["board", "yarn", "person"];

/** @type {Record<string, string>} what was typed or chosen, by field */
const values = {};
/** What the shown result was asked with; null where there is none. @type {Record<string, string>|null} */
let asked = null;

// --- what the reader has -------------------------------------------------------------------------

const form = new SheetForm(byId("fields"), {
  closed: new Set(["wrap-test", "own-yarn", "wearer-and-measures"]),
  change: (path, value, sure) => {
    if (values[path] === String(value)) return;
    values[path] = String(value);
    if (asked) markStale();
    if (sure && FROM_LIBRARY.includes(path)) told(showForm);
  },
});

let turn = 0;
async function showForm() {
  const mine = ++turn;
  const chosen = new URLSearchParams(FROM_LIBRARY.map((name) => [name, values[name] ?? ""]));
  const groups = await request("GET", `${address}/form?${chosen}`);
  if (mine !== turn) return;
  for (const field of groups.flatMap((group) => group.fields)) field.value = values[field.path] ?? "";
  form.show(groups);
}

function markStale() {
  place.classList.add("refit-stale");
  const note = document.getElementById("stale");
  if (note) note.hidden = false;
}

/** What a request carries: the fields that are not empty. */
const filled = () => Object.fromEntries(Object.entries(values).filter(([, value]) => value.trim()));

byId("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const button = byId("work");
  const sent = filled();
  button.setAttribute("disabled", "");
  try {
    const found = await request("POST", address, { values: sent });
    form.refuse([]);
    asked = sent;
    show(found);
    if (JSON.stringify(sent) !== JSON.stringify(filled())) markStale();
  } catch (failure) {
    if (asked) markStale();
    sayFailure(failure);
    if (failure instanceof Refusal) {
      form.refuse([failure.data]);
      /** @type {HTMLElement|null} */ (byId("fields").querySelector('[aria-invalid="true"]'))?.focus();
    }
  } finally {
    button.removeAttribute("disabled");
  }
});

// --- what comes of it ----------------------------------------------------------------------------

function show(found) {
  const title = el("h3", { tabindex: "-1" }, found.headline);
  place.classList.remove("refit-stale");
  place.replaceChildren(
    el("p", { id: "stale", class: "quiet", hidden: true }, "What is asked has changed since. Work it out again."),
    banner(found, title),
    ...takeAway(found),
    ...offers(found),
    ...figures(found),
    ...remarks(found),
    answer(found),
    ...whole(found),
  );
  byId("heard").textContent = found.headline;
  title.focus();
  place.scrollIntoView({ block: "start" });
}

function banner(found, title) {
  const why = found.refused.map((one) => el("p", {}, sentence(one)));
  return el("div", { class: `banner ${found.as_asked ? "good" : "fault"}` }, icon(found.as_asked ? "proved" : "fault"),
    el("div", {}, title, ...why, found.unchanged && el("p", {}, found.unchanged)));
}

function takeAway(found) {
  if (!found.title) return [];
  const printing = el("div", {});
  const keep = el("button", { type: "button", onclick: () => once(keep, async () => {
    const made = await request("POST", `${address}/keep`, { values: asked });
    location.assign(`/designs/${made.id}`);
  }) }, "Keep as a new design");
  const print = el("button", { type: "button", onclick: () => once(print, async () => {
    const done = await work(printing, `${address}/pack`, { values: asked });
    if (done) location.assign(done.result);
  }) }, "Print it");
  return [el("div", {}, el("p", { class: "row" }, keep, print), printing,
    el("p", { class: "quiet" }, `${found.as_asked ? "" : `The nearest that can be made, in size ${found.sizes.join(" and ")}. `}It is kept as “${found.title}”; the printed pattern is a zip with the PDF, the page and every figure.`))];
}

/** Do something once at a time. @param {HTMLElement} button @param {() => Promise<void>} deed */
async function once(button, deed) {
  button.setAttribute("disabled", "");
  await told(deed);
  button.removeAttribute("disabled");
}

function offers(found) {
  if (!found.offers.length) return [];
  return [el("div", {}, el("h3", {}, "What else was tried"),
    el("ul", { class: "refit-offers", role: "list" }, ...found.offers.map((one) =>
      el("li", { class: one.possible ? "" : "not" },
        el("p", {}, el("strong", {}, capital(one.way)),
          el("span", { class: `mark${one.possible ? " can" : ""}` },
            one.taken ? "possible, shown here" : one.possible ? "possible" : "not possible")),
        el("p", {}, one.words)))))];
}

function figures(found) {
  const changed = found.figures.filter((size) => size.changed.length);
  if (!changed.length) return [];
  return [el("div", {}, el("h3", {}, "Before and now"),
    el("div", { class: "refit-tables" }, ...changed.map(table)))];
}

function table(size) {
  return el("div", {},
    el("table", {}, el("caption", {}, size.title),
      el("thead", {}, el("tr", {}, ...["Figure", "Before", "Now"].map((words) => el("th", { scope: "col" }, words)))),
      el("tbody", {}, ...size.changed.map((row) => el("tr", {}, el("th", { scope: "row" }, capital(row.name)),
        el("td", {}, row.was), el("td", {}, row.now, row.interval && el("span", { class: "interval" }, capital(row.interval))))))),
    size.same.length ? el("p", { class: "same" }, `As before: ${size.same.join(", ")}.`) : null);
}

function remarks(found) {
  if (!found.remarks.length) return [];
  return [el("div", {}, el("h3", {}, "Advice"), ...found.remarks.map((words) => el("p", {}, words)))];
}

function answer(found) {
  const text = /** @type {HTMLTextAreaElement} */ (el("textarea", { id: "answer", readonly: true, rows: 14, value: found.answer,
    "aria-describedby": "answer-help" }));
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(found.answer);
      say("Copied.");
    } catch {
      text.focus();
      text.select();
      say("The browser does not let it be copied from here. It is marked: copy it with Ctrl+C.");
    }
  };
  return el("div", { class: "refit-answer" },
    el("label", { for: "answer" }, "Answer to a reader"),
    el("p", { class: "quiet", id: "answer-help" }, "The same in plain sentences, to be sent."),
    text, el("p", { class: "row" }, el("button", { type: "button", onclick: copy }, "Copy")));
}

function whole(found) {
  if (!found.result) return [];
  const inside = el("div", { class: "result" });
  new ResultPane(inside, el("p", {})).show({ result: found.result, problems: [], stale: false });
  return [el("details", { class: "group" }, el("summary", {}, el("h3", {}, "The refitted design in full")), inside)];
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

told(showForm);
