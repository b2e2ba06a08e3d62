/**
 * The work of a size, fetched a part at a time, and the loops on the pegs anywhere in it.
 *
 * A place in the work is an operation and how many of its motions are made.
 *
 * @typedef {[number[], [number, number[], number[]][], number|null]} Move pegs, changes, loop laid
 * @typedef {{at: number, step: number, piece: string, row: number, laps: [number, number][],
 *   kind: string, words: string, say: string, moves: Move[]}} Frame
 * @typedef {{first: number, next: number, piece: string, row: number,
 *   stacks: [number, number[]][], loops: Record<string, Loop>, frames: Frame[]}} Part
 * @typedef {[number, number, number[][]]} Loop colour, peg it was made on, path
 */

const TOGETHER = 12;
const MOST_KEPT = 24;

export class Reel {
  /**
   * @param {(first: number, count: number) => Promise<Part>} fetchPart
   * @param {number} operations
   */
  constructor(fetchPart, operations) {
    this.fetchPart = fetchPart;
    this.operations = operations;
    /** @type {Part[]} */
    this.parts = [];
    /** @type {Map<number, Promise<Part>>} */
    this.asked = new Map();
    this.last = null;
  }

  /** The part that holds an operation, if it is here. @param {number} op */
  part(op) {
    const at = Math.min(op, this.operations - 1);
    return this.parts.find((part) => part.first <= at && at < part.next);
  }

  /** Fetch what is needed to show an operation. @param {number} op */
  async load(op) {
    const at = Math.max(0, Math.min(op, this.operations - 1));
    let part = this.part(at);
    let first = at - (at % TOGETHER);
    while (!part) {
      first = this.parts.find((one) => one.first <= first && first < one.next)?.next ?? first;
      const got = await this.ask(first);
      part = this.part(at);
      if (got.next <= first) return got;
      first = got.next;
    }
    return part;
  }

  /** @param {number} first */
  ask(first) {
    let asked = this.asked.get(first);
    if (!asked) {
      asked = this.fetchPart(first, TOGETHER).then((part) => {
        this.parts = [part, ...this.parts.filter((one) => one.first !== part.first)].slice(0, MOST_KEPT);
        return part;
      }).finally(() => this.asked.delete(first));
      this.asked.set(first, asked);
    }
    return asked;
  }

  /** Have what comes next at hand. @param {number} op */
  ahead(op) {
    const part = this.part(op);
    if (part && part.next < this.operations && part.next - op < TOGETHER / 2 && !this.part(part.next)) {
      this.ask(part.next).catch(() => {});
    }
  }

  /** @param {number} op @returns {Frame|undefined} the last one for the end of the work. */
  frame(op) {
    const part = this.part(op);
    return part?.frames[Math.min(op, this.operations - 1) - part.first];
  }

  /** @param {number} loop @param {number} op @returns {Loop|undefined} */
  loop(loop, op) {
    return this.part(op)?.loops[loop];
  }

  /**
   * The first loop of the row in hand: of the last operation that wraps, up to here.
   * @param {number} op @param {Map<number, number[]>} held
   */
  fresh(op, held) {
    const part = this.part(op);
    for (let at = Math.min(op, this.operations - 1); part && at >= part.first; at -= 1) {
      const laid = part.frames[at - part.first].moves.find((move) => move[2] !== null);
      if (laid) return laid[2];
    }
    return Math.max(0, ...[...held.values()].flat()) - held.size + 1; // one loop a peg, as a row has
  }

  /**
   * The loops on the pegs, the lowest first, with some motions of an operation made.
   * @param {number} op @param {number} made
   * @returns {Map<number, number[]>|undefined} not to be changed.
   */
  held(op, made) {
    const part = this.part(op);
    if (!part) return undefined;
    let [to, motions] = op >= this.operations ? [this.operations - 1, Infinity] : [op, made];
    to -= part.first;
    const last = this.last;
    const goesOn = last?.part === part && (last.to < to || (last.to === to && last.made <= motions));
    const now = goesOn ? last : { part, to: 0, made: 0, held: new Map(part.stacks) };
    for (; now.to <= to; now.to += 1, now.made = 0) {
      const moves = part.frames[now.to].moves;
      const end = now.to === to ? Math.min(motions, moves.length) : moves.length;
      for (; now.made < end; now.made += 1) {
        for (const [peg, , after] of moves[now.made][1]) {
          if (after.length) now.held.set(peg, after);
          else now.held.delete(peg);
        }
      }
      if (now.to === to) break;
    }
    this.last = now;
    return now.held;
  }
}
