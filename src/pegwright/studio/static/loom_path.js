/** Lines [x, y, x, y] and arcs [centre x, centre y, radius, start, sweep] of yarn, in mm. */

/** @param {number[]} part */
const lengthOf = (part) =>
  part.length === 4 ? Math.hypot(part[2] - part[0], part[3] - part[1]) : part[2] * Math.abs(part[4]);

/**
 * Put the first share of a path into a canvas's path, y upwards turned into y downwards.
 * @param {CanvasRenderingContext2D} c
 * @param {number[][]} path
 * @param {number} share 0 to 1, of its length.
 * @param {(x: number, y: number) => number[]} place mm to px
 * @param {number} scale px a mm
 * @returns {number[]} where it ends, px
 */
export function tracePart(c, path, share, place, scale) {
  let left = share >= 1 ? Infinity : path.reduce((sum, part) => sum + lengthOf(part), 0) * share;
  let end = [0, 0];
  for (const part of path) {
    const length = lengthOf(part);
    const some = Math.min(1, length ? left / length : 1);
    if (part.length === 4) {
      const from = place(part[0], part[1]);
      end = place(part[0] + (part[2] - part[0]) * some, part[1] + (part[3] - part[1]) * some);
      c.moveTo(from[0], from[1]);
      c.lineTo(end[0], end[1]);
    } else {
      const [x, y] = place(part[0], part[1]);
      const radius = part[2] * scale;
      const last = part[3] + part[4] * some;
      c.moveTo(x + radius * Math.cos(part[3]), y - radius * Math.sin(part[3]));
      c.arc(x, y, radius, -part[3], -last, part[4] > 0);
      end = [x + radius * Math.cos(last), y - radius * Math.sin(last)];
    }
    left -= length;
    if (left <= 0) break;
  }
  return end;
}
