/** Lists of the library, and keeping it safe. */
import { request } from "./request.js";
import { ask, say, told, writeTimes } from "./page.js";

writeTimes();

document.querySelector(".list")?.addEventListener("click", (event) => {
  const button = /** @type {HTMLElement} */ (event.target).closest("button[data-do]");
  const row = /** @type {HTMLElement|null} */ (button?.closest("li") ?? null);
  if (!button || !row) return;
  if (button.getAttribute("data-do") === "undelete") {
    told(async () => {
      await request("POST", `/api/library/records/${row.dataset.id}/undelete`);
      row.remove();
      say("Brought back.");
    });
  } else goBack(row.dataset.name ?? "");
});

/** @param {string} name of a backup */
function goBack(name) {
  told(async () => {
    const sure = await ask("Go back to this backup? What is in the library now becomes a backup first.", "Go back to it");
    if (!sure) return;
    await request("POST", `/api/library/backups/${encodeURIComponent(name)}/restore`);
    location.reload();
  });
}

document.getElementById("back-up")?.addEventListener("click", () => told(async () => {
  await request("POST", "/api/library/backups");
  location.reload();
}));

const restoring = /** @type {HTMLFormElement|null} */ (document.getElementById("restore"));
restoring?.addEventListener("submit", (event) => {
  event.preventDefault();
  const file = /** @type {HTMLInputElement} */ (document.getElementById("archive")).files?.[0];
  if (!file) {
    say("Choose the file first.", "fault");
    return;
  }
  const form = new FormData();
  form.append("file", file);
  told(async () => {
    const done = await request("POST", "/api/library/restore", form);
    const words = done.added + done.beside + done.weighings + done.events + done.photos
      ? `Restored: ${done.added} added, ${done.beside} kept beside what is here, ${done.same} were here already; `
        + `${done.weighings} weighings, ${done.events} counts and ${done.photos} photos added.`
      : "All of it was here already.";
    const box = document.getElementById("restored");
    if (box) box.textContent = words;
  });
});
