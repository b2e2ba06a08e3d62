/** A plan of stripes laid out: what it is, what is proved, the picture, stripes, yarns and sizes. */
import { el, icon } from "./page.js";
import { fabric, swatch } from "./task_picture.js";

export class PlanPane {
  /** @param {any} found @param {HTMLElement} deeds the buttons of what can be done with it */
  constructor(found, deeds) {
    const plan = found.plan;
    this.parts = [
      el("h3", {}, plan.head),
      proof(plan, found.stopped),
      deeds,
      ...troubles(plan.sizes),
      picture(plan.pictures),
      section("The stripes, from the cast-on", bands(plan.stripes)),
      section("The yarn", uses(plan.yarns)),
      section("How it comes out", sizes(plan.sizes)),
    ].filter((part) => part !== null);
  }
}

function proof(plan, stopped) {
  const first = plan.best ? "Proved." : "The best so far.";
  // What stands before in strong words is not said again.
  const words = plan.proof.replace(/(^|; )(?:not )?proved: (.)/i, (_, before, letter) => (before ? ". " : "") + letter.toUpperCase());
  return el("div", { class: `banner ${plan.best ? "good" : ""}` }, plan.best ? icon("proved") : null,
    el("div", {}, el("p", {}, el("strong", {}, first), ` ${words}`),
      stopped ? el("p", {}, "You took it before the search was over.") : null));
}

function troubles(list) {
  const wrong = list.filter((size) => size.trouble.length);
  if (!wrong.length) return [];
  return [el("div", { class: "banner fault" }, icon("fault"), el("div", {},
    el("p", {}, el("strong", {}, "It does not come out as it should in every size.")),
    ...wrong.flatMap((size) => size.trouble.map((words) => el("p", {}, `${size.name}: ${words}`)))))];
}

/** The fabric, from one of its sides. */
function picture(pictures) {
  if (!pictures.length) return null;
  const place = el("div", {});
  const show = (key) => place.replaceChildren(fabric(pictures.find((one) => one.key === key) ?? pictures[0]));
  show(pictures[0].key);
  const choose = pictures.length < 2 ? null : el("div", { class: "field" }, el("label", { for: "side" }, "Seen from"),
    el("select", { id: "side", onchange: (event) => show(event.target.value) },
      ...pictures.map((one) => el("option", { value: one.key }, one.title))));
  return el("div", { class: "stack" }, choose, place);
}

function section(title, ...parts) {
  return el("section", {}, el("h3", {}, title), ...parts);
}

function bands(stripes) {
  return el("ol", { class: "bands", role: "list" }, ...stripes.map((stripe) =>
    el("li", {}, swatch(stripe.hex), el("span", { class: "span" }, stripe.words), el("span", {}, stripe.label))));
}

const COLUMNS = [["Stripes", "stripes"], ["Rows", "rows"], ["Drawn", "drawn"], ["Left", "left"], ["Part used", "part"]];

function uses(yarns) {
  const head = el("tr", {}, el("th", { scope: "col" }, "Yarn"), ...COLUMNS.map(([title]) => el("th", { scope: "col" }, title)));
  const rows = yarns.map((yarn) => el("tr", {}, el("th", { scope: "row" }, swatch(yarn.hex), ` ${yarn.label}`),
    ...COLUMNS.map(([, key]) => el("td", {}, ...[yarn[key]].flat().map((words) => el("div", {}, String(words)))))));
  return el("div", { class: "scroll uses", role: "region", "aria-label": "What is used of every yarn", tabindex: "0" },
    el("table", {}, el("thead", {}, head), el("tbody", {}, ...rows)),
    el("p", {}, "The part used is counted at the safe end: rows at the most that they may draw, weights at the least."));
}

function sizes(list) {
  return el("dl", { class: "facts" }, ...list.flatMap((size) => [el("dt", {}, size.name),
    el("dd", {}, size.words ? `finished: ${size.words}` : "cannot be made so")]));
}

/**
 * Why there is no plan, and the ways out.
 * @param {any} found @param {(changes: any) => void} take
 */
export function noPlan(found, take) {
  const many = found.ways.length > 1;
  return [
    el("h3", {}, "No stripes keep all of these limits"),
    el("div", { class: "banner fault" }, icon("fault"), el("p", {}, `Asked for: ${found.refused.given}.`)),
    el("div", {}, el("p", {}, found.ways.length ? `${many ? "Each of these would do" : "This would do"}:` : "Ask for less."),
      el("ul", { class: "ways", role: "list" }, ...found.ways.map((way) => el("li", {}, el("span", {}, `${way.words}.`),
        Object.keys(way.changes).length ? el("button", { type: "button", onclick: () => take(way.changes) }, "Try it so",
          el("span", { class: "spoken" }, ` (${way.words})`)) : null)))),
  ];
}
