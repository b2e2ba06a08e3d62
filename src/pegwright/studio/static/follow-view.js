/** What the page at the loom shows: texts and drawings from the document and the state. */
import { colourOf, count, doneIn, isDone, roundWords, stripeInWork, stripeWords, wayWords } from "./follow-steps.js";

const SVG = "http://www.w3.org/2000/svg";
const LINK_HEIGHT = 30;
const LINKS_BELOW = 7, LINKS_ABOVE = 4;

/** @param {string} id @returns {any} */
export function byId(id) {
  return document.getElementById(id);
}

/** An element; texts are always set as text, never as markup. */
export function make(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

function shape(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/** A drawing as an element; scripts in it never run. @param {string} markup */
export function drawing(markup) {
  const root = new DOMParser().parseFromString(markup, "image/svg+xml").documentElement;
  return root.localName === "svg" ? document.importNode(root, true) : null;
}

/** A time as the maker's own device writes it. @param {string} iso */
export function timeWords(iso) {
  const at = new Date(iso);
  return Number.isNaN(at.valueOf()) ? iso
    : at.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

/** A dot in a yarn's colour. @param {string} hex */
export function swatch(hex) {
  const svg = shape("svg", { viewBox: "0 0 24 24", class: "swatch", "aria-hidden": "true" });
  svg.append(shape("circle", { cx: 12, cy: 12, r: 10.5, fill: hex, stroke: "var(--line)", "stroke-width": 1.5 }));
  return svg;
}

function setText(id, words) {
  const place = byId(id);
  if (place.textContent !== (words ?? "")) place.textContent = words ?? "";
  place.hidden = !words;
}

// --- the counter ----------------------------------------------------------------------------------

/** The big counter for the step in hand; null where every step is done. */
export function showCounter(doc, state, step) {
  const button = byId("count");
  button.classList.toggle("ticks", Boolean(step) && step.rows === 0);
  button.classList.toggle("finished", !step);
  button.disabled = !step;
  if (!step) {
    setText("count-label", "Every step is done");
    setText("count-number", "✓\ufe0e");
    for (const id of ["count-of", "count-step", "count-round", "count-over"]) setText(id, "");
    setText("count-hint", "Undo brings the last step back.");
    showChain(doc, state, null);
    return;
  }
  const piece = doc.pieces.find((one) => one.name === step.piece);
  const done = state.rows[step.piece] ?? 0;
  const named = doc.pieces.filter((one) => one.rows > 0).length > 1;
  const word = `${named ? `${step.piece}: ` : ""}rows done`;
  setText("count-over", done > piece.rows
    ? `${count(done - piece.rows, "row")} more than the pattern has; rip back or correct it under More.` : "");
  if (step.rows === 0) {
    setText("count-label", `Step ${step.number} of ${doc.steps.length}`);
    setText("count-number", "");
    setText("count-of", step.title);
    for (const id of ["count-step", "count-round"]) setText(id, "");
    setText("count-hint", "Tap when this step is done");
  } else {
    const inStep = doneIn(step, state);
    setText("count-label", word.charAt(0).toUpperCase() + word.slice(1));
    setText("count-number", String(done));
    setText("count-of", `of ${piece.rows}`);
    setText("count-step", step.rows === piece.rows || step.rows === 1 ? ""
      : `${inStep} of ${step.rows} in this step, ${step.rows - inStep} to go`);
    setText("count-round", roundWords(step, state));
    setText("count-hint", `Tap when row ${done + 1} is knitted`);
  }
  showChain(doc, state, step);
}

/** The chain along the edge, by which rows are counted on the cloth: done below, to come above. */
function showChain(doc, state, step) {
  const svg = byId("chain");
  svg.toggleAttribute("hidden", !step || step.rows === 0);
  if (!step || step.rows === 0) return;
  const done = state.rows[step.piece] ?? 0;
  const total = doc.pieces.find((one) => one.name === step.piece).rows;
  const links = [];
  for (let row = done + LINKS_ABOVE; row > done - LINKS_BELOW; row -= 1) {
    if (row < 1 || row > total) continue;
    const y = (done + LINKS_ABOVE - row) * LINK_HEIGHT;
    links.push(link(y, row <= done ? colourOf(doc, step.piece, row) ?? "currentColor" : "none"));
  }
  const edge = shape("path", {
    d: `M2 ${LINKS_ABOVE * LINK_HEIGHT + 1} H58`, stroke: "var(--yarn-second)", "stroke-width": 2.5,
    "stroke-dasharray": "4 5", "stroke-linecap": "round",
  });
  const moved = shape("g", {});
  moved.append(...links);
  const before = Number(svg.dataset.done ?? done);
  svg.dataset.done = String(done);
  svg.replaceChildren(moved, edge);
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (!still && Math.abs(done - before) === 1) {
    const from = `translateY(${(before - done) * LINK_HEIGHT}px)`;
    moved.animate([{ transform: from }, { transform: "none" }], { duration: 220, easing: "ease-out" });
  }
}

/** One stitch of the chain: two slim halves that meet at its foot, inside the one below. */
function link(y, fill) {
  const half = (way) => `M30 ${y + 40} C${30 - 9 * way} ${y + 35} ${30 - 21 * way} ${y + 24} ${30 - 21 * way} ${y + 5}`
    + ` C${30 - 8 * way} ${y + 9} ${30 - 1.5 * way} ${y + 25} 30 ${y + 40} Z`;
  return shape("path", {
    d: `${half(1)} ${half(-1)}`, fill, "stroke-linejoin": "round",
    stroke: "var(--line)", "stroke-width": fill === "none" ? 1.4 : 0.9,
  });
}

// --- the step in hand -----------------------------------------------------------------------------

let shownStep = null;

/** The step's words and figures; drawn anew only where the step is another one. */
export function showStep(doc, state, step) {
  showStripe(doc, state, step);
  setText("way", step && step.rows ? sentence(wayWords(step, state)) : "");
  const key = step ? `${doc.digest} ${step.number}` : "none";
  if (key === shownStep) return;
  shownStep = key;
  const body = byId("step");
  if (!step) {
    body.replaceChildren(make("h2", {}, "All done"), make("p", {}, "Every step of this pattern is done."));
    return;
  }
  const figures = step.figures
    .map((figureKey) => doc.figures.find((figure) => figure.key === figureKey))
    .filter(Boolean)
    .map((figure) => make("figure", {}, drawing(figure.svg), make("figcaption", {}, figure.caption)));
  body.replaceChildren(
    make("p", { class: "step-number" }, `Step ${step.number} of ${doc.steps.length}`),
    make("h2", {}, step.title),
    ...step.text.map((words) => make("p", {}, words)),
    step.tally ? make("p", { class: "tally" }, make("strong", {}, "When done: "), step.tally) : "",
    ...figures,
  );
}

function sentence(words) {
  return words ? `Wrap the next row ${words}.` : "";
}

function showStripe(doc, state, step) {
  const place = byId("stripe");
  const stripe = step && step.rows ? stripeInWork(doc, step, state) : null;
  place.hidden = !stripe?.yarn;
  if (place.hidden) return;
  place.replaceChildren(
    swatch(stripe.yarn.colour_hex),
    make("span", {}, make("strong", {}, stripe.yarn.label),
      stripe.alone ? "" : make("span", { class: "stripe-left" }, stripeWords(stripe))),
    stripe.next && !stripe.alone ? swatch(stripe.next.colour_hex) : "",
  );
}

/** The list of steps, each with what can be done with it. */
export function showSteps(doc, state, inHand, { pick, tick }) {
  byId("steps-list").replaceChildren(...doc.steps.map((step) => {
    const done = isDone(step, state), ticked = state.steps.includes(step.number);
    const here = inHand?.number === step.number;
    const rows = step.rows ? `${doneIn(step, state)} of ${count(step.rows, "row")}` : "";
    const word = done ? "done" : here ? "in hand" : "to come";
    return make("li", { class: `${word.replace(" ", "-")}`, "aria-current": here ? "step" : null },
      make("span", { class: "steps-number", "aria-hidden": "true" }, String(step.number)),
      make("div", { class: "steps-words" },
        make("h3", {}, make("span", { class: "spoken" }, `Step ${step.number}: `), step.title),
        make("p", {}, [word, rows].filter(Boolean).join(", "))),
      make("div", { class: "steps-do" },
        done || here ? null : make("button", { type: "button", onclick: () => pick(step) }, "Work on this"),
        done && !ticked ? null : make("button", { type: "button", onclick: () => tick(step, !ticked) },
          ticked ? "Not done" : "Done"),
      ));
  }));
}

// --- notes and weighings --------------------------------------------------------------------------

export function showNotes(state) {
  byId("notes-list").replaceChildren(...state.notes.toReversed().map((note) =>
    make("li", {}, make("p", { class: "note-text" }, note.text),
      make("p", { class: "quiet" }, timeWords(note.at)))));
  byId("notes-none").hidden = state.notes.length > 0;
}

/** Forecasts as of their time, and weighings that came after it. */
export function showForecasts(doc, state, forecasts) {
  const shown = doc.yarns.flatMap((yarn) => {
    const own = state.weighings.filter((event) => event.yarn === yarn.key);
    if (!own.length) return [];
    const found = forecasts.find((one) => one.yarn === yarn.key);
    const newer = !found || own.at(-1).at > found.at;
    return [make("section", { class: "forecast" },
      make("h3", {}, swatch(yarn.colour_hex), yarn.label),
      ...(found ? [
        make("p", { class: "quiet" }, `As of ${timeWords(found.at)}: ${found.grams} g at row ${found.row} of ${found.rows_total}.`),
        ...found.words.map((words, at) => make("p", { class: at === found.words.length - 1 ? "advice" : null }, words)),
      ] : []),
      newer ? make("p", { class: "quiet" },
        `Your weighing of ${own.at(-1).grams} g is kept. The studio works the forecast out when this device and the studio meet again.`) : null,
    )];
  });
  byId("forecasts").replaceChildren(...shown);
}
