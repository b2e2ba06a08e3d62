/** What pages of a design's tasks have alike: swatches, fabric on its sheet, refusals, what was written. */
import { request } from "./request.js";
import { el, icon, sayFailure } from "./page.js";

const SVG = "http://www.w3.org/2000/svg";

/** A round patch of a colour. @param {string} hex */
export function swatch(hex) {
  const svg = document.createElementNS(SVG, "svg");
  for (const [name, value] of [["viewBox", "0 0 2 2"], ["class", "swatch"], ["aria-hidden", "true"]]) svg.setAttribute(name, value);
  const dot = document.createElementNS(SVG, "circle");
  for (const [name, value] of [["cx", "1"], ["cy", "1"], ["r", "1"], ["fill", hex]]) dot.setAttribute(name, value);
  svg.append(dot);
  return svg;
}

/** A drawing of fabric as a picture. @param {{svg: string, words: string, caption?: string}} picture */
export function fabric(picture) {
  const source = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(picture.svg)}`;
  return el("figure", { class: "fabric-sheet" }, el("img", { alt: picture.words, src: source }),
    el("figcaption", {}, picture.caption ?? picture.words));
}

/**
 * Clear what was refused, and show a refusal at its field.
 * @param {HTMLElement} form
 * @param {{field?: ?string, error?: string}} [refused] @param {string} [words]
 * @param {(field: string) => (HTMLElement|null)} [place] where a field's refusals stand.
 * @returns {boolean} whether there is such a field.
 */
export function refuse(form, refused, words = "", place) {
  for (const wrong of form.querySelectorAll("[data-wrong]")) {
    wrong.textContent = "";
    /** @type {HTMLElement} */ (wrong).hidden = true;
  }
  for (const input of form.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
  if (!refused?.field) return false;
  const box = place?.(refused.field)
    ?? /** @type {HTMLElement|null} */ (form.querySelector(`[data-wrong="${CSS.escape(refused.field)}"]`));
  if (!box) return false;
  box.textContent = words;
  box.hidden = false;
  for (let more = box.closest("details"); more; more = more.parentElement?.closest("details") ?? null) more.open = true;
  const input = box.id ? form.querySelector(`[aria-describedby~="${CSS.escape(box.id)}"]`) : null;
  input?.setAttribute("aria-invalid", "true");
  if (input) /** @type {HTMLElement} */ (input).focus();
  else box.scrollIntoView({ block: "center" });
  return true;
}

/** Make one button of a part the page's main one. @param {string} part @param {Element|null} chosen */
export function mainOnly(part, chosen) {
  for (const one of document.querySelectorAll(`${part} button.main`)) one.classList.remove("main");
  chosen?.classList.add("main");
}

/**
 * Show that something is in the design now, with the way to it and the way back.
 * @param {HTMLElement} place @param {string} design its id @param {string} words
 * @param {{revision: number, proved: boolean, summary: string}} written
 * @param {() => void} back what is done when it was taken back.
 */
export function showWritten(place, design, words, written, back) {
  const open = el("a", { class: "button main", href: `/designs/${design}` }, "Open the design");
  const undo = async () => {
    try {
      await request("POST", `/api/designs/${design}/undo`, { revision: written.revision });
      back();
    } catch (failure) {
      sayFailure(failure);
    }
  };
  place.replaceChildren(el("div", { class: `banner ${written.proved ? "good" : "fault"}`, id: "used" },
    icon(written.proved ? "proved" : "fault"),
    el("div", {}, el("p", {}, el("strong", {}, words)), el("p", {}, written.summary),
      el("p", { class: "row" }, open, el("button", { type: "button", onclick: undo }, icon("undo"), "Take it back")))));
  open.focus();
}
