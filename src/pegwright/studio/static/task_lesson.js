/** The lesson of a design: read through shot by shot, in her own words and colours; then its pack. */
import { drawing, el, icon, say, sayFailure, told } from "./page.js";
import { Refusal, request, sentence } from "./request.js";
import { SheetForm } from "./form.js";
import { work } from "./job.js";

const KEPT = "pegwright-lesson-words";
const TYPING_MS = 350;

const id = document.getElementById("task")?.dataset.id;
const byId = (name) => /** @type {any} */ (document.getElementById(name));

/** What the form of words and colours holds, by path. @type {Record<string, string>} */
let values = {};
/** @type {any[]} */
let groups = [];
/** @type {any} */
let lesson = null;
let asked = 0;
let timer = 0;

const form = new SheetForm(byId("words") ?? document.createElement("div"), {
  closed: new Set(["colours", "speed"]),
  change: (path, value, sure) => {
    if (values[path] === String(value)) return;
    values[path] = String(value);
    soon(sure ? 0 : TYPING_MS);
  },
});

// --- her own words and colours -------------------------------------------------------------------

/** @param {any[]} sheet the form as the studio gives it, with what stands in it. */
function take(sheet) {
  groups = sheet;
  values = {};
  for (const field of fieldsOf(sheet)) values[field.path] = field.value;
  form.show(sheet);
}

const fieldsOf = (sheet) => sheet.flatMap((group) => group.fields);

/** The words of before, as far as they are keys of today. */
function withKept(sheet) {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    for (const field of fieldsOf(sheet)) {
      if (typeof kept[field.path] === "string") field.value = kept[field.path];
    }
  } catch {
    // a browser that keeps nothing: the usual words
  }
  return sheet;
}

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(values));
  } catch {
    // nothing is kept then
  }
}

function fileWrong(lines) {
  const place = byId("file-wrong");
  place.hidden = !lines.length;
  place.replaceChildren(...lines.flatMap((line, at) => (at ? [el("br"), line] : [line])));
  if (lines.length) byId("file").setAttribute("aria-invalid", "true");
  else byId("file").removeAttribute("aria-invalid");
}

/** Every problem of a refusal with its line. @param {Refusal} refusal */
function linesOf(refusal) {
  return [refusal.data, ...(refusal.data.more ?? [])].map((one) =>
    `${one.line ? `Line ${one.line}${one.field ? `, ${one.field}` : ""}: ` : ""}${sentence(one)}`);
}

async function takeFile() {
  const [file] = byId("file").files;
  if (!file) return;
  const body = new FormData();
  body.append("file", file);
  try {
    take(await request("POST", "/api/lesson/words", body));
    fileWrong([]);
    say(`The words and colours of ${file.name} are in the form.`);
    soon(0);
  } catch (failure) {
    if (!(failure instanceof Refusal)) throw failure;
    fileWrong(linesOf(failure));
  }
  byId("file").value = "";
}

async function saveFile() {
  const text = await request("POST", "/api/lesson/words/file", { values });
  const link = el("a", { href: URL.createObjectURL(new Blob([text], { type: "application/toml" })), download: "lesson-words.toml" });
  link.click();
  setTimeout(() => URL.revokeObjectURL(/** @type {any} */ (link).href), 60_000);
}

// --- reading it through --------------------------------------------------------------------------

const wanted = () => ({ size: byId("size").value, units: byId("units").value, values });

function soon(ms) {
  clearTimeout(timer);
  timer = setTimeout(read, ms);
}

/** Ask for the lesson as it now is; an answer that was asked for earlier is passed over. */
async function read() {
  const turn = ++asked;
  try {
    const found = await request("POST", `/api/lesson/${id}/read`, { ...wanted(), shape: byId("shape").value });
    if (turn !== asked) return;
    const first = !lesson;
    lesson = found;
    wrong("");
    form.refuse([]);
    keep();
    show(first);
  } catch (failure) {
    if (turn === asked) refuse(failure);
  }
}

/** A refusal stands at its field; what was shown stays. */
function refuse(failure) {
  if (!(failure instanceof Refusal)) return sayFailure(failure);
  const problems = [failure.data, ...(failure.data.more ?? [])];
  form.refuse(problems);
  const marked = problems.filter((one) => /^(words|colours|speed)\b/.test(one.field ?? ""));
  if (marked.length) byId("own").open = true;
  wrong(marked.length ? "Something in your own words and colours cannot be used; it is marked there." : failure.message);
}

function wrong(words) {
  byId("wrong").textContent = words;
  byId("wrong").hidden = !words;
}

function show(first) {
  byId("summary").textContent = lesson.summary;
  if (!first) byId("heard").textContent = `Read anew. ${lesson.summary}`;
  const shown = new Map();
  byId("shots").replaceChildren(...lesson.cues.map((cue) => shot(cue, shown)));
  const rest = lesson.cards.filter((card) => !shown.has(card.key));
  byId("further").hidden = !rest.length;
  byId("more-cards").replaceChildren(...rest.map(picture));
  showChoices();
  showLive();
  byId("mended").replaceChildren(...lesson.findings.map((one) =>
    el("div", { class: "finding" }, el("p", {}, el("strong", {}, `${one.label}. `), capital(`${one.what}.`)), el("p", {}, capital(`${one.mend}.`)))));
}

/** One shot; a card that was shown further up is named with its shot. */
function shot(cue, shown) {
  const title = `shot-${cue.number}`;
  const fresh = cue.cards.filter((key) => !shown.has(key));
  const again = cue.cards.filter((key) => shown.has(key));
  const firsts = [...new Set(again.map((key) => shown.get(key)))];
  for (const key of fresh) shown.set(key, cue.number);
  const fact = (name, ...words) => (words.some(Boolean) ? [el("dt", {}, name), el("dd", {}, ...words)] : []);
  return el("li", { class: "shot", "aria-labelledby": title },
    el("div", { class: "shot-head" },
      el("h4", { id: title }, `${cue.number}. ${cue.title}`),
      el("p", { class: "quiet" }, [`from ${cue.start}`, ...cue.times.map(figureOf), cue.steps].filter(Boolean).join(" · "))),
    el("div", { class: "shot-body" },
      el("div", {},
        el("blockquote", { class: "said" }, ...cue.narration.map((line) => el("p", {}, line))),
        el("dl", { class: "facts" },
          ...fact("On the board", cue.board),
          ...fact("Ready", cue.ready),
          ...fact("Rows", cue.rows.map(figureOf).join(", ")),
          ...fact("Camera", `${capital(cue.camera)}. ${cue.camera_words}`),
          ...(again.length ? fact("Lay over it", again.length > 1 ? "the cards shown at " : "the card shown at ",
            ...firsts.flatMap((n, at) => [at ? ", " : "", el("a", { href: `#shot-${n}` }, `shot ${n}`)])) : []))),
      fresh.length ? el("div", { class: "shot-cards" }, ...fresh.map((key) => picture(lesson.cards.find((card) => card.key === key)))) : null));
}

const figureOf = (one) => `${one.figure} ${one.words}`;

/** A card with its words; the same card may stand in several places, so it keeps no ids. */
function picture(card) {
  return el("figure", { class: "card-shown" }, drawn(card),
    el("figcaption", {}, el("details", {}, el("summary", {}, `Card ${nameOf(card)} in words`), el("p", {}, card.alt))));
}

function drawn(card) {
  const svg = drawing(card.svg);
  if (!svg) return el("p", {}, card.alt);
  for (const one of svg.querySelectorAll(":scope > title, :scope > desc")) one.remove();
  svg.removeAttribute("aria-labelledby");
  svg.setAttribute("aria-label", `Card ${nameOf(card)}`);
  return svg;
}

/** As its file is called after the shape: ``03-yarn``. */
const nameOf = (card) => card.name.replace(/^.*-card-[a-z]+-(\d+)-/, "$1 ").replaceAll("-", " ");

function showChoices() {
  const choice = byId("card");
  const before = choice.value;
  choice.replaceChildren(...lesson.cards.map((card) => el("option", { value: card.key }, nameOf(card))));
  if (lesson.cards.some((card) => card.key === before)) choice.value = before;
}

function showLive() {
  const card = lesson?.cards.find((one) => one.key === byId("card").value);
  byId("live").replaceChildren(...(card ? [drawn(card)] : []));
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// --- the pack ------------------------------------------------------------------------------------

async function make() {
  const button = byId("make");
  button.disabled = true;
  byId("ready").replaceChildren();
  wrong("");
  try {
    const made = await work(byId("job"), `/api/lesson/${id}/pack`,
      { ...wanted(), paper: byId("paper").value, films: byId("films").checked }, { stop: "Stop, make nothing" });
    byId("ready").replaceChildren(made
      ? el("div", { class: "banner good" }, icon("proved"), el("div", {}, el("p", {}, el("strong", {}, "The pack is ready.")),
        el("p", {}, el("a", { class: "button", href: made.result, download: true }, "Take the pack"))))
      : el("p", {}, "It was stopped; nothing was made."));
    byId("ready").focus();
  } catch (failure) {
    refuse(failure);
  } finally {
    button.disabled = false;
  }
}

if (byId("lesson")) {
  byId("how").addEventListener("submit", (event) => event.preventDefault());
  for (const name of ["size", "units", "shape"]) byId(name).addEventListener("change", () => soon(0));
  byId("card").addEventListener("change", showLive);
  byId("file").addEventListener("change", () => told(takeFile));
  byId("save").addEventListener("click", () => told(saveFile));
  byId("usual").addEventListener("click", () => told(async () => {
    take(await request("GET", "/api/lesson/words"));
    soon(0);
  }));
  byId("make")?.addEventListener("click", () => told(make));
  told(async () => {
    take(withKept(await request("GET", "/api/lesson/words")));
    await read();
  });
}
