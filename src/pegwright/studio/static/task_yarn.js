/** Yarn: what every one of a size must come to, what can stand in for it, and what trims take. */
import { el, sayFailure, told } from "./page.js";
import { Refusal, request } from "./request.js";
import { SheetForm } from "./form.js";
import { swatch } from "./task_picture.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/design-yarn/${id}`;
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));
const chosen = (name) => /** @type {HTMLSelectElement} */ (byId(name)).value;

// --- what it needs -------------------------------------------------------------------------------

let turn = 0;
async function showNeeds() {
  const mine = ++turn;
  const found = await request("GET", `${address}/needs?${new URLSearchParams({ size: chosen("size") })}`);
  if (mine !== turn) return found;
  byId("needs").replaceChildren(
    el("div", { class: "scroll", role: "region", "aria-label": "What every yarn must come to", tabindex: "0" },
      el("table", {}, el("caption", {}, "What every yarn must come to"),
        el("thead", {}, el("tr", {}, ...["Yarn", "Is drawn", "Weighs", `To have, with ${found.margin} over`, "That is"]
          .map((words) => el("th", { scope: "col" }, words)))),
        el("tbody", {}, ...found.rows.map((row) => el("tr", {},
          el("th", { scope: "row" }, swatch(row.hex), " ", row.label),
          el("td", {}, row.metres, el("span", { class: "between" }, row.between)),
          el("td", {}, row.grams), el("td", { class: "have" }, row.to_have), el("td", {}, row.balls)))))),
    el("details", { class: "more" }, el("summary", {}, "How much is drawn for what"),
      el("div", { class: "yarn-parts" }, ...found.parts.map(parts))));
  return found;
}

function parts(table) {
  const [, ...columns] = table.header;
  const head = columns.length ? el("thead", {}, el("tr", {}, el("td", {}), ...columns.map((name) => el("th", { scope: "col" }, name)))) : null;
  const around = columns.length
    ? { class: "scroll broad", role: "region", "aria-label": `${table.caption}: ${columns.join(", ")}`, tabindex: "0" } : {};
  return el("div", around,
    el("table", {}, el("caption", {}, table.caption), head,
      el("tbody", {}, ...table.rows.map(([name, ...cells]) =>
        el("tr", {}, el("th", { scope: "row" }, capital(name)), ...cells.map((words) => el("td", {}, words)))))));
}

byId("size").addEventListener("change", () => told(async () => {
  if (byId("stand-ins").childElementCount) await look();
  await showNeeds();
}));

// --- stand-ins -----------------------------------------------------------------------------------

async function look() {
  const together = /** @type {HTMLInputElement} */ (byId("together")).checked;
  let found;
  try {
    found = await request("POST", `${address}/stand-ins`, { size: chosen("size"), yarn: chosen("wanted"), together });
  } catch (failure) {
    if (!(failure instanceof Refusal)) throw failure;
    byId("stand-ins").replaceChildren(el("div", { class: "banner fault" }, el("p", {}, failure.message)));
    byId("heard").textContent = failure.message;
    return;
  }
  byId("stand-ins").replaceChildren(
    el("p", { class: "yarn-wanted" }, found.wanted),
    found.found ? "" : el("div", { class: "banner" }, el("p", {}, "Nothing at hand comes near enough and reaches.")),
    el("ol", { class: "stand-ins", role: "list" }, ...found.changes.map((one) => standIn(one, found))),
    ...found.unsuited.map((words) => el("p", {}, words)),
    unweighed(found.unweighed));
  byId("heard").textContent = found.found
    ? `${found.changes.length} stand-ins, the best first: ${found.changes[0].label}.` : "Nothing at hand comes near enough and reaches.";
}

function standIn(one, found) {
  const take = el("button", { type: "button", onclick: () => told(() => taken(one, found)) }, "Take this yarn instead",
    el("span", { class: "spoken" }, `: ${one.label}`));
  return el("li", {},
    el("div", {}, el("h4", {}, ...one.hexes.flatMap((hex) => [swatch(hex), " "]), one.label),
      el("p", { class: "marks" }, el("span", { class: `mark${one.near ? " can" : ""}` }, one.fit), " ",
        el("span", { class: `mark${one.enough ? " can" : ""}` }, one.enough ? "enough" : `reaches ${one.chance}`)),
      el("p", {}, one.words)),
    take);
}

function unweighed(yarns) {
  if (!yarns.length) return "";
  return el("p", { class: "quiet" }, "Not looked at, as nobody weighed them: ",
    ...yarns.flatMap((yarn, at) => [at ? ", " : "", el("a", { href: `/library/yarn/${yarn.record}` }, yarn.label)]), ".");
}

async function taken(one, found) {
  const made = await request("POST", `${address}/take`, { revision: found.revision, yarn: found.yarn, strands: one.strands });
  const back = el("button", { type: "button", onclick: () => told(async () => {
    await request("POST", `/api/designs/${id}/undo`, { revision: made.revision });
    location.reload();
  }) }, "Take it back");
  const title = el("p", { tabindex: "-1" }, el("strong", {}, `${one.label} is taken in place of ${found.yarn}. `), made.summary);
  byId("stand-ins").replaceChildren(el("div", { class: `banner ${made.proved ? "good" : "fault"}` }, title,
    el("p", { class: "row" }, back, el("a", { class: "button", href: `/designs/${id}` }, "Open the design"))));
  title.focus();
  showYarns((await showNeeds()).yarns);
}

/** The yarns of the design as they are now, to choose one of. @param {{name: string, label: string, body: boolean}[]} yarns */
function showYarns(yarns) {
  const options = () => yarns.map((yarn) => el("option", { value: yarn.name, "data-own": "true", selected: yarn.body }, yarn.label));
  byId("wanted").replaceChildren(...options());
  const ofLibrary = [...byId("trim-yarn").children].filter((option) => !option.hasAttribute("data-own"));
  byId("trim-yarn").replaceChildren(...options(), ...ofLibrary);
}

byId("look").addEventListener("submit", (event) => {
  event.preventDefault();
  told(look);
});

// --- trims ---------------------------------------------------------------------------------------

/** @type {Record<string, string>} */
const values = { kind: "pompom" };

const form = new SheetForm(byId("trim-fields"), {
  change: (path, value, sure) => {
    if (values[path] === String(value)) return;
    values[path] = String(value);
    byId("trims").replaceChildren();
    if (sure && path === "kind") told(showTrimForm);
  },
});

async function showTrimForm() {
  const groups = await request("GET", `/api/design-yarn/trims/${values.kind}`);
  for (const field of groups.flatMap((group) => group.fields)) field.value = values[field.path] ?? field.value;
  form.show(groups);
}

byId("trim-yarn").addEventListener("change", () => byId("trims").replaceChildren());
byId("trim").addEventListener("submit", async (event) => {
  event.preventDefault();
  const select = /** @type {HTMLSelectElement} */ (byId("trim-yarn"));
  const yarn = select.selectedOptions[0]?.dataset.own ? { own: select.value } : { record: select.value };
  const shown = new Set([...byId("trim-fields").querySelectorAll("[name]")].map((field) => field.getAttribute("name")));
  const filled = Object.entries(values).filter(([name, value]) => shown.has(name) && value.trim());
  try {
    const found = await request("POST", `${address}/trims`, { yarn, values: Object.fromEntries(filled) });
    form.refuse([]);
    showTrim(found);
  } catch (failure) {
    sayFailure(failure);
    if (failure instanceof Refusal) {
      form.refuse([failure.data]);
      /** @type {HTMLElement|null} */ (byId("trim-fields").querySelector('[aria-invalid="true"]'))?.focus();
    }
  }
});

function showTrim(found) {
  byId("trims").replaceChildren(
    el("p", { class: "sum" }, `${found.metres}, ${found.grams} of ${found.yarn}`),
    ...found.words.map((words) => el("p", {}, words)),
    ...found.cautions.map((one) => el("div", { class: "finding caution" },
      el("p", {}, el("strong", {}, `Caution: ${one.title}. `), one.text), el("p", { class: "source" }, one.source))));
  byId("heard").textContent = [`${found.metres}, ${found.grams} of ${found.yarn}.`,
    ...found.cautions.map((one) => `Caution: ${one.title}.`)].join(" ");
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

told(async () => {
  await showNeeds();
  await showTrimForm();
});
