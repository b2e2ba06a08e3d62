/**
 * Paints a sheet of fabric at any size.  How much is drawn of a stitch goes with its size:
 *
 * - "stitches": each with its legs or its bump, painted in blocks that are kept;
 * - "squares": one square of its colour a stitch;
 * - "averages": many stitches a point, each point their average.
 *
 * Whole colours are kept in blocks of 256 by 256 stitches, one pixel each, and halved again and again
 * for the averages, so that the cost goes with the screen and not with the fabric.
 *
 * @typedef {{lines: number, columns: number, colours: {name: string, hex: string}[], turned: boolean[],
 *   wale_mm: number, course_mm: number, pegs: string[], title: string, words: string,
 *   row_at_top: number, row_step: number, row_at_top_right: number, row_step_right: number}} Sheet
 * @typedef {{x: number, y: number, wide: number, high: number}} Window the fabric's left top corner
 *   in stitches, and the size of a stitch in device pixels.
 */

const BLOCK = 256;
const STITCHES = 24;
const LEAST_STITCH = 7;
const MOST_STITCH_BLOCKS = 160;
const KNIT = 1;
const PURL = 2;
const TWISTED = 3;

/** Cubic curves in a box one by one, y downwards; the same as in the printed pictures. */
const LEFT_LEG = [0.215, -0.06, 0.17, 0.36, 0.33, 0.7, 0.415, 1.1];
const CROSSED_LEG = [0.2, -0.02, 0.12, 0.5, 0.5, 0.55, 0.68, 1.04];
const BUMP = [0, 0.84, 0.2, 0.96, 0.13, 0.3, 0.5, 0.3, 0.87, 0.3, 0.8, 0.96, 1, 0.84];
const mirrored = (curve) => curve.map((v, i) => (i % 2 ? v : 1 - v));
const CURVES = {
  [KNIT]: [LEFT_LEG, mirrored(LEFT_LEG)],
  [TWISTED]: [mirrored(CROSSED_LEG), CROSSED_LEG],
  [PURL]: [BUMP],
};

export class FabricPainter {
  /** @param {Sheet} sheet @param {Uint8Array} cells stitch × 64 + colour, line by line. */
  constructor(sheet, cells) {
    this.sheet = sheet;
    this.cells = cells;
    this.rgb = sheet.colours.map(({ hex }) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16)));
    this.deep = this.rgb.map((rgb) => `rgb(${rgb.map((v) => Math.round(v * 0.45)).join(" ")})`);
    this.edge = this.rgb.map((rgb) => `rgb(${rgb.map((v) => Math.round(v * 0.68)).join(" ")})`);
    /** @type {Map<string, OffscreenCanvas|null>} */
    this.blocks = new Map();
    /** @type {Map<string, OffscreenCanvas>} */
    this.stitched = new Map();
  }

  /** What is drawn of a stitch of this size. @param {Window} view */
  detail(view) {
    if (Math.min(view.wide, view.high) >= LEAST_STITCH) return "stitches";
    return Math.min(view.wide, view.high) >= 0.9 ? "squares" : "averages";
  }

  /** How many stitches across one point averages. @param {Window} view */
  halvings(view) {
    return Math.max(0, Math.ceil(Math.log2(0.9 / Math.min(view.wide, view.high))));
  }

  /**
   * Paint what is in sight.
   * @param {CanvasRenderingContext2D} c in device pixels @param {Window} view
   * @param {number} width @param {number} height device pixels
   * @param {number} budgetMs for painting new blocks of stitches; the rest are squares for now.
   * @returns {boolean} whether all is painted as fine as it will be.
   */
  paint(c, view, width, height, budgetMs) {
    const detail = this.detail(view);
    const level = this.halvings(view);
    const side = BLOCK * 2 ** level;
    c.imageSmoothingEnabled = detail === "averages";
    this.each(view, side, width, height, (i, j, x, y, w, h) => {
      const block = this.block(level, i, j);
      if (block) c.drawImage(block, x, y, w, h);
    });
    return detail === "stitches" ? this.paintStitches(c, view, width, height, budgetMs) : true;
  }

  /** Every block in sight with its place in whole pixels, so that none shows a seam. */
  each(view, side, width, height, deed) {
    const { lines, columns } = this.sheet;
    const last = (count, from, span, size) => Math.min(Math.ceil(count / side) - 1, Math.floor((from + span / size) / side));
    for (let j = Math.max(0, Math.floor(view.y / side)); j <= last(lines, view.y, height, view.high); j += 1) {
      for (let i = Math.max(0, Math.floor(view.x / side)); i <= last(columns, view.x, width, view.wide); i += 1) {
        const x = Math.round((i * side - view.x) * view.wide);
        const y = Math.round((j * side - view.y) * view.high);
        const right = Math.round(((i + 1) * side - view.x) * view.wide);
        const bottom = Math.round(((j + 1) * side - view.y) * view.high);
        deed(i, j, x, y, right - x, bottom - y);
      }
    }
  }

  /** A block of stitches a pixel each (level 0), or of four blocks of the level below, halved. */
  block(level, i, j) {
    const key = `${level}/${i}/${j}`;
    if (!this.blocks.has(key)) this.blocks.set(key, level ? this.halved(level, i, j) : this.plain(i, j));
    return this.blocks.get(key);
  }

  plain(i, j) {
    const { lines, columns } = this.sheet;
    if (i * BLOCK >= columns || j * BLOCK >= lines) return null;
    const image = new ImageData(BLOCK, BLOCK);
    const bottom = Math.min(BLOCK, lines - j * BLOCK);
    const right = Math.min(BLOCK, columns - i * BLOCK);
    for (let y = 0; y < bottom; y += 1) {
      const from = (j * BLOCK + y) * columns + i * BLOCK;
      for (let x = 0; x < right; x += 1) {
        const cell = this.cells[from + x];
        if (!cell) continue;
        const rgb = this.rgb[cell & 63];
        const shade = cell >> 6 === PURL ? 0.86 : 1;
        const at = (y * BLOCK + x) * 4;
        image.data[at] = rgb[0] * shade;
        image.data[at + 1] = rgb[1] * shade;
        image.data[at + 2] = rgb[2] * shade;
        image.data[at + 3] = 255;
      }
    }
    const made = new OffscreenCanvas(BLOCK, BLOCK);
    made.getContext("2d").putImageData(image, 0, 0);
    return made;
  }

  halved(level, i, j) {
    const made = new OffscreenCanvas(BLOCK, BLOCK);
    const c = made.getContext("2d");
    let some = false;
    for (const [dx, dy] of [[0, 0], [1, 0], [0, 1], [1, 1]]) {
      const from = this.block(level - 1, 2 * i + dx, 2 * j + dy);
      if (!from) continue;
      some = true;
      c.drawImage(from, (dx * BLOCK) / 2, (dy * BLOCK) / 2, BLOCK / 2, BLOCK / 2);
    }
    return some ? made : null;
  }

  // --- stitches ----------------------------------------------------------------------------------

  paintStitches(c, view, width, height, budgetMs) {
    const size = 2 ** (Math.round(Math.log2(view.wide) * 2) / 2);
    const [wide, high] = [Math.round(size), Math.max(3, Math.round((size * view.high) / view.wide))];
    const until = performance.now() + budgetMs;
    let whole = true;
    c.imageSmoothingEnabled = true;
    this.each(view, STITCHES, width, height, (i, j, x, y, w, h) => {
      const key = `${wide}x${high}/${i}/${j}`;
      let block = this.stitched.get(key);
      if (!block && performance.now() < until) {
        block = this.stitch(i, j, wide, high);
        this.keep(key, block);
      }
      if (block) c.drawImage(block, x, y, w, h);
      else whole = false;
    });
    return whole;
  }

  keep(key, block) {
    this.stitched.set(key, block);
    if (this.stitched.size > MOST_STITCH_BLOCKS) this.stitched.delete(this.stitched.keys().next().value);
  }

  /** Stitches line by line from the top, so that each line's feet go into the stitches below. */
  stitch(i, j, wide, high) {
    const { lines, columns } = this.sheet;
    const made = new OffscreenCanvas(STITCHES * wide, STITCHES * high);
    const c = made.getContext("2d");
    c.lineCap = "round";
    const [left, top] = [i * STITCHES, j * STITCHES];
    const right = Math.min(columns, left + STITCHES);
    for (let line = top; line < Math.min(lines, top + STITCHES); line += 1) {
      for (let column = left; column < right; column += 1) {
        const cell = this.cells[line * columns + column];
        if (!cell) continue;
        c.fillStyle = this.deep[cell & 63];
        c.fillRect((column - left) * wide, (line - top) * high, wide, high);
      }
    }
    for (let line = Math.max(0, top - 1); line < Math.min(lines, top + STITCHES + 1); line += 1) {
      /** @type {Map<number, Path2D>} */
      const paths = new Map();
      const y = (line - top) * high;
      for (let column = left; column < right; column += 1) {
        const cell = this.cells[line * columns + column];
        if (!cell) continue;
        const x = (column - left) * wide;
        let path = paths.get(cell);
        if (!path) paths.set(cell, (path = new Path2D()));
        for (const curve of CURVES[cell >> 6] ?? []) trace(path, curve, x, y, wide, high, this.sheet.turned[column]);
      }
      for (const [cell, path] of paths) {
        const thick = cell >> 6 === PURL ? Math.min(0.46 * high, 0.8 * wide) : Math.min(0.41 * wide, 0.7 * high);
        c.strokeStyle = this.edge[cell & 63];
        c.lineWidth = thick;
        c.stroke(path);
        c.strokeStyle = this.sheet.colours[cell & 63].hex;
        c.lineWidth = thick * 0.78;
        c.stroke(path);
      }
    }
    return made;
  }
}

function trace(path, curve, x, y, wide, high, turned) {
  const at = (k) => [x + curve[k] * wide, y + (turned ? 1 - curve[k + 1] : curve[k + 1]) * high];
  path.moveTo(...at(0));
  for (let k = 2; k < curve.length; k += 6) path.bezierCurveTo(...at(k), ...at(k + 2), ...at(k + 4));
}
