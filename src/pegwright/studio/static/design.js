/** A design: its form, its text and its versions on one side, what it comes to on the other. */
import { Refusal, request } from "./request.js";
import { el, say, sayFailure, told } from "./page.js";
import { Changes } from "./changes.js";
import { SheetForm } from "./form.js";
import { ResultPane } from "./result.js";
import { FabricPane } from "./fabric.js";
import { TextPane } from "./design_text.js";
import { VersionsPane } from "./design_versions.js";
import { libraryChooser, newRow } from "./design_rows.js";

const root = /** @type {HTMLElement} */ (document.getElementById("design"));
const address = `/api/designs/${root.dataset.id}`;
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const state = byId("state");

/** @type {any} the view that is shown */
let view = null;

const changes = new Changes(address, {
  revision: () => view.revision,
  state: (words) => { state.textContent = words; },
  show: (fresh) => show(fresh),
  refused: (failure) => failed(failure),
  stepping: () => form.kept.clear(),
});
const act = (asked) => changes.act(asked);

/** Tell of a failure, beside its field where it has one; where the studio refused, show what it has. */
async function failed(failure) {
  if (failure instanceof Refusal && failure.status === 422 && form.keep(failure.data)) return;
  sayFailure(failure);
  if (failure instanceof Refusal && failure.status === 0) return;
  changes.typed.clear();
  await told(async () => show(await request("GET", address)));
}

// --- panes ---------------------------------------------------------------------------------------

const form = new SheetForm(byId("pane-form"), {
  change: (path, value, sure) => changes.change(path, value, sure),
  closed: new Set(["loom", "yarns", "use", "swatches", "stripes", "wraps", "cost"]),
  add: (group) => act([newRow(group)]).then(() => {
    const rows = byId("pane-form").querySelectorAll(`[data-list="${group.key}"] > .group-row`);
    /** @type {HTMLElement|null} */ (rows[rows.length - 1]?.querySelector("input, select"))?.focus();
  }),
  text: (line) => {
    showTab("text", true);
    if (line) text.go(line);
  },
  remove: (group, row) => act([{ do: "remove", path: row.path }]).then(() => byId(`add-${group.key}`)?.focus()),
  move: (group, row, to) => act([{ do: "move", path: row.path, to }]),
  keep: (group, row) => told(async () => {
    await changes.flush();
    const kept = await request("POST", `${address}/keep`, { part: group.key, row });
    say(`${kept.name} is in the library now.`);
  }),
  extra: (group) => (group.key === "cost" ? priceLink() : libraryChooser(group, (record, row) => {
    changes.flush();
    return changes.send("POST", "/take", () => ({ record, ...(row ? { row } : {}) }));
  })),
});
const result = new ResultPane(byId("result"), byId("heard"));
const fabric = new FabricPane(result.fabric, address);
const text = new TextPane(byId("pane-text"), (written) => changes.send("PUT", "/text", () => ({ text: written })));
const versions = new VersionsPane(byId("pane-versions"), address, {
  restore: (number) => changes.send("POST", `/versions/${number}/restore`, () => ({})),
  name: (name) => changes.send("POST", "/versions", () => ({ name })),
});

function priceLink() {
  return el("p", {}, el("a", { href: `/designs/${root.dataset.id}/price` }, "See what each size comes to"));
}

/** @param {any} fresh */
function show(fresh) {
  view = fresh;
  byId("title").textContent = view.title || "A design without a title";
  document.title = `${view.title} · Pegwright`;
  state.textContent = view.problems.length ? "Saved as it is, with something to mend." : "Saved.";
  /** @type {HTMLButtonElement} */ (byId("undo")).disabled = !view.can_undo;
  /** @type {HTMLButtonElement} */ (byId("redo")).disabled = !view.can_redo;
  if (view.sheet) form.show(view.sheet, view.problems);
  else showTab("text");
  text.show(view);
  result.show(view);
  fabric.refresh(view);
  if (!byId("pane-versions").hidden) versions.refresh();
}

// --- tabs ----------------------------------------------------------------------------------------

const TABS = ["form", "text", "versions"];

function showTab(name, focus = false) {
  for (const tab of TABS) {
    const button = byId(`tab-${tab}`);
    const chosen = tab === name;
    button.setAttribute("aria-selected", String(chosen));
    button.tabIndex = chosen ? 0 : -1;
    byId(`pane-${tab}`).hidden = !chosen;
    if (chosen && focus) button.focus();
  }
  if (name === "versions") versions.refresh();
}

for (const [at, tab] of TABS.entries()) {
  byId(`tab-${tab}`).addEventListener("click", () => showTab(tab));
  byId(`tab-${tab}`).addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[/** @type {KeyboardEvent} */ (event).key];
    if (step) showTab(TABS[(at + step + TABS.length) % TABS.length], true);
  });
}

// --- undo, redo, share ---------------------------------------------------------------------------

changes.listen(byId("undo"), byId("redo"), "#pane-text, dialog"); // the text has its own
byId("share").addEventListener("click", () => told(async () => {
  await changes.flush();
  if (view.problems.length || !view.result?.proved) {
    say("A page is made of a proved design: mend what is marked first.", "fault");
    return;
  }
  location.assign(`/api/publish/${root.dataset.id}/page?download=true`);
}));

told(async () => show(await request("GET", address)));
