/** Colours: how they fall on every face of a size, and the search for pegs and a start. */
import { request, Refusal, sentence } from "./request.js";
import { el, icon, say, sayFailure } from "./page.js";
import { work } from "./job.js";
import { fabric, mainOnly, refuse, showWritten } from "./task_picture.js";

const root = /** @type {HTMLElement} */ (document.getElementById("task"));
const api = `/api/colours/${root.dataset.id}`;
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const form = /** @type {HTMLFormElement} */ (byId("ask"));
const see = /** @type {HTMLFormElement} */ (byId("see"));
const result = byId("result");

// --- how they fall -------------------------------------------------------------------------------

let turn = 0;

async function showFaces() {
  const mine = ++turn;
  const query = () => new URLSearchParams([...new FormData(see)].map(([name, value]) => [name, String(value)]));
  try {
    const found = await request("GET", `${api}?${query()}`);
    if (mine !== turn) return;
    byId("said").replaceChildren(...[...found.words, ...found.sight].map((words) => el("p", {}, words)));
    byId("faces").replaceChildren(...found.faces.map((face) => faceOf(face, query())));
  } catch (failure) {
    if (mine !== turn) return;
    byId("said").replaceChildren(el("div", { class: "banner fault" }, icon("fault"), el("p", {}, failure.message)));
    byId("faces").replaceChildren();
  }
}

/** @param {{key: string, title: string}} face @param {URLSearchParams} query */
function faceOf(face, query) {
  query.set("face", face.key);
  // Asked anew each time, so that a change to the design is seen.
  query.set("at", String(Date.now()));
  const address = (form, more = "") => `${api}/picture?${query}&form=${form}${more}`;
  const save = (form, words) => el("a", { href: address(form, "&download=true"), download: "" }, words,
    el("span", { class: "spoken" }, ` of ${face.title}`));
  return el("figure", {}, el("img", { src: address("drawn"), alt: face.words, loading: "lazy" }),
    el("figcaption", {}, el("strong", {}, face.title), el("span", {}, save("drawn", "Drawing"), " ", save("painted", "Painting"))));
}

// --- the search ----------------------------------------------------------------------------------

const value = (name) => String(new FormData(form).get(name) ?? "").trim();

function count(name, empty) {
  const text = value(name);
  if (!text && empty) return null;
  if (/^\d{1,5}$/.test(text)) return Number(text);
  throw new Refusal({ error: "a whole number is needed here", given: text || null, try: null, line: null, field: name }, 422);
}

function asked() {
  return {
    effect: value("effect"), yarn: value("yarn"), colours: value("colours"), pegs_from: count("pegs_from", true),
    pegs_to: count("pegs_to", true), wraps: new FormData(form).getAll("wraps").map(String),
    rows: count("rows"), starts: count("starts"), best: count("best"),
  };
}

let busy = false;

async function search() {
  if (busy) return;
  busy = true;
  refuse(form);
  mainOnly(".search", byId("search"));
  try {
    const body = asked();
    result.replaceChildren();
    byId("search").setAttribute("disabled", "");
    const done = await work(byId("job"), `${api}/search`, body, { stop: "Take the best so far" });
    if (done) show(await request("GET", done.result), body);
  } catch (failure) {
    if (!(failure instanceof Refusal && refuse(form, failure.data, sentence(failure.data)))) {
      result.replaceChildren(el("div", { class: "banner fault" }, icon("fault"), el("p", {}, failure.message)));
      sayFailure(failure);
    }
  } finally {
    busy = false;
    byId("search").removeAttribute("disabled");
  }
}

function show(found, body) {
  const unseen = found.unseen ? `${found.unseen} peg counts were not looked at, as you stopped it.` : "";
  const head = el("h3", { tabindex: "-1" }, found.best.length === 1 ? "The best" : `The best ${found.best.length}`);
  result.replaceChildren(head, ...[...found.words, unseen].filter(Boolean).map((words) => el("p", { class: "quiet" }, words)),
    ...found.best.map((one) => placed(one, found, body)));
  mainOnly(".search", result.querySelector(".use"));
  head.focus();
}

function placed(one, found, body) {
  const title = `${one.pegs} pegs, ${one.wrap}`;
  const list = (words, items) => (items.length ? [el("p", {}, words), el("ul", {}, ...items.map((item) => el("li", {}, item)))] : []);
  const deeds = el("div", {});
  const use = el("button", { type: "button", class: "use", onclick: () => useIt(one, found, body, deeds, use) }, "Use this",
    el("span", { class: "spoken" }, ` with ${title}`));
  deeds.append(use);
  return el("article", { class: "placed" },
    el("div", {}, el("h4", {}, title), el("p", {}, one.words.replace(`${title}: `, "").replace(/^./, (c) => c.toUpperCase())),
      el("p", { class: "quiet" }, `A piece on so many pegs is ${one.width}.`),
      ...list("This is written into the design:", one.writes), ...list("Know before you use it:", one.mind), deeds),
    fabric({ svg: one.svg, words: one.told, caption: one.caption }));
}

// --- into the design -----------------------------------------------------------------------------

async function useIt(one, found, body, deeds, use) {
  use.setAttribute("disabled", "");
  try {
    const { yarn, colours } = body;
    const { pegs, wrap, offset_m } = one;
    const written = await request("POST", `${api}/use`, { revision: found.revision, yarn, colours, pegs, wrap, offset_m });
    used(written, deeds);
  } catch (failure) {
    use.removeAttribute("disabled");
    sayFailure(failure);
  }
}

function used(written, deeds) {
  for (const other of result.querySelectorAll(".use")) other.setAttribute("disabled", "");
  mainOnly(".search", null);
  showWritten(deeds, String(root.dataset.id), "It is in the design.", written, () => {
    deeds.replaceChildren(el("p", {}, "The design is as it was before. Look again to use another."));
    mainOnly(".search", byId("search"));
    byId("search").focus();
    say("The design is as it was before.");
    showFaces();
  });
  showFaces();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  search();
});
see.addEventListener("change", showFaces);
see.addEventListener("submit", (event) => event.preventDefault());
showFaces();
