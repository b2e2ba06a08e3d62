/** Stripes: what is asked, the search as it goes, and the plan that is put into the design. */
import { request, Refusal, sentence } from "./request.js";
import { el, icon, say, sayFailure } from "./page.js";
import { work } from "./job.js";
import { mainOnly, refuse, showWritten } from "./task_picture.js";
import { PlanPane, noPlan } from "./task_stripes_plan.js";

const root = /** @type {HTMLElement} */ (document.getElementById("task"));
const api = `/api/stripes/${root.dataset.id}`;
const form = /** @type {HTMLFormElement} */ (document.getElementById("ask"));
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const result = byId("result");
const COUNTS = ["least_rows", "most_rows", "most_stripes", "multiple", "pieces"];

/** A refusal of the page's own. @param {string} field @param {string} error */
const wrongly = (field, error) => new Refusal({ error, given: null, try: null, line: null, field }, 422);

// --- what is asked -------------------------------------------------------------------------------

const value = (name) => String(new FormData(form).get(name) ?? "").trim();
const rowsOfYarn = () => [...form.querySelectorAll(".yarn")]
  .filter((row) => /** @type {HTMLInputElement} */ (row.querySelector("[name=yarn]")).checked);

function yarns() {
  return rowsOfYarn().map((row) => {
    const typed = (name) => /** @type {HTMLInputElement|null} */ (row.querySelector(`[data-name=${name}]`))?.value.trim() ?? "";
    const { own, record } = /** @type {HTMLElement} */ (row).dataset;
    return own ? { own, have: typed("have"), keep: typed("keep") } : { record, keep: typed("keep") };
  });
}

function count(name) {
  const text = value(name);
  if (!/^\d{1,5}$/.test(text)) throw wrongly(name, "a whole number is needed here");
  return Number(text);
}

function percent(name) {
  const number = Number(value(name).replace(",", "."));
  if (!value(name) || Number.isNaN(number) || number < 0 || number > 100) throw wrongly(name, "a number from 0 to 100 is needed here");
  return number / 100;
}

function asked() {
  const chosen = yarns();
  if (!chosen.length) throw wrongly("yarns", "choose at least one yarn");
  const even = value("aim") === "even";
  const long = even ? value("long") : "own";
  const body = {
    yarns: chosen, aim: value("aim"), mirror: value("mirror") === "on", match_ends: value("match_ends") === "on",
    join: value("join"), margin: percent("margin"), sure: Number(value("sure")), seconds: Number(value("seconds")),
  };
  if (value("size")) body.size = value("size");
  for (const name of COUNTS) body[name] = count(name);
  if (long === "rows") body.rows = count("rows");
  if (long === "length") {
    body.length = value("length");
    if (!body.length) throw wrongly("length", "say how long, as 60 cm or 24 in");
  }
  return body;
}

/** Where a refusal of a field stands; those of a yarn in its own row. @param {string} field */
function placeOf(field) {
  const yarn = /^yarns\[(\d+)\]\.(have|keep)$/.exec(field);
  if (!yarn) return null;
  return /** @type {HTMLElement|null} */ (rowsOfYarn()[Number(yarn[1]) - 1]?.querySelector(`[data-wrong=${yarn[2]}]`) ?? null);
}

function showLong() {
  const even = value("aim") === "even";
  byId("long").hidden = !even;
  byId("for-rows").hidden = value("long") !== "rows";
  byId("for-length").hidden = value("long") !== "length";
}

// --- planning ------------------------------------------------------------------------------------

let busy = false;

async function plan() {
  if (busy) return;
  busy = true;
  refuse(form);
  mainOnly("#stripes", byId("plan"));
  try {
    const body = asked();
    result.replaceChildren();
    byId("plan").setAttribute("disabled", "");
    const done = await work(byId("job"), `${api}/plan`, body, { stop: "Take the best so far" });
    if (done) show(await request("GET", done.result), body.yarns);
  } catch (failure) {
    failed(failure);
  } finally {
    busy = false;
    byId("plan").removeAttribute("disabled");
  }
}

function failed(failure) {
  if (failure instanceof Refusal && refuse(form, failure.data, sentence(failure.data), placeOf)) return;
  result.replaceChildren(el("div", { class: "banner fault" }, icon("fault"),
    el("div", {}, el("p", {}, el("strong", {}, "No plan.")), el("p", {}, failure.message))));
  sayFailure(failure);
}

function show(found, planned) {
  if (!found.plan) {
    result.replaceChildren(...noPlan(found, tryWay));
    focusResult();
    return;
  }
  const use = el("button", { type: "button", id: "use", onclick: () => useIt(found, planned) }, "Use these stripes");
  const again = el("button", { type: "button", onclick: plan }, "Try again");
  const pane = new PlanPane(found, el("div", { class: "row", id: "deeds" }, use, again));
  result.replaceChildren(...pane.parts);
  mainOnly("#stripes", use);
  focusResult();
}

function focusResult() {
  const head = /** @type {HTMLElement|null} */ (result.querySelector("h3"));
  head?.setAttribute("tabindex", "-1");
  head?.focus();
}

/** Take a way out: the fields become what it says, and the search begins anew. @param {any} changes */
function tryWay(changes) {
  for (const [name, to] of Object.entries(changes)) {
    const input = /** @type {HTMLInputElement} */ (form.elements.namedItem(name));
    if (typeof to === "boolean") input.checked = to;
    else input.value = String(to);
    if (name === "rows") /** @type {HTMLInputElement} */ (form.querySelector("[name=long][value=rows]")).checked = true;
  }
  showLong();
  plan();
}

// --- into the design -----------------------------------------------------------------------------

async function useIt(found, planned) {
  const use = byId("use");
  use.setAttribute("disabled", "");
  try {
    const stripes = found.plan.stripes.map(({ yarn, rows }) => ({ yarn, rows }));
    used(await request("POST", `${api}/use`, { revision: found.revision, yarns: planned, stripes }));
  } catch (failure) {
    use.removeAttribute("disabled");
    sayFailure(failure);
  }
}

function used(written) {
  mainOnly("#stripes", null);
  showWritten(byId("deeds"), String(root.dataset.id), "The stripes are in the design.", written, () => {
    const again = el("button", { type: "button", onclick: plan }, "Try again");
    byId("deeds").replaceChildren(el("p", {}, "The design is as it was before."), again);
    mainOnly("#stripes", again);
    again.focus();
    say("The design is as it was before.");
  });
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  plan();
});
form.addEventListener("change", showLong);
showLong();
