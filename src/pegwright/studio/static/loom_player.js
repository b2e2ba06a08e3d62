/** Plays the work: where it is, going on and back by motion, row and step, and the pace of it. */
import { told } from "./page.js";

export class Player {
  /**
   * @param {import("./loom_board.js").BoardCanvas} board
   * @param {MediaQueryList} still whether motion is to be kept small.
   */
  constructor(board, still) {
    this.board = board;
    this.still = still;
    this.op = 0;
    this.made = 0;
    this.part = 1;
    this.playing = false;
    this.scrubbing = false;
    this.rate = 3;
    this.fault = null;
    this.turn = 0;
    /** @type {import("./loom_reel.js").Reel|null} */
    this.reel = null;
  }

  /** @param {any} view @param {import("./loom_reel.js").Reel} reel @param {(frame: any) => void} shown */
  open(view, reel, shown) {
    this.pause();
    this.view = view;
    this.reel = reel;
    this.shown = shown;
    [this.op, this.made, this.fault] = [0, 0, null];
  }

  held() {
    return this.reel.held(this.op, this.made) ?? new Map();
  }

  // --- going somewhere ---------------------------------------------------------------------------

  /** Stop, and go to a place; one asked for later goes first. */
  stopAt(op, made = 0, fault = null) {
    this.pause();
    return this.go(op, made, fault);
  }

  async go(op, made = 0, fault = null) {
    const turn = ++this.turn;
    const to = Math.max(0, Math.min(op, this.reel.operations));
    const got = await told(() => this.reel.load(to));
    if (!got || turn !== this.turn) return;
    [this.op, this.made, this.part, this.fault] = [to, made, 0, fault];
    this.refresh();
  }

  /** One motion on. */
  async on() {
    const turn = ++this.turn;
    const [op, made] = this.after(this.op, this.made);
    if (await told(() => this.reel.load(op)) && turn === this.turn) {
      [this.op, this.made, this.part, this.fault] = [op, made, 0, null];
      this.refresh();
    }
  }

  /** One motion back. */
  async back() {
    if (this.made > 0) {
      await this.go(this.op, this.made - 1);
      return;
    }
    if (this.op === 0) return;
    const turn = this.turn;
    const part = await told(() => this.reel.load(this.op - 1));
    if (part && turn === this.turn) await this.go(this.op - 1, this.reel.frame(this.op - 1).moves.length - 1);
  }

  after(op, made) {
    const moves = op < this.reel.operations ? this.reel.frame(op)?.moves.length ?? 1 : 0;
    if (op >= this.reel.operations) return [op, 0];
    return made + 1 < moves ? [op, made + 1] : [op + 1, 0];
  }

  /** To the beginning of the next row, or of this one and then the one before. @param {1|-1} way */
  async row(way) {
    const here = await this.frameAt(this.op);
    if (!here) return;
    const same = (frame) => frame.row === here.row && frame.piece === here.piece && frame.step === here.step;
    const turn = ++this.turn;
    let op = this.op;
    if (way > 0) {
      while (op < this.reel.operations && same(await this.frameAt(op))) op += 1;
    } else {
      const beginsHere = this.made === 0 && (op === 0 || !same(await this.frameAt(op - 1)));
      if (beginsHere && op > 0) op -= 1;
      const wanted = await this.frameAt(op);
      const alike = (frame) => frame.row === wanted.row && frame.piece === wanted.piece && frame.step === wanted.step;
      while (op > 0 && alike(await this.frameAt(op - 1))) op -= 1;
    }
    if (turn === this.turn) await this.stopAt(op);
  }

  async frameAt(op) {
    if (!this.reel.frame(op)) await told(() => this.reel.load(op));
    return this.reel.frame(op);
  }

  /** @param {1|-1} way */
  step(way) {
    const firsts = this.view.steps.map((step) => step.first);
    const to = way > 0 ? firsts.find((first) => first > this.op) ?? this.reel.operations
      : firsts.filter((first) => first < this.op || (first === this.op && this.made > 0)).at(-1) ?? 0;
    return this.stopAt(to);
  }

  // --- playing -----------------------------------------------------------------------------------

  toggle() {
    if (this.playing) {
      this.pause();
      this.refresh();
    } else this.play();
  }

  async play() {
    if (this.op >= this.reel.operations) await this.go(0);
    this.playing = true;
    this.fault = null;
    this.part = 0;
    let before = performance.now();
    const tick = (now) => {
      if (!this.playing) return;
      this.advance(Math.min(0.25, (now - before) / 1000) * this.rate);
      before = now;
      this.ticking = requestAnimationFrame(tick);
    };
    this.refresh();
    this.ticking = requestAnimationFrame(tick);
  }

  pause() {
    this.playing = false;
    cancelAnimationFrame(this.ticking ?? 0);
  }

  /** @param {number} motions */
  advance(motions) {
    this.part += motions;
    let moved = false;
    while (this.part >= 1) {
      const [op, made] = this.after(this.op, this.made);
      if (op < this.reel.operations && !this.reel.part(op)) {
        this.part = 1;
        this.reel.load(op).catch(() => { this.pause(); this.refresh(); });
        break;
      }
      [this.op, this.made] = [op, made];
      this.part -= 1;
      moved = true;
      if (op >= this.reel.operations) {
        this.part = 0;
        this.pause();
        break;
      }
    }
    this.reel.ahead(this.op);
    if (moved || !this.playing) this.refresh();
    else if (!this.still.matches) this.draw();
  }

  // --- showing -----------------------------------------------------------------------------------

  refresh() {
    const frame = this.reel.frame(this.op);
    if (!frame) return;
    this.draw();
    this.shown(frame);
  }

  draw() {
    const frame = this.reel.frame(this.op);
    const held = this.reel.held(this.op, this.made);
    if (!frame || !held) return;
    const ended = this.op >= this.reel.operations;
    const move = ended ? null : frame.moves[this.made] ?? null;
    const peg = this.fault ?? move?.[0].at(-1);
    if (peg !== undefined && peg !== null) this.board.bring(peg, this.playing && !this.still.matches && this.rate <= 10);
    const part = this.playing && !this.still.matches ? Math.min(1, this.part) : 0;
    const { op, fault } = this;
    const fresh = this.reel.fresh(op, held);
    this.board.draw({ held, loop: (id) => this.reel.loop(id, op), move, kind: frame.kind, part, fault, fresh });
  }
}
