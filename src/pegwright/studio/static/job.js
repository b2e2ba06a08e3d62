/** Long work: begun, watched, stopped, and its result taken. */
import { el } from "./page.js";
import { request, Refusal } from "./request.js";

const EVERY_MS = 400;

/**
 * Begin long work and watch it until it has ended.
 *
 * What is being done is shown in `place`, with a button that stops it; a search that is stopped
 * gives the best that it has found.
 * @param {HTMLElement} place
 * @param {string} url where it is begun, with POST.
 * @param {object} body
 * @param {{stop?: string}} [words] the words on the button.
 * @returns {Promise<{id: string, state: string, result: string}|null>} null where it was stopped
 *   with nothing to show; `result` is the address of what it made.
 */
export async function work(place, url, body, words = {}) {
  let job = await request("POST", url, body);
  const said = el("p", { role: "status" }, "Beginning …");
  const bar = el("progress", { "aria-label": "How far it is" });
  const stop = el("button", { type: "button", onclick: async () => {
    stop.setAttribute("disabled", "");
    await request("POST", `/api/jobs/${job.id}/stop`, {}).catch(() => undefined);
  } }, words.stop ?? "Stop");
  place.replaceChildren(el("div", { class: "job" }, bar, stop, said));
  try {
    while (job.state === "running") {
      await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
      job = await request("GET", `/api/jobs/${job.id}`);
      if (job.of) {
        bar.setAttribute("max", String(job.of));
        bar.setAttribute("value", String(job.done));
      }
      const far = job.of ? `${job.done} of ${job.of}: ` : "";
      if (job.what) said.textContent = `${far}${job.what}`;
    }
  } finally {
    place.replaceChildren();
  }
  if (job.state === "failed") throw new Refusal(job.refused, 422);
  return job.state === "done" ? { ...job, result: `/api/jobs/${job.id}/result` } : null;
}
