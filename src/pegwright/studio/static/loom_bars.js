/** A peg's loops, seen from the side: bars beside it, the lowest nearest the peg. */

const GAP = 2;
const MOST = 3;

/** Sizes of the bars, px. @param {import("./loom_board.js").BoardCanvas} view */
export function barPlaces(view) {
  const half = Math.max(view.pegRadius + 5, Math.min(16, view.pitch * 0.5));
  const first = half + 6;
  const thick = Math.min(6, Math.max(4, view.pitch * 0.18));
  return { first, thick, wide: Math.min(22, Math.max(7, view.pitch * 0.62)), names: first + 3 * (thick + GAP) + 9 };
}

/**
 * @param {import("./loom_board.js").BoardCanvas} view
 * @param {import("./loom_board.js").Scene} scene
 * @param {number[]} seen
 */
export function drawBars(view, scene, seen) {
  const sizes = barPlaces(view);
  const changing = new Map();
  if (scene.move && scene.part < 1) for (const [peg, before, after] of scene.move[1]) changing.set(peg, [before, after]);
  for (const peg of seen) {
    const [before, after] = changing.get(peg) ?? [];
    if (!before) {
      const stack = scene.held.get(peg) ?? [];
      stack.slice(0, MOST).forEach((id, i) => bar(view, scene, sizes, peg, id, i, 1));
      if (stack.length > MOST) count(view, sizes, peg, stack.length);
      continue;
    }
    const t = ease(scene.part);
    for (const id of before) {
      const [from, to] = [before.indexOf(id), after.indexOf(id)];
      if (to >= 0) bar(view, scene, sizes, peg, id, from + (to - from) * t, 1);
      else bar(view, scene, sizes, peg, id, from + (before.length - from + 0.4) * t, 1 - t);
    }
    for (const id of after) if (!before.includes(id)) bar(view, scene, sizes, peg, id, after.indexOf(id) + (1 - t) * 0.9, t);
  }
}

const ease = (t) => t * t * (3 - 2 * t);

function bar(view, scene, sizes, peg, id, height, alpha) {
  const loop = scene.loop(id);
  const c = view.context;
  const [x, y] = view.at(peg);
  const [ox, oy] = view.outwards(peg);
  const away = sizes.first + height * (sizes.thick + GAP) + sizes.thick / 2;
  c.save();
  c.globalAlpha = alpha;
  c.translate(x + ox * away, y + oy * away);
  c.rotate(Math.atan2(oy, ox) - Math.PI / 2);
  c.beginPath();
  c.roundRect(-sizes.wide / 2, -sizes.thick / 2, sizes.wide, sizes.thick, sizes.thick / 2);
  c.fillStyle = loop ? view.colours[loop[0]] : view.ink.quiet;
  c.strokeStyle = view.ink.casing;
  c.lineWidth = 1;
  c.fill();
  c.stroke();
  c.restore();
}

function count(view, sizes, peg, loops) {
  const c = view.context;
  const [x, y] = view.at(peg);
  const [ox, oy] = view.outwards(peg);
  const away = sizes.names + 15;
  c.font = `700 12px ${view.ink.sans}`;
  c.fillStyle = view.ink.ink;
  c.textAlign = "center";
  c.textBaseline = "middle";
  c.fillText(`×${loops}`, x + ox * away, y + oy * away);
}
