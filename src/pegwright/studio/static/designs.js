/** The list of designs, and a new one. */
import { request } from "./request.js";
import { say, told, writeTimes } from "./page.js";

writeTimes();

// --- the list ------------------------------------------------------------------------------------

const found = document.getElementById("found");
const query = /** @type {HTMLInputElement|null} */ (document.getElementById("query"));

/** Fetch the list anew as it stands in the page that the address names. */
async function refresh(address = location.href) {
  const html = await (await fetch(address, { headers: { Accept: "text/html" } })).text();
  const fresh = new DOMParser().parseFromString(html, "text/html").getElementById("found");
  if (!found || !fresh) return;
  found.replaceChildren(...fresh.childNodes);
  writeTimes(found);
}

const DONE = { duplicate: "Duplicated.", delete: "Deleted; it is kept under Deleted designs.", undelete: "Brought back." };

found?.addEventListener("click", (event) => {
  const button = /** @type {HTMLElement} */ (event.target).closest("button[data-do]");
  const row = button?.closest("li");
  if (!button || !row) return;
  const deed = button.getAttribute("data-do");
  const address = `/api/designs/${row.dataset.id}`;
  told(async () => {
    if (deed === "delete") await request("DELETE", address);
    else await request("POST", `${address}/${deed}`);
    const next = row.nextElementSibling ?? row.previousElementSibling;
    const id = next?.getAttribute("data-id");
    await refresh();
    say(DONE[deed]);
    const focus = found.querySelector(`li[data-id="${deed === "duplicate" ? row.dataset.id : id}"] a, li button`);
    /** @type {HTMLElement|null} */ (focus)?.focus();
  });
});

let waiting = 0;
query?.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    const address = query.value ? `/designs?query=${encodeURIComponent(query.value)}` : "/designs";
    history.replaceState(null, "", address);
    told(() => refresh(address));
  }, 200);
});

const file = /** @type {HTMLInputElement|null} */ (document.getElementById("import-file"));
document.getElementById("import")?.addEventListener("click", () => file?.click());
file?.addEventListener("change", () => {
  const chosen = file.files?.[0];
  if (!chosen) return;
  const form = new FormData();
  form.append("file", chosen);
  told(async () => {
    const made = await request("POST", "/api/designs/import", form);
    location.assign(`/designs/${made.id}`);
  });
  file.value = "";
});

// --- a new one -----------------------------------------------------------------------------------

const start = /** @type {HTMLFormElement|null} */ (document.getElementById("new"));
start?.addEventListener("submit", (event) => {
  event.preventDefault();
  const chosen = new FormData(start);
  open_({ garment: chosen.get("garment"), units: chosen.get("units") });
});
for (const button of document.querySelectorAll("button[data-example]")) {
  button.addEventListener("click", () => open_({ example: button.getAttribute("data-example") }));
}

/** @param {object} asked */
function open_(asked) {
  told(async () => {
    const made = await request("POST", "/api/designs", asked);
    location.assign(`/designs/${made.id}`);
  });
}
