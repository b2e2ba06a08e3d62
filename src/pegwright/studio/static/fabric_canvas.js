/**
 * `<fabric-canvas>`: a whole fabric that can be moved about in, of any number of stitches.
 *
 * Use: import this module, put the element in the page, and call `show(sheet, cells)` with a sheet of
 * `GET /api/loom/{design}/fabric` and its cells ({@link fetchCells}).  It brings its own style, and
 * takes colours and fonts from the page's custom properties.
 */
import { FabricPainter } from "./fabric_paint.js";

/** @typedef {import("./fabric_paint.js").Sheet} Sheet */

const LEFT = 52;
const BOTTOM = 30;
const MOST = 44;
const STILL_MS = 14;
const MOVING_MS = 5;
const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000];

const LOOK = new CSSStyleSheet();
LOOK.replaceSync(`
:host{display:block;font:inherit}
[hidden]{display:none!important}
.frame{position:relative;border:1px solid var(--soft,#ccc);border-radius:12px;overflow:hidden;background:var(--raised,#fff);touch-action:none}
.frame:focus-visible{outline:3px solid var(--yarn-second,#a33b1f);outline-offset:3px}
canvas{display:block;width:100%;height:clamp(18rem,55vh,44rem);cursor:grab}
canvas:active{cursor:grabbing}
.bar{display:flex;flex-wrap:wrap;gap:.4rem;align-items:center;margin-top:.6rem}
button{font:inherit;color:inherit;min-height:2.75rem;min-width:2.75rem;padding:.3rem .9rem;border:1.5px solid var(--line,#777);
  border-radius:8px;background:var(--raised,#fff);cursor:pointer}
button:hover{border-color:var(--ink,#000)}
button:focus-visible{outline:3px solid var(--yarn-second,#a33b1f);outline-offset:2px}
p{margin:0;flex:1 1 14rem;color:var(--quiet,#555);font-size:.9375rem;line-height:1.4}
.keys{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
`);

const MARKUP = `
<div class="frame" tabindex="0" role="group" aria-describedby="keys"><canvas role="img" aria-label="The fabric"></canvas></div>
<p class="keys" id="keys">Arrow keys move the fabric, with Shift a whole view at a time. Plus and minus come closer and go farther; 0 shows all of it.</p>
<div class="bar"><button type="button" data-do="closer">Closer</button><button type="button" data-do="farther">Farther</button>
<button type="button" data-do="whole">All of it</button><p role="status" aria-live="polite"></p></div>`;

/**
 * The cells of a sheet.
 * @param {string} address the design's, `/api/loom/…` @param {Record<string, string>} query
 */
export async function fetchCells(address, query) {
  const answer = await fetch(`${address}/fabric/cells?${new URLSearchParams(query)}`);
  if (!answer.ok) throw new Error((await answer.json()).error);
  return new Uint8Array(await answer.arrayBuffer());
}

export class FabricCanvas extends HTMLElement {
  constructor() {
    super();
    const shadow = this.attachShadow({ mode: "open" });
    shadow.adoptedStyleSheets = [LOOK];
    shadow.innerHTML = MARKUP;
    this.frame = /** @type {HTMLElement} */ (shadow.querySelector(".frame"));
    this.canvas = /** @type {HTMLCanvasElement} */ (shadow.querySelector("canvas"));
    this.status = /** @type {HTMLElement} */ (shadow.querySelector("[role=status]"));
    this.context = /** @type {CanvasRenderingContext2D} */ (this.canvas.getContext("2d", { alpha: false }));
    /** Frames painted so far, and whether the last was as fine as it will be. */
    this.painted = 0;
    this.settled = true;
    this.asked = 0;
    this.movedAt = 0;
    this.bind(shadow);
  }

  connectedCallback() {
    this.watch = new ResizeObserver(() => { this.resize(); this.ask(); });
    this.watch.observe(this.frame);
    this.repaint = () => { if (this.sheet) this.paint(); }; // at once: on paper there is no later
    document.addEventListener("look", this.repaint);
  }

  disconnectedCallback() {
    this.watch.disconnect();
    document.removeEventListener("look", this.repaint);
    cancelAnimationFrame(this.asked);
    this.asked = 0;
  }

  /** @param {Sheet} sheet @param {Uint8Array} cells one byte a stitch. */
  show(sheet, cells) {
    if (cells.length !== sheet.lines * sheet.columns) throw new Error("the stitches do not fit the sheet");
    this.sheet = sheet;
    this.painter = new FabricPainter(sheet, cells);
    this.canvas.setAttribute("aria-label", sheet.words);
    this.frame.setAttribute("aria-label", sheet.title);
    this.resize();
    this.whole();
  }

  // --- where -------------------------------------------------------------------------------------

  resize() {
    this.ratio = Math.min(window.devicePixelRatio || 1, 2);
    this.wide = this.canvas.clientWidth;
    this.high = this.canvas.clientHeight;
    this.canvas.width = Math.round(this.wide * this.ratio);
    this.canvas.height = Math.round(this.high * this.ratio);
    if (this.sheet) this.keepIn();
  }

  get room() { return [Math.max(10, this.wide - LEFT), Math.max(10, this.high - BOTTOM)]; }

  /** The height of a stitch for its width. */
  get shape() { return this.sheet.course_mm / this.sheet.wale_mm; }

  get least() {
    const [w, h] = this.room;
    return Math.min(w / this.sheet.columns, h / (this.sheet.lines * this.shape));
  }

  /** Show all of it. */
  whole() {
    this.size = Math.min(MOST, this.least);
    [this.x, this.y] = [this.sheet.columns / 2, this.sheet.lines / 2];
    this.keepIn();
    this.ask();
  }

  /** Move the fabric. @param {number} dx @param {number} dy CSS pixels */
  panBy(dx, dy) {
    this.x -= dx / this.size;
    this.y -= dy / (this.size * this.shape);
    this.keepIn();
    this.ask();
  }

  /** Come closer round a point of the canvas. @param {number} by @param {number} [px] @param {number} [py] */
  zoomBy(by, px, py) {
    const [w, h] = this.room;
    const [cx, cy] = [(px ?? LEFT + w / 2) - LEFT - w / 2, (py ?? h / 2) - h / 2];
    const [fx, fy] = [this.x + cx / this.size, this.y + cy / (this.size * this.shape)];
    this.size = Math.max(Math.min(this.least, MOST), Math.min(MOST, this.size * by));
    this.x = fx - cx / this.size;
    this.y = fy - cy / (this.size * this.shape);
    this.keepIn();
    this.ask();
  }

  keepIn() {
    const [w, h] = this.room;
    const within = (v, count, half) => (count <= 2 * half ? count / 2 : Math.min(count - half, Math.max(half, v)));
    this.size = Math.max(Math.min(this.least, MOST), this.size ?? 0);
    this.x = within(this.x, this.sheet.columns, w / 2 / this.size);
    this.y = within(this.y, this.sheet.lines, h / 2 / (this.size * this.shape));
    this.movedAt = performance.now();
  }

  // --- painting ----------------------------------------------------------------------------------

  ask() {
    if (!this.asked && this.sheet && this.isConnected) {
      this.asked = requestAnimationFrame(() => {
        this.asked = 0;
        this.paint();
      });
    }
  }

  paint() {
    if (!this.wide || !this.high) return;
    const style = getComputedStyle(this);
    const ink = (name, otherwise) => style.getPropertyValue(name).trim() || otherwise;
    const c = this.context;
    const [w, h] = this.room;
    const view = { x: this.x - w / 2 / this.size, y: this.y - h / 2 / (this.size * this.shape), wide: this.size * this.ratio, high: this.size * this.shape * this.ratio };
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.fillStyle = ink("--tint", "#eee");
    c.fillRect(0, 0, this.canvas.width, this.canvas.height);
    c.save();
    c.beginPath();
    c.rect(LEFT * this.ratio, 0, w * this.ratio, h * this.ratio);
    c.clip();
    c.translate(Math.round(LEFT * this.ratio), 0);
    const moving = performance.now() - this.movedAt < 120;
    this.settled = this.painter.paint(c, view, w * this.ratio, h * this.ratio, moving ? MOVING_MS : STILL_MS);
    c.restore();
    this.rulers(view, ink);
    this.painted += 1;
    this.say(view, moving);
    if (!this.settled) this.ask();
  }

  rulers(view, ink) {
    const c = this.context;
    const [w, h] = this.room;
    c.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    c.fillStyle = ink("--raised", "#fff");
    c.fillRect(0, 0, LEFT, this.high);
    c.fillRect(0, h, this.wide, BOTTOM);
    c.fillStyle = c.strokeStyle = ink("--ink", "#000");
    c.lineWidth = 1;
    c.font = `13px ${ink("--sans", "sans-serif")}`;
    c.textBaseline = "middle";
    c.textAlign = "right";
    const { lines, columns, pegs, row_at_top: top, row_step: step } = this.sheet;
    const tall = this.size * this.shape;
    const everyRow = STEPS.find((n) => n * tall >= 22) ?? 20000;
    for (let line = Math.max(0, Math.floor(view.y)); line < Math.min(lines, view.y + h / tall); line += 1) {
      const row = top + line * step;
      const y = (line + 0.5 - view.y) * tall;
      if (row % everyRow !== 0 || y < 8 || y > h - 4) continue;
      c.fillText(String(row), LEFT - 9, y);
      c.fillRect(LEFT - 5, Math.round(y), 4, 1);
    }
    c.textAlign = "center";
    const everyPeg = STEPS.find((n) => n * this.size >= 40) ?? 20000;
    for (let column = Math.max(0, Math.floor(view.x)); column < Math.min(columns, view.x + w / this.size); column += 1) {
      const number = Number(pegs[column].slice(1));
      const x = LEFT + (column + 0.5 - view.x) * this.size;
      if (!pegs[column] || number % everyPeg !== 0 || x < LEFT + 12 || x > this.wide - 14) continue;
      c.fillText(pegs[column], x, h + 17);
      c.fillRect(Math.round(x), h + 1, 1, 5);
    }
  }

  say(view, moving) {
    const [w, h] = this.room;
    const { lines, columns, pegs, row_at_top: top, row_step: step } = this.sheet;
    const a = Math.max(0, Math.floor(view.y + 0.01));
    const b = Math.min(lines - 1, Math.ceil(view.y + h / (this.size * this.shape)) - 1);
    const named = pegs.slice(Math.max(0, Math.floor(view.x + 0.01)), Math.min(columns, Math.ceil(view.x + w / this.size))).filter(Boolean);
    const detail = this.painter.detail(view);
    const points = 2 ** this.painter.halvings(view);
    const how = {
      stitches: moving && !this.settled ? "squares while it moves, stitches when it rests" : "every stitch drawn",
      squares: "one square a stitch",
      averages: `each point the average of ${points} by ${points} stitches`,
    }[detail];
    this.detail = detail;
    const words = `Rows ${Math.min(top + a * step, top + b * step)} to ${Math.max(top + a * step, top + b * step)}, pegs ${named[0] ?? "none"} to ${named.at(-1) ?? "none"}: ${how}.`;
    clearTimeout(this.saying);
    this.saying = setTimeout(() => { this.status.textContent = words; }, this.status.textContent ? 400 : 0);
  }

  // --- hands -------------------------------------------------------------------------------------

  bind(shadow) {
    const deeds = { closer: () => this.zoomBy(1.6), farther: () => this.zoomBy(1 / 1.6), whole: () => this.whole() };
    shadow.addEventListener("click", (event) => deeds[/** @type {HTMLElement} */ (event.target).dataset?.do]?.());
    const far = (event, span) => (event.shiftKey ? span * 0.85 : 64);
    const keys = {
      ArrowLeft: (e) => this.panBy(far(e, this.wide), 0), ArrowRight: (e) => this.panBy(-far(e, this.wide), 0),
      ArrowUp: (e) => this.panBy(0, far(e, this.high)), ArrowDown: (e) => this.panBy(0, -far(e, this.high)),
      "+": deeds.closer, "=": deeds.closer, "-": deeds.farther, 0: deeds.whole,
    };
    this.frame.addEventListener("keydown", (event) => {
      const deed = !event.ctrlKey && !event.metaKey && !event.altKey && this.sheet && keys[event.key];
      if (!deed) return;
      event.preventDefault();
      deed(event);
    });
    this.bindPointers();
  }

  bindPointers() {
    /** @type {Map<number, {x: number, y: number}>} */
    const down = new Map();
    const middle = () => [...down.values()].reduce((m, p) => [m[0] + p.x / down.size, m[1] + p.y / down.size], [0, 0]);
    const spread = () => {
      const [a, b] = [...down.values()];
      return Math.hypot(a.x - b.x, a.y - b.y);
    };
    const point = (event) => {
      const box = this.frame.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    this.frame.addEventListener("pointerdown", (event) => {
      down.set(event.pointerId, point(event));
      this.frame.setPointerCapture(event.pointerId);
    });
    this.frame.addEventListener("pointermove", (event) => {
      if (!down.has(event.pointerId) || !this.sheet) return;
      const [x0, y0] = middle();
      const before = down.size === 2 ? spread() : 1;
      down.set(event.pointerId, point(event));
      const [x1, y1] = middle();
      this.panBy(x1 - x0, y1 - y0);
      if (down.size === 2 && before > 0) this.zoomBy(spread() / before, x1, y1);
    });
    for (const kind of ["pointerup", "pointercancel"]) {
      this.frame.addEventListener(kind, (event) => down.delete(/** @type {PointerEvent} */ (event).pointerId));
    }
    this.frame.addEventListener("wheel", (event) => {
      if (!this.sheet || !event.ctrlKey) return;
      event.preventDefault();
      const at = point(event);
      this.zoomBy(Math.exp(-event.deltaY / 200), at.x, at.y);
    }, { passive: false });
  }
}

customElements.define("fabric-canvas", FabricCanvas);
