/** One record of the library: its form, its photos, and for a yarn its weights. */
import { Refusal, request } from "./request.js";
import { ask, el, say, sayFailure, told, when } from "./page.js";
import { SheetForm } from "./form.js";

const root = /** @type {HTMLElement} */ (document.getElementById("record"));
const { kind, id } = root.dataset;
const byId = (name) => /** @type {HTMLElement} */ (document.getElementById(name));
const state = byId("state");

/** @type {Record<string, string>} */
let values = {};
let revision = 1;


let unsaved = false;

const form = new SheetForm(byId("fields"), {
  change: (path, value) => {
    if (values[path] === String(value)) return;
    values[path] = String(value);
    unsaved = true;
    state.textContent = "Not saved yet.";
  },
});

function show(groups) {

  values = {};
  for (const field of groups.flatMap((g) => g.fields)) {
    values[field.path] = field.kind === "flag" ? String(field.value === "true") : field.value;
  }
  form.show(groups);
  unsaved = false;
}

function showEntry(entry) {
  revision = entry.revision;
  byId("title").textContent = entry.name;
  document.title = `${entry.name} · Pegwright`;
}

byId("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  state.textContent = "Saving …";
  try {
    if (!id) {
      const made = await request("POST", "/api/library/records", { kind, values });
      unsaved = false;
      location.assign(`/library/${kind}/${made.entry.id}`);
      return;
    }
    const made = await request("PUT", `/api/library/records/${id}`, { revision, values });
    showEntry(made.entry);
    show(made.sheet);
    state.textContent = "Saved.";
  } catch (failure) {
    state.textContent = "Not saved.";
    sayFailure(failure);
    if (failure instanceof Refusal) {
      form.refuse([failure.data]);
      const wrong = root.querySelector('[aria-invalid="true"]');
      /** @type {HTMLElement|null} */ (wrong)?.focus();
    }
  }
});
window.addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});

// --- duplicate, delete ---------------------------------------------------------------------------

document.getElementById("duplicate")?.addEventListener("click", () => told(async () => {
  const made = await request("POST", `/api/library/records/${id}/duplicate`);
  unsaved = false;
  location.assign(`/library/${kind}/${made.id}`);
}));
document.getElementById("delete")?.addEventListener("click", () => told(async () => {
  if (!await ask("Delete it? It is kept, and can be brought back.", "Delete it")) return;
  await request("DELETE", `/api/library/records/${id}`);
  unsaved = false;
  location.assign(`/library/${kind}`);
}));
document.getElementById("undelete")?.addEventListener("click", () => told(async () => {
  await request("POST", `/api/library/records/${id}/undelete`);
  location.reload();
}));

// An answer that was asked for earlier never covers one that was asked for later.
const asked = { weights: 0, photos: 0 };
const shown = { weights: 0, photos: 0 };

/** @param {"weights"|"photos"} part @param {Promise<any>} answer @param {(found: any) => void} put */
async function showLatest(part, answer, put) {
  const turn = ++asked[part];
  const found = await answer;
  if (turn < shown[part]) return;
  shown[part] = turn;
  put(found);
}

// --- weights -------------------------------------------------------------------------------------

function showWeights(weighings) {
  if (!weighings.length) {
    byId("weights").replaceChildren(el("p", { class: "quiet" }, "It was not weighed yet."));
    return;
  }
  byId("weights").replaceChildren(el("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": "Weight history" },
    el("table", {}, el("caption", {}, "Weight history"),
      el("thead", {}, el("tr", {}, ...["When", "In all", "Ball by ball", "Note"].map((t) => el("th", { scope: "col" }, t)))),
      el("tbody", {}, ...weighings.map((w) => el("tr", {}, el("th", { scope: "row" }, when(w.at)),
        el("td", {}, w.balls_g.length ? `${round(w.total_g)} g` : "used up"),
        el("td", {}, w.balls_g.map((g) => `${round(g)} g`).join(", ")), el("td", {}, w.making ? `${w.note}: ${w.making}` : w.note)))))));
}

const round = (grams) => Math.round(grams * 100) / 100;

const weigh = /** @type {HTMLFormElement|null} */ (document.getElementById("weigh"));
weigh?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const data = new FormData(weigh);
  const wrong = byId("balls-wrong");
  try {
    await showLatest("weights", request("POST", `/api/library/yarns/${id}/weighings`,
      { balls: String(data.get("balls")), note: String(data.get("note")) }), showWeights);
    weigh.reset();
    wrong.hidden = true;
    byId("balls").removeAttribute("aria-invalid");
    say("Noted.");
  } catch (failure) {
    wrong.textContent = failure.message;
    wrong.hidden = false;
    byId("balls").setAttribute("aria-invalid", "true");
    byId("balls").focus();
  }
});

// --- photos --------------------------------------------------------------------------------------

function showPhotos(photos) {
  byId("photos").replaceChildren(...photos.map((photo) => el("li", {},
    el("img", { src: `/api/library/photos/${photo.sha256}`, alt: photo.words || "A photo without words", loading: "lazy" }),
    el("p", {}, photo.words),
    el("button", { type: "button", onclick: () => told(async () => {
      if (!await ask("Take this photo off?", "Take it off")) return;
      await showLatest("photos", request("DELETE", `/api/library/records/${id}/photos/${photo.sha256}`), showPhotos);
    }) }, "Take off", el("span", { class: "spoken" }, ` the photo ${photo.words}`)))));
}

const photo = /** @type {HTMLFormElement|null} */ (document.getElementById("photo"));
photo?.addEventListener("submit", (event) => {
  event.preventDefault();
  const file = /** @type {HTMLInputElement} */ (byId("photo-file")).files?.[0];
  if (!file) {
    say("Choose a photo first.", "fault");
    return;
  }
  const data = new FormData();
  data.append("photo", file);
  data.append("words", /** @type {HTMLInputElement} */ (byId("photo-words")).value);
  told(async () => {
    await showLatest("photos", request("POST", `/api/library/records/${id}/photos`, data), showPhotos);
    photo.reset();
    say("Added.");
  });
});

told(async () => {
  if (!id) {
    show(await request("GET", `/api/library/forms/${kind}`));
    return;
  }
  const found = await request("GET", `/api/library/records/${id}`);
  showEntry(found.entry);
  show(found.sheet);
  if (root.dataset.yarn) {
    await showLatest("weights", request("GET", `/api/library/yarns/${id}/weighings`), showWeights);
  }
  await showLatest("photos", request("GET", `/api/library/records/${id}/photos`), showPhotos);
});
