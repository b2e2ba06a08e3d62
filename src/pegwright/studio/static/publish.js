/** Publish: how the pattern is wanted, its preview, and the files to take away. */
import { el, writeTimes } from "./page.js";

writeTimes();

const form = /** @type {HTMLFormElement|null} */ (document.getElementById("how"));
const id = document.getElementById("publish")?.dataset.id;
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));

function query() {
  const wanted = new URLSearchParams();
  for (const [name, value] of new FormData(/** @type {HTMLFormElement} */ (form))) wanted.append(name, String(value));
  return wanted;
}

const link = (what, more = {}) => {
  const wanted = query();
  for (const [name, value] of Object.entries(more)) wanted.set(name, value);
  return `/api/publish/${id}/${what}?${wanted}`;
};

function show() {
  const none = !query().has("size");
  byId("no-size").hidden = !none;
  if (none) return;
  byId("pack").setAttribute("href", link("pack"));
  byId("pdf").setAttribute("href", link("pdf", { download: "true" }));
  byId("page").setAttribute("href", link("page", { download: "true" }));
  const pdf = link("pdf");
  byId("pane-pdf").replaceChildren(el("object", { class: "preview", data: pdf, type: "application/pdf", "aria-label": "The printed pattern" },
    el("p", {}, "This browser does not show PDF files inside a page."),
    el("p", {}, el("a", { class: "button", href: pdf, target: "_blank", rel: "noopener" }, "Open the printed pattern"))));
  byId("pane-page").replaceChildren(el("iframe", { class: "preview", src: link("page"), sandbox: "", title: "The pattern as a web page" }));
  byId("heard").textContent = "The preview was made anew.";
}

const TABS = ["pdf", "page"];
function showTab(name, focus = false) {
  for (const tab of TABS) {
    const button = byId(`tab-${tab}`);
    button.setAttribute("aria-selected", String(tab === name));
    button.tabIndex = tab === name ? 0 : -1;
    byId(`pane-${tab}`).hidden = tab !== name;
    if (tab === name && focus) button.focus();
  }
}

if (form) {
  form.addEventListener("change", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  for (const tab of TABS) {
    byId(`tab-${tab}`).addEventListener("click", () => showTab(tab));
    byId(`tab-${tab}`).addEventListener("keydown", (event) => {
      const key = /** @type {KeyboardEvent} */ (event).key;
      if (key === "ArrowRight" || key === "ArrowLeft") showTab(tab === "pdf" ? "page" : "pdf", true);
    });
  }
  show();
}
