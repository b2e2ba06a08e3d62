/** The Loom: plays a size's work on the board, motion by motion, and shows its whole fabric. */
import { BoardCanvas } from "./loom_board.js";
import { bindHands } from "./loom_hands.js";
import { Player } from "./loom_player.js";
import { Reel } from "./loom_reel.js";
import { FoundList, heldWords, StepList } from "./loom_lists.js";
import { showFabric } from "./loom_fabric.js";
import { request } from "./request.js";
import { told } from "./page.js";

const root = /** @type {HTMLElement} */ (document.getElementById("loom"));
const find = (id) => /** @type {any} */ (document.getElementById(id));
const address = `/api/loom/${root.dataset.id}`;
const still = matchMedia("(prefers-reduced-motion: reduce)");
const board = new BoardCanvas(find("board"));
const player = new Player(board, still);
const spoken = { at: 0, timer: 0 };

/** Say it to those who hear the page, seldom enough to be listened to. @param {string} words */
function hear(words) {
  clearTimeout(spoken.timer);
  const wait = Math.max(0, spoken.at + 2500 - Date.now());
  spoken.timer = setTimeout(() => {
    spoken.at = Date.now();
    find("heard").textContent = words;
  }, wait);
}

/** @param {string} size */
async function open(size) {
  const view = await request("GET", `${address}?${new URLSearchParams({ size })}`);
  const query = { size: view.size, revision: String(view.revision) };
  const fetchPart = (first, count) =>
    request("GET", `${address}/operations?${new URLSearchParams({ ...query, first, count })}`);
  find("size").replaceChildren(...view.sizes.map((name) => new Option(name, name, false, name === view.size)));
  find("size").disabled = false;
  find("size").closest(".field").hidden = view.sizes.length < 2;
  history.replaceState(null, "", `?${new URLSearchParams({ design: view.id, size: view.size })}`);
  find("work").hidden = false;
  find("stage").dataset.shape = view.board.arrangement;
  find("scrub").max = String(view.operations);
  board.setBoard(view.board, view.colours, view.yarn_mm);
  board.resize();
  const reel = new Reel(fetchPart, view.operations);
  const steps = new StepList(find("steps"), view.steps, (at) => player.stopAt(at));
  new FoundList(find("found"), view.findings, async (finding) => {
    await player.stopAt(finding.at, finding.made, finding.peg);
    find("stage").focus({ preventScroll: true });
    find("where").scrollIntoView({ block: "start", behavior: "auto" });
  });
  player.open(view, reel, (frame) => shown(view, steps, frame));
  await player.stopAt(0);
  board.fit(usedPegs(view, reel));
  board.draw();
  showFabric(find("fabric"), find("sheet"), find("fabric-words"), address, query)
    .then(() => { root.dataset.fabric = view.size; }, () => {});
  root.dataset.ready = "";
}

/** The pegs of the first motions, so that the board is first seen where the work is. */
function usedPegs(view, reel) {
  const pegs = new Set();
  for (const frame of reel.parts.flatMap((part) => part.frames).slice(0, 8)) {
    for (const move of frame.moves) for (const peg of move[0]) pegs.add(peg);
  }
  return [...pegs];
}

/** Bring the words up to date with what the board shows. */
function shown(view, steps, frame) {
  const { op, made, playing } = player;
  const step = view.steps.find((one) => one.number === frame.step);
  const ended = op >= view.operations;
  const laps = frame.laps.map(([round, times]) => `round ${round.toLocaleString()} of ${times.toLocaleString()}`);
  const row = frame.row ? `row ${frame.row.toLocaleString()} of the ${frame.piece}` : `the ${frame.piece}`;
  const where = [`Step ${frame.step} of ${view.steps.length}`, step?.title, row, ...laps].filter(Boolean).join(" · ");
  set("where", where);
  set("words", ended ? "The work is done." : frame.words);
  const move = frame.moves[made];
  const names = move?.[0].map((peg) => view.board.pegs[peg][2]) ?? [];
  const hand = ended || !frame.say || !move ? "" : frame.say.replace("{0}", names[0]).replace("{1}", names[1]);
  set("hand", hand ? `${hand} (${made + 1} of ${frame.moves.length})` : "");
  const scrub = find("scrub");
  if (document.activeElement !== scrub || !player.scrubbing) scrub.value = String(op);
  scrub.setAttribute("aria-valuetext", `${where}. Operation ${Math.min(op + 1, view.operations)} of ${view.operations}`);
  steps.show(frame.step);
  if (!playing) set("held", heldWords(player.held(), view.board));
  root.dataset.operation = String(op);
  root.dataset.made = String(made);
  root.dataset.row = String(frame.row);
  root.toggleAttribute("data-playing", playing);
  set("play-words", playing ? "Pause" : "Play");
  hear(playing || !hand ? `${row}. ${ended ? "The work is done." : frame.words}` : hand);
}

function set(id, words) {
  const at = find(id);
  if (at.textContent !== words) at.textContent = words;
}

async function begin() {
  bindHands(root, player, board, find);
  find("size").addEventListener("change", (event) => told(() => open(event.target.value)));
  const redraw = () => { board.readColours(); board.draw(); };
  document.addEventListener("look", redraw);
  new ResizeObserver(() => {
    if (!board.board) return;
    board.resize();
    board.keepIn();
    board.draw();
  }).observe(find("stage"));
  document.fonts.ready.then(redraw);
  try {
    await open(root.dataset.size ?? "");
  } catch (failure) {
    find("trouble").hidden = false;
    find("trouble-words").textContent = failure instanceof Error ? failure.message : String(failure);
  }
}

begin();
