/** Measuring a board: what the tape showed, what it tells, and keeping it. */
import { el, told } from "./page.js";
import { banner, findings, RecordTask } from "./record_task.js";

const id = document.getElementById("task")?.dataset.id;
const address = `/api/boards/${id}/reading`;

const task = new RecordTask(address, { live: true, show });

function show(found) {
  const keep = el("button", { type: "button", id: "keep", onclick: async () => {
    const kept = await task.keep(`${address}/keep`, { reading: task.filled() }, keep);
    if (kept) keep.focus();
  } }, "Keep these measures");
  task.place.replaceChildren(
    el("h2", {}, "What it tells"),
    el("dl", { class: "facts" }, ...found.words.flatMap((line) => {
      const at = line.indexOf(": ");
      return [el("dt", {}, line.slice(0, at)), el("dd", {}, line.slice(at + 2))];
    })),
    ...findings(found.findings),
    banner(found.fit ? "good" : "fault", found.verdict),
    el("p", {}, keep),
    el("p", { class: "quiet" }, "Pitch, gap and peg diameter of the board become these; each ± is one standard deviation, "
      + "and two of them hold about nineteen times in twenty."));
  task.heard(`${found.verdict} ${found.words.join(". ")}.`);
}

told(() => task.open());
