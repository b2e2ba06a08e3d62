/** Having a design tried: the forms, the answers held against it, what it learns, and errata. */
import { el, icon, say, told, when } from "./page.js";
import { Refusal, request, sentence } from "./request.js";

const id = document.getElementById("task")?.dataset.id;
const api = `/api/test-knit/${id}`;
const byId = (name) => /** @type {any} */ (document.getElementById(name));

/** @type {File[]} */
let files = [];

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// --- forms ---------------------------------------------------------------------------------------

function showForms() {
  const wanted = new URLSearchParams();
  for (const [name, value] of new FormData(byId("forms"))) if (value) wanted.append(name, String(value));
  byId("take-forms").setAttribute("href", `${api}/forms?${wanted}`);
}

// --- answers -------------------------------------------------------------------------------------

/** Files add up, so that they may be chosen from several folders; one of the same name is replaced. */
function addFiles() {
  for (const file of byId("files").files) files = [...files.filter((one) => one.name !== file.name), file];
  byId("files").value = "";
  showFiles();
}

function showFiles() {
  wrong([]);
  const list = byId("chosen");
  list.hidden = !files.length;
  list.replaceChildren(...files.map((file) => el("li", {}, el("span", { class: "what" }, file.name),
    el("button", { type: "button", class: "icon", "aria-label": `Leave ${file.name} out`, title: `Leave ${file.name} out`, onclick: () => {
      files = files.filter((one) => one !== file);
      showFiles();
      byId("files").focus();
    } }, icon("remove")))));
}

/** @param {string[]} lines */
function wrong(lines) {
  const place = byId("files-wrong");
  place.hidden = !lines.length;
  place.replaceChildren(...lines.map((line) => el("p", {}, line)));
  if (lines.length) byId("files").setAttribute("aria-invalid", "true");
  else byId("files").removeAttribute("aria-invalid");
}

/** Every problem with its file and line. @param {Refusal} refusal */
function linesOf(refusal) {
  return [refusal.data, ...(refusal.data.more ?? [])].map((one) => {
    const file = one.file ?? refusal.data.file;
    const place = [file, one.line && `line ${one.line}`, one.field].filter(Boolean).join(", ");
    return `${place ? `${place}: ` : ""}${sentence(one)}`;
  });
}

function body() {
  const sent = new FormData();
  for (const file of files) sent.append("answers", file, file.name);
  return sent;
}

async function compare() {
  if (!files.length) {
    wrong(["Choose at least one filled-in file first."]);
    byId("files").focus();
    return;
  }
  const sent = body();
  sent.append("units", byId("units").value);
  try {
    show(await request("POST", `${api}/compare`, sent));
    wrong([]);
  } catch (failure) {
    if (!(failure instanceof Refusal)) throw failure;
    wrong(linesOf(failure));
    byId("files").focus();
  }
}

// --- what they say -------------------------------------------------------------------------------

function show(trial) {
  byId("heard").textContent = `${trial.heading} ${trial.agreement}`;
  byId("trial").replaceChildren(
    el("h4", { class: "trial-title" }, trial.heading),
    trial.agreement ? el("div", { class: `banner${trial.agrees ? " good" : ""}` }, trial.agrees ? icon("proved") : "", el("div", {}, el("p", {}, trial.agreement))) : "",
    ...trial.findings.map(finding),
    el("p", { class: "quiet" }, "Nine testers in ten come out between the two figures. z is how many standard deviations a figure lies above what was expected. One in ten is outside even if all is well: look at those that are outside for several testers."),
    ...trial.testers.map(tester),
    trial.together.length ? el("div", {}, el("h4", {}, "All testers together"), el("ul", {}, ...trial.together.map((line) => el("li", {}, capital(line))))) : "",
    trial.troubles.length ? el("div", {}, el("h4", {}, "Trouble"), ...trial.troubles.map(trouble)) : "",
    learned(trial));
  byId("trial").focus();
}

function finding(one) {
  return el("div", { class: `finding ${one.severity}` }, el("p", {}, el("strong", {}, `${one.label}. `), one.what), el("p", {}, one.mend));
}

function tester(one) {
  const title = `${one.tester}, size ${one.size}`;
  const head = ["What", "It lies", "Measured", "Expected", "Nine in ten", "z"];
  const rows = one.figures.map((f) => el("tr", { class: f.inside ? null : "outside" },
    el("th", { scope: "row" }, capital(f.name)), el("td", {}, f.inside ? "inside" : el("strong", {}, "outside")),
    el("td", {}, f.got), el("td", {}, f.expected), el("td", {}, `${f.low} to ${f.high}`), el("td", {}, f.z)));
  return el("div", { class: "tester" },
    rows.length ? el("div", { class: "scroll", role: "region", "aria-label": title, tabindex: "0" },
      el("table", {}, el("caption", {}, title), el("thead", {}, el("tr", {}, ...head.map((t) => el("th", { scope: "col" }, t)))), el("tbody", {}, ...rows)))
      : el("div", {}, el("p", {}, el("strong", {}, title)), el("p", {}, "Nothing was measured.")),
    one.on_board ? "" : el("p", { class: "quiet" }, "Another board or yarn than the design’s: her figures teach neither gauge nor slack."),
    one.remarks ? el("p", {}, `Remarks: ${one.remarks}`) : "");
}

function trouble(one) {
  return el("div", {}, el("p", {}, el("strong", {}, one.heading)),
    el("ul", {}, ...one.told.filter((t) => t.words).map((t) => el("li", {}, `${t.tester}: ${t.words}`))));
}

function learned(trial) {
  const again = trial.taught_before.length > 0;
  const box = el("form", { class: "panel learned", onsubmit: (event) => {
    event.preventDefault();
    told(() => learn(trial, box));
  } },
  el("h4", {}, "What was learned"),
  ...trial.learned.map((one) => {
    const name = `learned-${one.key}`;
    const can = one.taught && !(one.key === "swatches" && again);
    return el("div", { class: "field" },
      one.taught ? el("label", { class: "check", for: name },
        el("input", { type: "checkbox", id: name, value: one.key, checked: can && !again, disabled: !can, "aria-describedby": `${name}-words` }), one.title)
        : el("span", { class: "label" }, one.title),
      el("p", { class: "help", id: `${name}-words` }, capital(one.words)));
  }),
  again ? el("p", {}, `The design has learned from these answers already (${trial.taught_before[0]}); taken in again, they would count twice.`) : "",
  trial.toml ? el("p", { class: "row" }, el("button", {}, "Take it into the design")) : "",
  el("p", { class: "wrong", role: "alert", hidden: true }),
  trial.toml ? el("details", {}, el("summary", {}, "The lines for the design file"),
    el("div", { class: "scroll", role: "region", "aria-label": "Lines for the design file", tabindex: "0" }, el("pre", {}, trial.toml))) : "");
  return box;
}

async function learn(trial, box) {
  const refused = box.querySelector(".wrong");
  const take = [...box.querySelectorAll("input:checked")].map((input) => input.value);
  refused.hidden = take.length > 0;
  refused.textContent = take.length ? "" : "Choose what to take in.";
  if (!take.length) return;
  const sent = body();
  sent.append("revision", String(trial.revision));
  for (const key of take) sent.append("take", key);
  try {
    const written = await request("POST", `${api}/learn`, sent);
    taken(box, written);
  } catch (failure) {
    if (!(failure instanceof Refusal)) throw failure;
    refused.textContent = failure.message;
    refused.hidden = false;
  }
}

function taken(box, written) {
  const back = el("button", { type: "button", onclick: () => told(async () => {
    await request("POST", `/api/designs/${id}/undo`, { revision: written.revision });
    say("It was taken back; the design is as it was.");
    banner.remove();
    await Promise.all([compare(), showVersions()]);
  }) }, "Take it back");
  const banner = el("div", { class: `banner ${written.proved ? "good" : "fault"}`, tabindex: "-1" }, icon(written.proved ? "proved" : "fault"), el("div", {},
    el("p", {}, el("strong", {}, "The design has learned it. "), written.summary),
    el("p", { class: "row" }, el("a", { class: "button", href: `/designs/${id}` }, "Look at the design"), back)));
  box.replaceWith(banner);
  banner.focus();
  told(showVersions);
}

// --- errata --------------------------------------------------------------------------------------

async function showVersions() {
  const versions = await request("GET", `${api}/versions`);
  byId("errata").hidden = versions.length < 2;
  byId("one-version").hidden = versions.length > 1;
  const choices = (select, usual) => {
    const before = select.value;
    select.replaceChildren(...versions.map((one) => el("option", { value: one.number }, nameOf(one))));
    select.value = versions.some((one) => String(one.number) === before) ? before : String(usual?.number ?? "");
  };
  const [now, ...old] = versions;
  byId("new").replaceChildren();
  choices(byId("new"), now);
  choices(byId("old"), old.find((one) => one.edition && one.edition !== now?.edition) ?? old.find((one) => one.name) ?? old.at(-1));
}

const nameOf = (one) => [`${one.number}`, one.edition && `version ${one.edition}`, one.name, when(one.saved)].filter(Boolean).join(" · ");

async function errata() {
  const refused = byId("errata-wrong");
  const query = new URLSearchParams({ old: byId("old").value, new: byId("new").value });
  refused.hidden = true;
  try {
    showErrata(await request("GET", `${api}/errata?${query}`), query);
  } catch (failure) {
    if (!(failure instanceof Refusal)) throw failure;
    refused.textContent = linesOf(failure)[0];
    refused.hidden = false;
  }
}

function showErrata(found, query) {
  const file = (form, words) => el("a", { class: "button", href: `${api}/errata/${form}?${query}`, download: true }, words);
  byId("errata-found").replaceChildren(el("div", { class: "panel" },
    el("h4", { class: "trial-title" }, found.heading),
    found.nothing ? el("p", {}, found.nothing) : "",
    ...found.topics.flatMap((topic) => [el("h5", {}, topic.heading), el("ul", {}, ...topic.changes.map((line) => el("li", {}, line)))]),
    el("p", { class: "row" },
      el("button", { type: "button", onclick: () => told(async () => {
        await navigator.clipboard.writeText(found.text);
        say("The errata are copied as text.");
      }) }, "Copy as text"),
      file("txt", "Text"), file("html", "Block for a web page"), file("json", "Data"))));
  byId("errata-found").focus();
}

if (byId("tried")) {
  byId("forms").addEventListener("change", showForms);
  byId("forms").addEventListener("submit", (event) => event.preventDefault());
  byId("files").addEventListener("change", addFiles);
  byId("answers").addEventListener("submit", (event) => {
    event.preventDefault();
    told(compare);
  });
  byId("errata").addEventListener("submit", (event) => {
    event.preventDefault();
    told(errata);
  });
  showForms();
  told(showVersions);
}
