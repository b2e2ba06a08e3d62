/** What fits: everything that can be knitted on a board with a yarn, and starting a design of it. */
import { el, icon, told } from "./page.js";
import { work } from "./job.js";
import { request } from "./request.js";
import { RecordTask } from "./record_task.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/boards/${id}/fits`;

class Fits extends RecordTask {
  /** Trying everything may take long on a large ring: it is watched, and can be stopped. */
  async submitted() {
    const button = /** @type {HTMLElement} */ (document.getElementById("work"));
    const asked = this.filled();
    button.setAttribute("disabled", "");
    this.old = false;
    try {
      const done = await work(/** @type {HTMLElement} */ (document.getElementById("progress")), address, asked,
        { stop: "Stop, and show what was tried" });
      if (!done) return;
      const found = await request("GET", done.result);
      this.form.refuse([]);
      this.place.classList.remove("old-answer");
      this.shown = true;
      show(found, asked);
    } catch (failure) {
      this.refused(failure);
    } finally {
      button.removeAttribute("disabled");
    }
  }
}

const task = new Fits(address, { show: () => undefined });

const ANSWERS = [[true, "yes", "proved", "Yes"], [false, "no", "fault", "No"], [null, "open", "", "Not tried"]];

/** @param {any} found @param {Record<string, string>} asked what it was asked with */
function show(found, asked) {
  const columns = ["Size", "Does it fit?", "Why", "Start"];
  const bodies = groups(found.fits).map(([title, fits]) => el("tbody", { role: "rowgroup" },
    el("tr", { role: "row", class: "garment" }, el("th", { role: "rowheader", scope: "rowgroup", colspan: columns.length }, title)),
    ...fits.map((fit) => row(fit, asked))));
  task.place.replaceChildren(
    el("p", { class: "lead" }, found.summary, found.stopped ? " You stopped it; there would have been more." : ""),
    el("table", { role: "table", class: "fits" },
      el("caption", {}, `With ${found.yarn}`),
      el("thead", { role: "rowgroup" }, el("tr", { role: "row" }, ...columns.map((words) => el("th", { role: "columnheader", scope: "col" }, words)))),
      ...bodies));
  task.heard(found.summary);
}

/** The fits by garment, in their order. @returns {[string, any[]][]} */
function groups(fits) {
  const found = new Map();
  for (const fit of fits) found.set(fit.title, [...(found.get(fit.title) ?? []), fit]);
  return [...found];
}

function row(fit, asked) {
  const [, kind, image, words] = ANSWERS.find(([answer]) => answer === fit.fits) ?? ANSWERS[2];
  const name = fit.size || "your own measures";
  const button = el("button", { type: "button", onclick: () => told(async () => {
    const made = await request("POST", `/api/boards/${id}/start`, { yarn: asked.yarn, garment: fit.garment, size: fit.size,
      wrap: fit.wrap, units: asked.units ?? "" });
    location.assign(`/designs/${made.id}`);
  }) }, fit.fits === false ? "Start it all the same" : "Start this design", el("span", { class: "spoken" }, `: ${fit.title}, ${name}`));
  return el("tr", { role: "row" },
    el("th", { role: "rowheader", scope: "row" }, name, fit.wrap ? el("span", { class: "wrap" }, fit.wrap) : null),
    el("td", { role: "cell", class: `answer ${kind}` }, image ? icon(image) : null, words),
    el("td", { role: "cell", class: "why" }, fit.why),
    el("td", { role: "cell" }, button));
}

told(() => task.open());
