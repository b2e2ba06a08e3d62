/**
 * Where the work is: the step in hand, the place in its rounds, the stripe, in plain words.
 * Pure, and worked out from the follow document (pegwright/studio/follow.py) and the state.
 */

/** How many rows there are in all, every round counted. @param {Array<number|object>} rounds */
export function rowsOf(rounds) {
  return rounds.reduce((sum, item) =>
    sum + (typeof item === "number" ? item : item.times * rowsOf(item.body)), 0);
}

/** Where row `row` (from 1) stands in the rounds, the outermost first. */
export function placeIn(rounds, row) {
  for (const item of rounds) {
    const rows = rowsOf([item]);
    if (row > rows) {
      row -= rows;
      continue;
    }
    if (typeof item === "number") return [];
    const length = rowsOf(item.body);
    const inside = (row - 1) % length + 1;
    const time = Math.floor((row - 1) / length) + 1;
    return [{ time, times: item.times, row: inside, rows: length }, ...placeIn(item.body, inside)];
  }
  return [];
}

/** Rows of the step that are done. */
export function doneIn(step, state) {
  return Math.min(Math.max((state.rows[step.piece] ?? 0) - step.first + 1, 0), step.rows);
}

/** Whether a step is done: ticked, or its last row counted. */
export function isDone(step, state) {
  return state.steps.includes(step.number) || (step.rows > 0 && doneIn(step, state) === step.rows);
}

/** The step in hand: the one that was picked, else the first that is not done; null at the end. */
export function stepInHand(document, state, picked) {
  const own = document.steps.find((step) => step.number === picked);
  if (own && !isDone(own, state)) return own;
  return document.steps.find((step) => !isDone(step, state)) ?? null;
}

export function count(number, one, many) {
  return `${number} ${number === 1 ? one : many ?? `${one}s`}`;
}

/** The place in the rounds in words, the outermost first; null where there are none. */
export function roundWords(step, state) {
  const row = doneIn(step, state) + 1;
  if (row > step.rows) return null;
  const places = placeIn(step.rounds, row);
  return places.length
    ? places.map((p) => `Round ${p.time} of ${p.times}, row ${p.row} of ${p.rows}`).join("; ")
    : null;
}

/** How the yarn goes in the next row, in words. */
export function wayWords(step, state) {
  if (!step.ways.length) return null;
  const way = step.ways[doneIn(step, state) % step.ways.length];
  return `from ${way.start} to ${way.end}`;
}

/** The stripe of the next row and the one after it; null where the piece is all of one yarn. */
export function stripeInWork(document, step, state) {
  const stripes = document.stripes.filter((stripe) => stripe.piece === step.piece);
  if (!stripes.length) return null;
  const row = Math.min((state.rows[step.piece] ?? 0) + 1, stripes.at(-1).last);
  const at = stripes.findIndex((stripe) => row <= stripe.last);
  const yarnOf = (stripe) => document.yarns.find((yarn) => yarn.key === stripe?.yarn) ?? null;
  const here = stripes[at];
  return {
    yarn: yarnOf(here),
    next: yarnOf(stripes[at + 1]),
    row: row - here.first + 1,
    rows: here.last - here.first + 1,
    left: here.last - row + 1,
    last: here.last,
    alone: stripes.length === 1,
  };
}

/** The stripe in words: what is in work, and how many rows to the change. */
export function stripeWords(stripe) {
  if (!stripe?.yarn) return null;
  if (stripe.alone) return stripe.yarn.label;
  const left = `${count(stripe.left, "row")} to go in this stripe`;
  return stripe.next ? `${left}, then ${stripe.next.label}` : `${left}, the last one`;
}

/** The colour of a row of a piece. */
export function colourOf(document, piece, row) {
  const stripe = document.stripes.find((s) => s.piece === piece && s.first <= row && row <= s.last);
  return document.yarns.find((yarn) => yarn.key === stripe?.yarn)?.colour_hex ?? null;
}
