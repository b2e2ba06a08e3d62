/**
 * The page at the loom.  It works from what the device has; the studio is asked when it is there.
 *
 * As one file on a phone there is no studio to ask: the document stands in the file, and what was
 * counted is carried over by hand.
 */
import { Awake, buzz } from "./follow-awake.js";
import { lastOf, stateOf } from "./follow-fold.js";
import { Tally, openStore } from "./follow-store.js";
import { count, isDone, stepInHand } from "./follow-steps.js";
import { Line, NotSynced, countFile, eventsOfFile, packed, unpacked } from "./follow-sync.js";
import { byId, make, showCounter, showForecasts, showNotes, showStep, showSteps } from "./follow-view.js";

const EVERY_MS = 10000;
const BOUNCE_MS = 80; // a pedal's contact may close twice

class Page {
  constructor(store, tally, kept, file) {
    this.store = store;
    this.tally = tally;
    this.kept = kept;
    this.file = file;
    this.line = file ? null : new Line(tally);
    if (this.line) this.line.theirs = kept?.upto ?? {};
    this.state = stateOf(tally.events);
    this.picked = null;
    this.trouble = file ? "file" : "";
    this.syncing = null;
    this.pressed = 0;
    this.settings = { buzz: false, awake: true, size: "1" };
    this.awake = new Awake((words) => { byId("awake-words").textContent = words; });
  }

  get doc() {
    return this.kept?.view?.document ?? null;
  }

  get step() {
    return this.doc ? stepInHand(this.doc, this.state, this.picked) : null;
  }

  // --- doing -----------------------------------------------------------------------------------

  async keep(kind, fields) {
    try {
      await this.tally.add(kind, fields);
    } catch (failure) {
      this.say(`This device could not keep that: ${failure?.message ?? failure}. Its storage may be full.`);
      return;
    }
    this.channel?.postMessage("more");
    this.refresh();
    this.syncSoon(400);
  }

  /** The one thing that a tap, the space bar and a pedal do. */
  async forward() {
    const step = this.step;
    if (!step) return;
    if (step.rows) await this.keep("row", { piece: step.piece, rows: 1 });
    else await this.keep("step", { step: step.number, done: true });
    const stepDone = isDone(step, this.state);
    if (this.settings.buzz) buzz(stepDone);
    this.speak(this.spoken(step, stepDone));
  }

  spoken(step, stepDone) {
    const next = this.step;
    const rows = step.rows ? `${count(this.state.rows[step.piece] ?? 0, "row")} done. ` : "";
    if (!stepDone) return rows;
    const tally = step.tally ? `There must be: ${step.tally} ` : "";
    return `${rows}Step ${step.number} is done. ${tally}${next ? `Next: ${next.title}.` : "That was the last."}`;
  }

  async undo() {
    const event = lastOf(this.tally.device, this.tally.events);
    if (!event) {
      this.speak("There is nothing of this device to undo.");
      return;
    }
    await this.keep("undo", { undoes: event.id });
    this.speak(`Undone: ${undoneWords(event)}.`);
  }

  async byHand(sign) {
    const field = byId("rows-by-hand");
    const rows = Number(field.value);
    const step = this.step ?? this.doc?.steps.findLast((one) => one.rows);
    if (!Number.isInteger(rows) || rows < 1 || rows > 10000 || !step) {
      byId("rows-said").textContent = "Write how many rows, as a whole number from 1.";
      return;
    }
    const piece = step.rows ? step.piece : this.doc.steps.findLast((one) => one.rows && one.number < step.number)?.piece ?? step.piece;
    await this.keep("row", { piece, rows: sign * rows });
    byId("rows-said").textContent = `${count(rows, "row")} ${sign > 0 ? "added" : "ripped back"}: ${this.state.rows[piece] ?? 0} done.`;
    field.value = "";
  }

  // --- showing ---------------------------------------------------------------------------------

  refresh() {
    this.state = stateOf(this.tally.events);
    byId("undo").disabled = !lastOf(this.tally.device, this.tally.events);
    if (!this.doc) return;
    const step = this.step;
    if (this.picked && step?.number !== this.picked) this.picked = null;
    showCounter(this.doc, this.state, step);
    showStep(this.doc, this.state, step);
    showNotes(this.state);
    showForecasts(this.doc, this.state, this.kept.forecasts ?? []);
    if (byId("steps").open) this.showSteps();
    this.showStatus();
  }

  showSteps() {
    showSteps(this.doc, this.state, this.step, {
      pick: (step) => { this.picked = step.number; this.refresh(); byId("steps").close(); },
      tick: (step, done) => this.keep("step", { step: step.number, done }),
    });
  }

  showDocument() {
    const { view } = this.kept;
    document.title = `${view.name} · At the loom`;
    byId("title").textContent = view.document.title;
    byId("size").textContent = `size ${view.document.size}`;
    byId("weigh-yarn").replaceChildren(...view.document.yarns.filter((yarn) => yarn.forecast)
      .map((yarn) => make("option", { value: yarn.key }, yarn.label)));
    this.showOwnYarn();
    byId("loading").hidden = true;
    byId("work").hidden = false;
    this.refresh();
  }

  /** Which yarn of the library a weighing also goes to. */
  showOwnYarn() {
    const own = this.kept.view.own_yarns?.[byId("weigh-yarn").value];
    byId("weigh-own").hidden = !own;
    byId("weigh-own").textContent = own ? `It also goes into the weight history of ${own}, in the library.` : "";
  }

  showStatus() {
    const waiting = this.line?.waiting ?? 0;
    const words = {
      file: "Kept in this browser",
      "": waiting ? `${waiting} to send` : "All kept",
      away: waiting ? `Network off: counting goes on, ${waiting} to send` : "Network off: counting goes on",
      unpaired: "Not paired any more: what you count stays on this phone",
      gone: "The studio has this making no more: what you count stays on this device",
      refused: "The studio did not take it; trying again",
    }[this.trouble];
    const place = byId("status");
    if (place.textContent !== words) place.textContent = words;
    place.dataset.kind = this.trouble || (waiting ? "waiting" : "kept");
    byId("pair-again").hidden = this.trouble !== "unpaired";
  }

  speak(words) {
    byId("spoken").textContent = words;
  }

  say(words) {
    const place = byId("said");
    place.textContent = words;
    place.hidden = !words;
  }

  // --- the studio ------------------------------------------------------------------------------

  syncSoon(ms) {
    if (!this.line) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.sync(), ms);
  }

  /** Bring both together; never two at a time. */
  sync() {
    if (!this.line) return Promise.resolve();
    this.syncing ??= this.syncOnce().finally(() => {
      this.syncing = null;
      this.syncSoon(document.visibilityState === "visible" ? EVERY_MS : 6 * EVERY_MS);
    });
    return this.syncing;
  }

  async syncOnce() {
    try {
      if (!this.fresh) await this.load();
      const { forecasts } = await this.line.sync();
      this.trouble = "";
      this.kept.forecasts = forecasts;
      this.kept.upto = this.line.theirs;
      await this.store.setDocument(this.kept).catch(() => undefined);
    } catch (failure) {
      if (!(failure instanceof NotSynced)) throw failure;
      this.trouble = { 0: "away", 403: "unpaired", 404: "gone" }[failure.status] ?? "refused";
      if (!this.kept) byId("loading").textContent = failure.status === 0
        ? "The studio does not answer, and this device has nothing of this making yet."
        : `${failure.message.charAt(0).toUpperCase()}${failure.message.slice(1)}.`;
    }
    if (this.kept) this.refresh();
  }

  /** The making from the studio, kept for when it is away. */
  async load() {
    const view = await this.line.view();
    this.kept = { ...this.kept, id: view.id, view, forecasts: this.kept?.forecasts ?? [] };
    this.fresh = true;
    await this.store.setDocument(this.kept).catch(() => undefined);
    this.showDocument();
  }

  // --- by hand -----------------------------------------------------------------------------------

  saveCounts() {
    const url = URL.createObjectURL(new Blob([countFile(this.tally)], { type: "application/json" }));
    make("a", { href: url, download: `${this.tally.making}-count.json` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 10000);
  }

  async bring(text) {
    let events;
    try {
      events = eventsOfFile(text, this.tally.making);
    } catch (failure) {
      this.say(failure.message);
      return;
    }
    const taken = await this.tally.take(events);
    this.say(taken ? `${count(taken, "thing")} that ${taken === 1 ? "was" : "were"} counted elsewhere came in.` : "All of that was here already.");
    this.refresh();
    this.syncSoon(0);
  }

  /** Counts that came with the address are taken in only when the maker says so. */
  async offered() {
    const text = location.hash.startsWith("#bring=") ? location.hash.slice(7) : "";
    if (!text) return;
    history.replaceState(null, "", location.pathname);
    let events;
    try {
      const file = await unpacked(text);
      events = eventsOfFile(file, this.tally.making);
      byId("bring-yes").onclick = () => { byId("bring").close(); this.bring(file); };
    } catch {
      this.say("The counts in this address cannot be read.");
      return;
    }
    byId("bring-words").textContent = `Counts saved on another device came with this address: ${count(events.length, "thing")} that ${events.length === 1 ? "was" : "were"} done. Take them in?`;
    byId("bring").showModal();
  }

  async toStudio() {
    location.href = `${this.file.address}/follow/${this.tally.making}#bring=${await packed(countFile(this.tally))}`;
  }
}

function undoneWords(event) {
  return {
    row: event.rows > 0 ? count(event.rows ?? 0, "row") : `${count(-event.rows, "row")} ripped back`,
    step: `step ${event.step}`,
    note: "the note",
    weigh: "the weighing",
  }[event.kind];
}

// --- hands ------------------------------------------------------------------------------------------

const FORWARD = new Set([" ", "Enter", "PageDown", "ArrowRight"]);
const BACK = new Set(["PageUp", "ArrowLeft"]);

function listenToKeys(page) {
  document.addEventListener("keydown", (event) => {
    const forward = FORWARD.has(event.key), back = BACK.has(event.key);
    if (!(forward || back) || event.ctrlKey || event.altKey || event.metaKey) return;
    if (document.querySelector("dialog[open]")) return;
    const target = /** @type {HTMLElement} */ (event.target);
    if (target.closest("input, textarea, select")) return;
    const presses = target.closest("a, button, summary");
    if ((event.key === " " || event.key === "Enter") && presses) {
      // The button's own press does it; held down, the counter's must not do it again and again.
      if (event.repeat && presses.id === "count") event.preventDefault();
      return;
    }
    event.preventDefault();
    if (event.repeat || event.timeStamp - page.pressed < BOUNCE_MS) return;
    page.pressed = event.timeStamp;
    if (forward) page.forward();
    else page.undo();
  });
}

function listenToButtons(page) {
  byId("count").addEventListener("click", () => page.forward());
  byId("undo").addEventListener("click", () => page.undo());
  for (const name of ["note", "weigh", "steps", "more"]) {
    byId(`${name}-open`).addEventListener("click", () => {
      if (name === "steps") page.showSteps();
      byId(name).showModal();
    });
  }
  for (const button of document.querySelectorAll("[data-close]")) {
    button.addEventListener("click", () => button.closest("dialog").close());
  }
  byId("note-form").addEventListener("submit", async (event) => {
    event.preventDefault();
    const field = byId("note-text");
    if (!field.value.trim()) return;
    await page.keep("note", { text: field.value.trim().slice(0, 10000) });
    field.value = "";
  });
  byId("weigh-yarn").addEventListener("change", () => page.showOwnYarn());
  byId("weigh-form").addEventListener("submit", async (event) => {
    event.preventDefault();
    const field = byId("weigh-grams");
    const grams = Number(field.value);
    if (field.value === "" || !Number.isFinite(grams) || grams < 0) return;
    await page.keep("weigh", { yarn: byId("weigh-yarn").value, grams });
    field.value = "";
    page.syncSoon(0);
  });
  byId("rows-add").addEventListener("click", () => page.byHand(1));
  byId("rows-rip").addEventListener("click", () => page.byHand(-1));
  byId("counts-save").addEventListener("click", () => page.saveCounts());
  byId("counts-bring").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (file && file.size < 20e6) await page.bring(await file.text());
    event.target.value = "";
  });
  byId("counts-send")?.addEventListener("click", () => page.toStudio());
  byId("sync-now")?.addEventListener("click", () => page.sync());
  byId("file-link")?.setAttribute("href", `/api/follow/makings/${page.tally.making}/file`);
}

async function listenToSettings(page) {
  page.settings = { ...page.settings, ...await page.store.value("settings") };
  const keep = () => page.store.setValue("settings", page.settings).catch(() => undefined);
  const awake = byId("awake"), buzzes = byId("buzz"), size = byId("size-of-type");
  awake.checked = page.settings.awake;
  buzzes.checked = page.settings.buzz;
  size.value = page.settings.size;
  const apply = () => { document.documentElement.dataset.type = page.settings.size; };
  apply();
  byId("buzz-row").hidden = !("vibrate" in navigator);
  awake.addEventListener("change", () => { page.settings.awake = awake.checked; page.awake.set(awake.checked); keep(); });
  buzzes.addEventListener("change", () => { page.settings.buzz = buzzes.checked; if (buzzes.checked) buzz(false); keep(); });
  size.addEventListener("change", () => { page.settings.size = size.value; apply(); keep(); });
  if (page.settings.awake) page.awake.set(true);
}

function listenToNetwork(page) {
  globalThis.addEventListener("online", () => page.syncSoon(0));
  globalThis.addEventListener("offline", () => { page.trouble = "away"; page.showStatus(); });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") page.syncSoon(0);
  });
  if (typeof BroadcastChannel !== "undefined") {
    page.channel = new BroadcastChannel(`pegwright-follow ${page.tally.making}`);
    page.channel.onmessage = async () => { await page.tally.reload(); page.refresh(); };
  }
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/follow/worker.js", { scope: "/follow/" }).catch(() => undefined);
    navigator.serviceWorker.ready.then(() => { byId("network-words").textContent = WORKS_AWAY; });
  } else {
    byId("network-words").textContent = NEEDS_OPEN;
  }
}

const WORKS_AWAY = "This page is kept on this device and opens with the network off. What you count is sent when the studio is there again.";
const NEEDS_OPEN = "Over a plain network address a browser does not keep the page itself. With the network off, counting goes on for as long as the page stays open, and nothing counted is lost; but do not close it or load it anew then. To open it anywhere, save it as a file below.";
const AS_FILE = "This file needs no network. What you count is kept by this browser under this file; keep the file where it is. Some phones show saved pages without letting them run: then the numbers do not move when you tap.";

async function begin() {
  const inFile = byId("follow-file");
  const file = inFile ? JSON.parse(inFile.textContent) : null;
  const making = file ? file.view.id : location.pathname.split("/").at(-1);
  const store = await openStore();
  const tally = await Tally.open(store, making);
  const kept = file ? { id: making, view: file.view, forecasts: file.forecasts } : await store.document(making).catch(() => undefined);
  if (file) await tally.take(file.events);
  const page = new Page(store, tally, kept, file);
  listenToButtons(page);
  listenToKeys(page);
  await listenToSettings(page);
  if (store.kind === "none") page.say("This browser keeps nothing: what you count is lost when the page is closed. Leave private browsing to keep it.");
  if (page.kept) page.showDocument();
  if (file) byId("network-words").textContent = AS_FILE;
  else {
    navigator.storage?.persist?.().catch(() => undefined);
    listenToNetwork(page);
    await page.offered();
    await page.sync();
  }
  document.documentElement.dataset.ready = "yes";
}

begin();
