/** What a size costs: the form of it on one side, the sum on the other, made anew at every change. */
import { Refusal, request } from "./request.js";
import { el, icon, say, sayFailure, told } from "./page.js";
import { Changes } from "./changes.js";
import { SheetForm } from "./form.js";
import { newRow } from "./design_rows.js";

const id = /** @type {HTMLElement} */ (document.getElementById("task")).dataset.id;
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));
const sizeField = /** @type {HTMLSelectElement} */ (byId("size"));
const state = byId("state");

/** @type {any} the view that is shown */
let view = null;
let revision = 1;
/** @type {{rows: string, minutes: string}[]} sittings are reckoned with and not kept */
const sittings = [];

const changes = new Changes(`/api/designs/${id}`, {
  revision: () => revision,
  state: (words) => { state.textContent = words; },
  show: (design) => {
    revision = design.revision;
    told(refresh);
  },
  refused: async (failure) => {
    if (failure instanceof Refusal && failure.status === 422 && form.keep(failure.data)) return;
    sayFailure(failure);
    if (failure instanceof Refusal && failure.status === 0) return;
    changes.typed.clear();
    await told(refresh);
  },
  stepping: () => form.kept.clear(),
});

// --- the form ------------------------------------------------------------------------------------

const form = new SheetForm(byId("price-form"), {
  change: (path, value, sure) => {
    const sitting = /^sittings\[(\d+)\]\.(\w+)$/.exec(path);
    if (sitting) {
      sittings[Number(sitting[1]) - 1][sitting[2]] = String(value);
      later();
    } else changes.change(path, value, sure);
  },
  add: async (group) => {
    if (group.key === "sittings") {
      sittings.push({ rows: "", minutes: "" });
      await told(refresh);
    } else await changes.act([newRow(group)]);
    await asked;
    const rows = byId("price-form").querySelectorAll(`[data-list="${group.key}"] > .group-row`);
    /** @type {HTMLElement|null} */ (rows[rows.length - 1]?.querySelector("input"))?.focus();
  },
  remove: async (group, row, at) => {
    if (group.key === "sittings") {
      sittings.splice(at - 1, 1);
      await told(refresh);
    } else await changes.act([{ do: "remove", path: row.path }]);
    await asked;
    byId(`add-${group.key}`)?.focus();
  },
  text: () => location.assign(`/designs/${id}`),
});

changes.listen(byId("undo"), byId("redo"), "dialog");
sizeField.addEventListener("change", () => told(refresh));
byId("basis").addEventListener("change", () => told(refresh));

// --- the sum -------------------------------------------------------------------------------------

let timer = 0;
let turn = 0;
/** @type {Promise<any>} the sum that was asked for last */
let asked = Promise.resolve();

function later() {
  clearTimeout(timer);
  timer = setTimeout(() => told(refresh), 250);
}

/** Ask for the sum; an answer that another has overtaken is not shown. */
function refresh() {
  clearTimeout(timer);
  const mine = ++turn;
  const basis = /** @type {HTMLInputElement} */ (byId("basis").querySelector("input:checked")).value;
  asked = request("POST", `/api/price/${id}/sum`, { size: sizeField.value, basis, sittings }).then((fresh) => {
    if (mine === turn) show(fresh);
  });
  return asked;
}

/** @param {any} fresh */
function show(fresh) {
  view = fresh;
  revision = Math.max(revision, view.revision);
  if (!changes.typed.size) state.textContent = view.stale ? "Saved as it is, with something to mend." : "Saved.";
  /** @type {HTMLButtonElement} */ (byId("undo")).disabled = !view.can_undo;
  /** @type {HTMLButtonElement} */ (byId("redo")).disabled = !view.can_redo;
  form.show(view.sheet, view.problems);
  byId("sum-title").textContent = view.sizes.length > 1 ? `What size ${view.size} comes to` : "What it comes to";
  const body = byId("sum-body");
  body.classList.toggle("stale", view.stale);
  body.replaceChildren(...lacking(), ...total(), ...time());
  const words = view.total ? `Price: ${view.total.price}` : "There is no sum yet.";
  if (byId("heard").textContent !== words) byId("heard").textContent = words;
}

function lacking() {
  const parts = [];
  if (view.stale) parts.push(el("p", { class: "quiet" }, "Something is to be mended; this is the sum as it last was."));
  if (view.trouble) {
    parts.push(el("div", { class: "banner fault" }, icon("fault"), el("div", {}, el("p", {}, el("strong", {}, "There is no sum.")),
      el("p", {}, view.trouble), el("p", {}, el("a", { href: `/designs/${id}` }, "See the design.")))));
  }
  if (view.missing.length) {
    parts.push(el("p", {}, "For the sum, say"), el("ul", { class: "missing" }, ...view.missing.map((one) => el("li", {},
      el("button", { type: "button", class: "plain", onclick: () => goTo(one.field) }, one.words)))));
  }
  return parts;
}

function goTo(path) {
  const field = document.getElementById(`f:${path}`);
  for (let box = field?.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
  field?.focus();
}

function total() {
  const sum = view.total;
  if (!sum) return [];
  const line = (each, strong) => el("tr", { class: each.counted ? (strong ? "strong" : null) : "compare" },
    el("th", { scope: "row" }, each.what, each.working && el("span", { class: "working" }, each.working),
      !each.counted && el("span", { class: "working" }, "to compare, not counted")),
    el("td", {}, each.amount));
  return [
    el("p", { class: "price-big" }, el("span", { class: "quiet" }, "Price"), " ", el("strong", {}, sum.price)),
    el("p", {}, sum.likely),
    el("table", { class: "sum" }, el("caption", { class: "spoken" }, "The sum, line by line"),
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "What"), el("th", { scope: "col" }, "Amount"))),
      el("tbody", {}, ...sum.lines.map((each) => line(each, false))),
      el("tfoot", {}, ...sum.sums.map((each) => line(each, each.what === "Price")))),
    el("p", {}, el("button", { type: "button", class: "main", id: "copy", onclick: () => told(copy) }, "Copy the sum in words")),
  ];
}

function time() {
  if (!view.time) return [];
  const { words, found } = view.time;
  return [el("h3", {}, "How long it takes"), ...words.map((one) => el("p", {}, one)),
    found && el("p", {}, el("button", { type: "button", id: "keep-pace", onclick: () => keepPace(found) },
      icon("keep"), `Keep ${found} loops a minute as your pace`))].filter(Boolean);
}

/** The pace that the sittings told becomes the design's, and they have done their work. */
async function keepPace(found) {
  sittings.length = 0;
  await changes.act([{ do: "set", path: "cost.pace", value: found }]);
  await asked;
  document.getElementById("f:cost.pace")?.focus();
  say(`${found} loops a minute is your pace in this design now.`);
}

async function copy() {
  const words = view.words.join("\n");
  try {
    await navigator.clipboard.writeText(words);
    say("The sum is copied; paste it where you want it.");
  } catch {
    const area = /** @type {HTMLTextAreaElement} */ (el("textarea", { rows: 12, readonly: true, "aria-label": "The sum in words" }, words));
    const box = /** @type {HTMLDialogElement} */ (el("dialog", { "aria-label": "The sum in words" }, el("form", { method: "dialog" },
      el("p", {}, "This browser does not copy by itself: take the words from here."), area,
      el("p", {}, el("button", { value: "close" }, "Close")))));
    box.addEventListener("close", () => box.remove());
    document.body.append(box);
    box.showModal();
    area.select();
  }
}

told(refresh);
