/** The board from above on a canvas: pegs, the yarn's true way round them, loops, one motion. */
import { barPlaces, drawBars } from "./loom_bars.js";
import { tracePart } from "./loom_path.js";

/** @typedef {import("./loom_reel.js").Loop} Loop */
/**
 * @typedef {{held: Map<number, number[]>, loop: (id: number) => Loop|undefined,
 *   move: import("./loom_reel.js").Move|null, kind: string, part: number, fault: number|null, fresh: number}} Scene
 * fresh: the first loop of the row in hand
 */

const LABEL = 12;
const EDGE = 14;

export class BoardCanvas {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.follow = true;
    this.moved = () => {};
    /** @type {Scene|null} */
    this.scene = null;
    this.readColours();
  }

  readColours() {
    const style = getComputedStyle(this.canvas);
    const read = (name) => style.getPropertyValue(name).trim();
    this.ink = { paper: read("--stage"), wood: read("--wood"), grain: read("--wood-edge"), peg: read("--peg"),
      pegEdge: read("--peg-edge"), ink: read("--ink"), quiet: read("--quiet"), active: read("--yarn-second"),
      line: read("--line"), casing: read("--casing"), paler: Number(read("--paler")), sans: read("--sans") || "sans-serif" };
  }

  /** @param {any} board @param {{hex: string}[]} colours @param {number} yarnMm */
  setBoard(board, colours, yarnMm) {
    this.board = board;
    this.colours = colours.map((colour) => colour.hex);
    this.yarnMm = yarnMm;
    this.ring = board.arrangement === "ring";
    const xs = board.pegs.map((peg) => peg[0]);
    const ys = board.pegs.map((peg) => peg[1]);
    this.box = { left: Math.min(...xs), right: Math.max(...xs), near: Math.min(...ys), far: Math.max(...ys) };
    this.middle = [(this.box.left + this.box.right) / 2, (this.box.near + this.box.far) / 2];
  }

  // --- where things are --------------------------------------------------------------------------

  resize() {
    const ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    const { clientWidth, clientHeight } = this.canvas;
    this.width = clientWidth;
    this.height = clientHeight;
    this.canvas.width = Math.round(clientWidth * ratio);
    this.canvas.height = Math.round(clientHeight * ratio);
    this.ratio = ratio;
  }

  /** Room beside the pegs for loops and addresses, px. */
  get beside() { return 62; }

  /** The scale at which a stretch of the board is seen whole. */
  wholeScale([left, right, near, far]) {
    const beside = this.ring ? 2 * this.beside : 56;
    return Math.max(0.05, Math.min((this.width - beside) / Math.max(right - left, this.board.pitch_mm),
      (this.height - 2 * this.beside) / Math.max(far - near, this.board.peg_mm)));
  }

  get least() { return this.wholeScale([this.box.left, this.box.right, this.box.near, this.box.far]); }

  get most() { return 90 / this.board.pitch_mm; }

  /** Show these pegs whole, unless their numbers could not be read then. @param {number[]} pegs */
  fit(pegs) {
    const used = pegs.length ? pegs.map((peg) => this.board.pegs[peg]) : this.board.pegs;
    const xs = used.map((peg) => peg[0]);
    const span = [Math.min(...xs), Math.max(...xs), this.box.near, this.box.far];
    const whole = this.wholeScale(this.ring ? [this.box.left, this.box.right, this.box.near, this.box.far] : span);
    const legible = (whole * this.board.pitch_mm >= 19 ? 19 : 24) / this.board.pitch_mm;
    this.scale = Math.min(this.most, 46 / this.board.pitch_mm, Math.max(whole, Math.min(legible, this.tallest)));
    [this.x, this.y] = this.ring ? this.middle : [(span[0] + span[1]) / 2, this.middle[1]];
    if (this.scale > whole * 1.01) this.x = this.ring ? this.x : span[0] + (this.width / 2 - 40) / this.scale;
    this.keepIn();
  }

  get tallest() {
    return (this.height - 2 * this.beside) / Math.max(this.box.far - this.box.near, this.board.peg_mm);
  }

  showWhole() {
    this.scale = this.least;
    [this.x, this.y] = this.middle;
    this.keepIn();
  }

  /** @param {number} by @param {number} [px] @param {number} [py] the point that stays. */
  zoom(by, px = this.width / 2, py = this.height / 2) {
    const [x, y] = this.under(px, py);
    this.scale = Math.min(this.most, Math.max(this.least, this.scale * by));
    const [nx, ny] = this.under(px, py);
    this.x += x - nx;
    this.y += y - ny;
    this.keepIn();
  }

  /** @param {number} dx @param {number} dy px */
  pan(dx, dy) {
    this.x -= dx / this.scale;
    this.y += dy / this.scale;
    this.keepIn();
  }

  keepIn() {
    const halfX = (this.width - 56) / 2 / this.scale;
    const halfY = (this.height - 2 * this.beside) / 2 / this.scale;
    const within = (v, low, high, half, mid) => (high - low <= 2 * half ? mid : Math.min(high - half, Math.max(low + half, v)));
    this.x = within(this.x, this.box.left, this.box.right, halfX, this.middle[0]);
    this.y = within(this.y, this.box.near, this.box.far, halfY, this.middle[1]);
    this.moved();
  }

  /** Bring a peg near the middle if it is near the edge. @param {number} peg @param {boolean} gently */
  bring(peg, gently) {
    if (!this.follow) return;
    const [px, py] = this.at(peg);
    const slackX = this.width * 0.28;
    const slackY = this.ring ? this.height * 0.25 : Infinity;
    let dx = Math.max(0, Math.abs(px - this.width / 2) - slackX) * Math.sign(this.width / 2 - px);
    let dy = Math.max(0, Math.abs(py - this.height / 2) - slackY) * Math.sign(this.height / 2 - py);
    if (!dx && !dy) return;
    if (gently && Math.abs(dx) < this.width) [dx, dy] = [dx * 0.12, dy * 0.12];
    this.pan(dx, dy);
  }

  /** @param {number} x @param {number} y mm */
  place(x, y) {
    return [this.width / 2 + (x - this.x) * this.scale, this.height / 2 - (y - this.y) * this.scale];
  }

  under(px, py) {
    return [this.x + (px - this.width / 2) / this.scale, this.y - (py - this.height / 2) / this.scale];
  }

  /** @param {number} peg */
  at(peg) {
    const [x, y] = this.board.pegs[peg];
    return this.place(x, y);
  }

  /** The direction away from the middle of the loom, on the screen. @param {number} peg */
  outwards(peg) {
    if (this.ring) {
      const [x, y] = this.board.pegs[peg];
      const [cx, cy] = this.middle;
      const far = Math.hypot(x - cx, y - cy) || 1;
      return [(x - cx) / far, -(y - cy) / far];
    }
    return peg >= this.board.row ? [0, -1] : [0, 1];
  }

  get pegRadius() { return Math.max(2.2, (this.board.peg_mm / 2) * this.scale); }

  get yarnWidth() { return Math.max(1.6, this.yarnMm * this.scale * 0.8); }

  get pitch() { return this.board.pitch_mm * this.scale; }

  // --- drawing -----------------------------------------------------------------------------------

  /** @param {Scene} [scene] */
  draw(scene) {
    if (scene) this.scene = scene;
    if (!this.scene || !this.board) return;
    const c = this.context;
    c.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    c.fillStyle = this.ink.paper;
    c.fillRect(0, 0, this.width, this.height);
    c.lineCap = "round";
    c.lineJoin = "round";
    const seen = this.seen();
    this.drawWood();
    this.drawYarn(seen);
    this.drawPegs(seen);
    drawBars(this, this.scene, seen);
    this.drawNames(seen);
    this.drawMap();
  }

  /** The pegs in sight. */
  seen() {
    const found = [];
    for (let peg = 0; peg < this.board.pegs.length; peg += 1) {
      const [x, y] = this.at(peg);
      if (x > -60 && x < this.width + 60 && y > -80 && y < this.height + 80) found.push(peg);
    }
    return found;
  }

  drawWood() {
    const c = this.context;
    const half = Math.max(this.pegRadius + 5, Math.min(16, this.pitch * 0.5));
    c.fillStyle = this.ink.wood;
    c.strokeStyle = this.ink.grain;
    c.lineWidth = 1;
    if (this.ring) {
      const [x, y] = this.place(...this.middle);
      const radius = ((this.box.far - this.box.near) / 2) * this.scale;
      c.beginPath();
      c.arc(x, y, radius + half, 0, 7);
      c.moveTo(x + radius - half, y);
      c.arc(x, y, Math.max(1, radius - half), 0, 7);
      c.fill("evenodd");
      c.stroke();
      return;
    }
    const rows = this.board.gap_mm ? [0, this.board.row] : [0];
    for (const first of rows) {
      const [x0, y] = this.at(first);
      const [x1] = this.at(first + this.board.row - 1);
      c.beginPath();
      c.roundRect(x0 - this.pitch * 0.7, y - half, x1 - x0 + this.pitch * 1.4, 2 * half, 6);
      c.fill();
      c.stroke();
    }
  }

  /** The yarn of every loop that sits where it was made: that of rows before first, and paler. */
  drawYarn(seen) {
    const { held, loop, move, kind, part, fresh } = this.scene;
    const near = new Set(seen);
    const lower = [];
    const upper = [];
    for (const [peg, stack] of held) {
      if (!near.has(peg)) continue;
      stack.forEach((id, i) => {
        const known = loop(id);
        if (known && known[1] === peg) (id < fresh || i < stack.length - 1 ? lower : upper).push([id, known]);
      });
    }
    const by = (a, b) => a[0] - b[0];
    this.strokePale(lower.map(([, known]) => known));
    for (const [, known] of upper.sort(by)) this.strokeLoop(known);
    if (!move) return;
    const laid = move[2] === null ? undefined : loop(move[2]);
    if (laid && part < 1) this.drawHand(this.strokeLoop(laid, part), laid);
    else if (part < 1 && (kind === "KnitOver" || kind === "Purl" || kind === "BindOffOver")) this.drawLift(move, part);
  }

  /** Loops of rows before: all of a colour in one stroke, so that none shows through another. */
  strokePale(loops) {
    const c = this.context;
    c.globalAlpha = this.ink.paler;
    for (const colour of new Set(loops.map((known) => known[0]))) {
      c.beginPath();
      for (const known of loops) {
        if (known[0] === colour) tracePart(c, known[2], 1, (x, y) => this.place(x, y), this.scale);
      }
      c.strokeStyle = this.ink.casing;
      c.lineWidth = this.yarnWidth + 1.6;
      c.stroke();
      c.strokeStyle = this.colours[colour];
      c.lineWidth = this.yarnWidth;
      c.stroke();
    }
    c.globalAlpha = 1;
  }

  /** @param {Loop} loop @param {number} [part] the share that is laid. @returns {number[]|null} its end. */
  strokeLoop([colour, , path], part = 1) {
    if (!path.length) return null;
    const c = this.context;
    c.beginPath();
    const end = tracePart(c, path, part, (x, y) => this.place(x, y), this.scale);
    c.strokeStyle = this.ink.casing;
    c.lineWidth = this.yarnWidth + 1.6;
    c.stroke();
    c.strokeStyle = this.colours[colour];
    c.lineWidth = this.yarnWidth;
    c.stroke();
    return end;
  }

  /** The end of the yarn that is being laid. */
  drawHand(end, [colour]) {
    if (!end) return;
    const c = this.context;
    c.beginPath();
    c.arc(end[0], end[1], this.yarnWidth / 2 + 4, 0, 7);
    c.fillStyle = this.colours[colour];
    c.strokeStyle = this.ink.active;
    c.lineWidth = 2.5;
    c.fill();
    c.stroke();
  }

  /** A loop on its way over the top of its peg and off, towards the middle. */
  drawLift(move, part) {
    const c = this.context;
    for (const [peg, before, after] of move[1]) {
      const gone = before.filter((id) => !after.includes(id));
      const [x, y] = this.at(peg);
      const [ox, oy] = this.outwards(peg);
      const away = Math.sin(part * Math.PI * 0.5) * this.pitch * 0.9;
      for (const id of gone) {
        const known = this.scene.loop(id);
        if (!known) continue;
        const radius = (this.pegRadius + this.yarnWidth * 0.7) * (1 + 0.55 * Math.sin(part * Math.PI));
        c.globalAlpha = 1 - Math.max(0, part - 0.6) / 0.4;
        for (const [colour, wide] of [[this.ink.casing, this.yarnWidth + 1.6], [this.colours[known[0]], this.yarnWidth]]) {
          c.beginPath();
          c.arc(x - ox * away, y - oy * away, radius, 0, 7);
          c.strokeStyle = colour;
          c.lineWidth = wide;
          c.stroke();
        }
        c.globalAlpha = 1;
      }
    }
  }

  drawPegs(seen) {
    const c = this.context;
    const active = new Set(this.scene.move?.[0] ?? []);
    for (const peg of seen) {
      const [x, y] = this.at(peg);
      c.beginPath();
      c.arc(x, y, this.pegRadius, 0, 7);
      c.fillStyle = this.ink.peg;
      c.strokeStyle = this.ink.pegEdge;
      c.lineWidth = 1.2;
      c.fill();
      c.stroke();
      if (active.has(peg)) {
        c.beginPath();
        c.arc(x, y, this.pegRadius + this.yarnWidth + 4, 0, 7);
        c.strokeStyle = this.ink.active;
        c.lineWidth = 2.5;
        c.stroke();
      }
    }
    const fault = this.scene.fault;
    if (fault !== null && seen.includes(fault)) this.drawFault(...this.at(fault));
  }

  drawFault(x, y) {
    const c = this.context;
    const r = this.pegRadius + this.yarnWidth + 8;
    c.beginPath();
    c.arc(x, y, r, 0, 7);
    c.strokeStyle = this.ink.active;
    c.lineWidth = 3;
    c.setLineDash([5, 5]);
    c.stroke();
    c.setLineDash([]);
  }

  drawNames(seen) {
    const c = this.context;
    const active = new Set(this.scene.move?.[0] ?? []);
    const every = [1, 2, 5, 10, 20, 50, 100].find((n) => n * this.pitch >= 31) ?? 200;
    c.textAlign = "center";
    c.textBaseline = "middle";
    for (const peg of seen) {
      const address = this.board.pegs[peg][2];
      const number = Number(address.slice(1));
      const named = active.has(peg);
      if (!named && number % every !== 0 && number !== 1) continue;
      if (!named && every > 1 && [...active].some((p) => Math.abs(p - peg) * this.pitch < 26)) continue;
      const [x, y] = this.at(peg);
      const [ox, oy] = this.outwards(peg);
      const away = barPlaces(this).names;
      c.font = `${named ? "700 " : ""}${named ? LABEL + 2 : LABEL}px ${this.ink.sans}`;
      c.fillStyle = named ? this.ink.ink : this.ink.quiet;
      c.fillText(address, x + ox * away, y + oy * away);
    }
  }

  /** Where on a long board one is: a line for the whole, a bar for what is in sight. */
  drawMap() {
    const across = (this.box.right - this.box.left) * this.scale;
    if (this.ring || across <= this.width - 40) return;
    const c = this.context;
    const [left, width, y] = [EDGE, this.width - 2 * EDGE, this.height - 8];
    const share = (x) => left + ((x - this.box.left) / (this.box.right - this.box.left)) * width;
    const line = (from, to, colour, wide) => {
      c.beginPath();
      c.moveTo(from, y);
      c.lineTo(to, y);
      c.strokeStyle = colour;
      c.lineWidth = wide;
      c.stroke();
    };
    const half = this.width / 2 / this.scale;
    const clamp = (v) => Math.min(left + width, Math.max(left, v));
    line(left, left + width, this.ink.wood, 5);
    line(clamp(share(this.x - half)), clamp(share(this.x + half)), this.ink.line, 5);
    for (const peg of this.scene.move?.[0] ?? []) {
      c.beginPath();
      c.arc(share(this.board.pegs[peg][0]), y, 4.5, 0, 7);
      c.fillStyle = this.ink.active;
      c.fill();
    }
  }
}
