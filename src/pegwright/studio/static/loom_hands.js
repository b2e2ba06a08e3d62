/** The controls of the Loom: buttons, slider, keys, pointer and touch. */
import { request } from "./request.js";
import { told } from "./page.js";

/**
 * @param {HTMLElement} root
 * @param {import("./loom_player.js").Player} player
 * @param {import("./loom_board.js").BoardCanvas} board
 * @param {(id: string) => any} find
 */
export function bindHands(root, player, board, find) {
  const press = (id, deed) => find(id).addEventListener("click", deed);
  const look = (deed) => () => { deed(); board.draw(); };
  const stop = (deed) => () => { player.pause(); deed(); };
  const deeds = {
    play: () => player.toggle(),
    on: stop(() => player.on()),
    back: stop(() => player.back()),
    "row-on": stop(() => player.row(1)),
    "row-back": stop(() => player.row(-1)),
    "step-on": () => player.step(1),
    "step-back": () => player.step(-1),
    closer: look(() => board.zoom(1.3)),
    farther: look(() => board.zoom(1 / 1.3)),
    whole: look(() => board.showWhole()),
  };
  for (const [id, deed] of Object.entries(deeds)) press(id, deed);
  find("follow").addEventListener("change", (event) => { board.follow = event.target.checked; player.draw(); });
  find("speed").addEventListener("change", (event) => { player.rate = Number(event.target.value); });
  bindScrub(find("scrub"), player);
  bindKeys(find("stage"), deeds, player, board);
  bindPointers(find("stage"), board, () => { find("follow").checked = board.follow; });
  find("to-row").addEventListener("submit", (event) => {
    event.preventDefault();
    told(async () => {
      const piece = player.reel.frame(player.op).piece;
      const { size, revision, id } = player.view;
      const query = new URLSearchParams({ size, revision, piece, row: find("row").value });
      await player.stopAt((await request("GET", `/api/loom/${id}/row?${query}`)).at);
    });
  });
}

function bindScrub(scrub, player) {
  let timer = 0;
  scrub.addEventListener("input", () => {
    player.pause();
    player.scrubbing = true;
    clearTimeout(timer);
    timer = setTimeout(async () => {
      await player.go(Number(scrub.value));
      player.scrubbing = false;
    }, 60);
  });
}

function bindKeys(stage, deeds, player, board) {
  const aside = (dx, dy) => { leave(board); board.pan(dx, dy); board.draw(); };
  const keys = {
    " ": deeds.play, ArrowRight: deeds.on, ArrowLeft: deeds.back, ArrowUp: deeds["row-on"], ArrowDown: deeds["row-back"],
    PageUp: deeds["step-on"], PageDown: deeds["step-back"], Home: () => player.stopAt(0),
    End: () => player.stopAt(player.reel.operations), "+": deeds.closer, "=": deeds.closer, "-": deeds.farther, 0: deeds.whole,
  };
  const shifted = { ArrowRight: () => aside(-80, 0), ArrowLeft: () => aside(80, 0), ArrowUp: () => aside(0, 80), ArrowDown: () => aside(0, -80) };
  stage.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const deed = (event.shiftKey && shifted[event.key]) || keys[event.key];
    if (!deed) return;
    event.preventDefault();
    deed();
  });
}

/** The maker looks somewhere else. */
function leave(board) {
  board.follow = false;
  board.moved();
}

function bindPointers(stage, board, followed) {
  /** @type {Map<number, PointerEvent>} */
  const down = new Map();
  const centre = () => {
    const all = [...down.values()];
    const box = stage.getBoundingClientRect();
    return [all.reduce((s, e) => s + e.clientX, 0) / all.length - box.left, all.reduce((s, e) => s + e.clientY, 0) / all.length - box.top];
  };
  const spread = () => {
    const [a, b] = [...down.values()];
    return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  };
  stage.addEventListener("pointerdown", (event) => {
    down.set(event.pointerId, event);
    stage.setPointerCapture(event.pointerId);
  });
  stage.addEventListener("pointermove", (event) => {
    if (!down.has(event.pointerId)) return;
    const [x0, y0] = centre();
    const before = down.size === 2 ? spread() : 1;
    down.set(event.pointerId, event);
    const [x1, y1] = centre();
    if (Math.hypot(x1 - x0, y1 - y0) < 0.5 && down.size < 2) return;
    board.follow = false;
    if (down.size === 2) board.zoom(spread() / before, x1, y1);
    board.pan(x1 - x0, y1 - y0);
    board.draw();
    followed();
  });
  for (const kind of ["pointerup", "pointercancel"]) stage.addEventListener(kind, (event) => down.delete(event.pointerId));
  stage.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.shiftKey && Math.abs(event.deltaX) <= Math.abs(event.deltaY)) return;
    event.preventDefault();
    const box = stage.getBoundingClientRect();
    if (event.ctrlKey) board.zoom(Math.exp(-event.deltaY / 200), event.clientX - box.left, event.clientY - box.top);
    else {
      board.follow = false;
      board.pan(-(event.deltaX || event.deltaY), 0);
    }
    board.draw();
    followed();
  }, { passive: false });
  board.moved = () => {
    const tall = (board.box.far - board.box.near) * board.scale > board.height - 2 * board.beside + 1;
    stage.toggleAttribute("data-tall", tall);
    followed();
  };
}
