/** A design: its form, its text and its versions on one side, what it comes to on the other. */
import { Refusal, request } from "./request.js";
import { say, sayFailure, told } from "./page.js";
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

// --- one change after another --------------------------------------------------------------------

/** @type {Map<string, any>} values that were typed and not sent yet, by path */
const typed = new Map();
let timer = 0;
/** @type {Promise<any>} */
let queue = Promise.resolve(true);

/**
 * Ask for something with the revision that is shown; one request after the other.
 * @returns {Promise<boolean>} false where no answer came, so that it can be asked again.
 */
function send(method, path, body) {
  const done = queue.then(async () => {
    state.textContent = "Saving …";
    try {
      show(await request(method, `${address}${path}`, { revision: view.revision, ...body() }));
      return true;
    } catch (failure) {
      return failed(failure);
    }
  });
  queue = done;
  return done;
}

/** Tell of a failure; where the studio refused, show what it has. */
async function failed(failure) {
  state.textContent = "Not saved.";
  sayFailure(failure);
  if (failure instanceof Refusal && failure.status === 0) return false;
  typed.clear();
  await told(async () => show(await request("GET", address)));
  return true;
}

/** Send what was typed; typing where more of it may follow.  What does not arrive is kept. */
async function flush(typing = false) {
  clearTimeout(timer);
  if (!typed.size) return queue;
  const sent = [...typed];
  typed.clear();
  const changes = sent.map(([path, value]) => ({ do: "set", path, value }));
  const arrived = await send("PATCH", "/fields", () => ({ changes, typing }));
  if (arrived) return undefined;
  for (const [path, value] of sent) if (!typed.has(path)) typed.set(path, value);
  timer = setTimeout(() => flush(), 3000);
  return undefined;
}

function change(path, value, sure) {
  clearTimeout(timer);
  typed.set(path, value);
  if (sure) flush();
  else timer = setTimeout(() => flush(true), 250);
}

function act(changes) {
  flush();
  return send("PATCH", "/fields", () => ({ changes }));
}

// --- panes ---------------------------------------------------------------------------------------

const form = new SheetForm(byId("pane-form"), {
  change,
  closed: new Set(["loom", "yarns", "use", "swatches", "stripes"]),
  add: (group) => act([newRow(group)]).then(() => {
    const rows = byId("pane-form").querySelectorAll(`[data-key="${group.key}"] .group-row`);
    /** @type {HTMLElement|null} */ (rows[rows.length - 1]?.querySelector("input, select"))?.focus();
  }),
  remove: (group, row) => act([{ do: "remove", path: row.path }]).then(() => byId(`add-${group.key}`)?.focus()),
  move: (group, row, to) => act([{ do: "move", path: row.path, to }]),
  keep: (group, row) => told(async () => {
    await flush();
    const kept = await request("POST", `${address}/keep`, { part: group.key, row });
    say(`${kept.name} is in the library now.`);
  }),
  extra: (group) => libraryChooser(group, (record, row) => {
    flush();
    return send("POST", "/take", () => ({ record, ...(row ? { row } : {}) }));
  }),
});
const result = new ResultPane(byId("result"), byId("heard"));
const fabric = new FabricPane(result.fabric, address);
const text = new TextPane(byId("pane-text"), (written) => send("PUT", "/text", () => ({ text: written })));
const versions = new VersionsPane(byId("pane-versions"), address, {
  restore: (number) => send("POST", `/versions/${number}/restore`, () => ({})),
  name: (name) => send("POST", "/versions", () => ({ name })),
});

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

function undo() {
  flush();
  return send("POST", "/undo", () => ({}));
}
function redo() {
  flush();
  return send("POST", "/redo", () => ({}));
}
byId("undo").addEventListener("click", undo);
byId("redo").addEventListener("click", redo);
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
  if (/** @type {HTMLElement} */ (event.target).closest("#pane-text, dialog")) return; // the text has its own
  event.preventDefault();
  /** @type {any} */ (document.activeElement)?.removeAttribute?.("data-typing");
  if (event.shiftKey) redo();
  else undo();
});
byId("share").addEventListener("click", () => told(async () => {
  await flush();
  if (view.problems.length || !view.result?.proved) {
    say("A page is made of a proved design: mend what is marked first.", "fault");
    return;
  }
  location.assign(`/api/publish/${root.dataset.id}/page?download=true`);
}));
window.addEventListener("beforeunload", (event) => {
  if (typed.size) {
    flush();
    event.preventDefault();
  }
});

told(async () => show(await request("GET", address)));
