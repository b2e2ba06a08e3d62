/** What stands beside the board: the steps, what was found, and the loops on the pegs in words. */
import { el } from "./page.js";

export class StepList {
  /** @param {HTMLElement} list @param {any[]} steps @param {(first: number) => void} go */
  constructor(list, steps, go) {
    this.now = null;
    this.items = new Map(steps.map((step) => {
      const many = step.count === 1 ? "1 operation" : `${step.count.toLocaleString()} operations`;
      const button = el("button", { type: "button", class: "plain", onclick: () => go(step.first) },
        el("span", { class: "number" }, String(step.number)), el("span", { class: "title" }, step.title),
        el("span", { class: "many" }, many));
      const text = el("div", { class: "text", hidden: true }, ...step.text.map((words) => el("p", {}, words)));
      return [step.number, { item: el("li", {}, button, text), button, text }];
    }));
    list.replaceChildren(...[...this.items.values()].map((one) => one.item));
  }

  /** @param {number} number the step in hand. */
  show(number) {
    if (this.now === number) return;
    for (const [at, { item, button, text }] of this.items) {
      const here = at === number;
      item.classList.toggle("here", here);
      text.hidden = !here;
      if (here) button.setAttribute("aria-current", "step");
      else button.removeAttribute("aria-current");
    }
    this.now = number;
  }
}

export class FoundList {
  /** @param {HTMLElement} root @param {any[]} findings @param {(finding: any) => void} go */
  constructor(root, findings, go) {
    const none = el("p", { class: "quiet" }, "Nothing: every loop is held, every peg worked, and the yarn reaches.");
    root.replaceChildren(...(findings.length ? findings.map((finding) => this.one(finding, go)) : [none]));
  }

  one(finding, go) {
    const place = finding.at === null ? null
      : el("button", { type: "button", onclick: () => go(finding) }, "Show on the board",
        el("span", { class: "spoken" }, ` where ${finding.what}`));
    return el("div", { class: `finding ${finding.severity}` },
      el("p", {}, el("strong", {}, `${finding.label}: `), sentence(finding.what)),
      finding.where && el("p", { class: "quiet" }, finding.where),
      el("p", {}, `To mend it: ${sentence(finding.mend)}`), place && el("p", {}, place));
  }
}

const COUNTS = { 1: "One loop", 2: "Two loops", 3: "Three loops", 4: "Four loops" };

/** Words with a full stop where they have none. @param {string} words */
const sentence = (words) => (/[.?!]$/.test(words) ? words : `${words}.`);

/**
 * The loops on the pegs, in a sentence or a few.
 * @param {Map<number, number[]>} held @param {{pegs: [number, number, string][], row: number}} board
 */
export function heldWords(held, board) {
  if (!held.size) return "Nothing is on the loom.";
  /** @type {Map<number, number[]>} */
  const alike = new Map();
  for (const [peg, stack] of held) alike.set(stack.length, [...(alike.get(stack.length) ?? []), peg]);
  const parts = [...alike].sort((a, b) => b[0] - a[0]).map(([loops, pegs]) =>
    `${COUNTS[loops] ?? `${loops} loops`} on ${stretches(pegs.sort((a, b) => a - b), board)}.`);
  return parts.join(" ");
}

function stretches(pegs, board) {
  const name = (peg) => board.pegs[peg][2];
  const runs = [];
  for (const peg of pegs) {
    const last = runs.at(-1);
    if (last && last[1] === peg - 1 && name(last[0])[0] === name(peg)[0]) last[1] = peg;
    else runs.push([peg, peg]);
  }
  if (runs.length > 12) return `${pegs.length} pegs, ${name(pegs[0])} the first of them`;
  return runs.map(([a, b]) => (a === b ? name(a) : `${name(a)} to ${name(b)}`)).join(", ");
}
