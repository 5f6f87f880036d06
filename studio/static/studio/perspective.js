// Four corners and a rectangle: the same arithmetic as the server's, for what is seen before anything is sent.

/** @typedef {[number, number]} Point across and down */

/**
 * The perspective that takes the unit square to four corners (Heckbert 1989): [a … h].
 * @param {Point[]} corners clockwise from the top left
 */
export function fromUnitSquare([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const [dx1, dx2, sx] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
  const [dy1, dy2, sy] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
  const determinant = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / determinant;
  const h = (dx1 * sy - sx * dy1) / determinant;
  return [x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h];
}

/**
 * How long the four sides are: top, right, bottom, left.
 * @param {Point[]} corners
 */
export const sides = (corners) =>
  corners.map(([x, y], i) => {
    const [toX, toY] = corners[(i + 1) % 4];
    return Math.hypot(toX - x, toY - y);
  });

/**
 * Width over height of what the corners enclose, by its longer sides.
 * @param {Point[]} corners
 */
export function shape(corners) {
  const [top, right, bottom, left] = sides(corners);
  return Math.max(top, bottom) / Math.max(left, right);
}

/**
 * Why these corners [px of the photograph] cannot be used; empty where they can.
 * @param {Point[]} corners
 * @param {number} leastSide [px]
 * @param {number} leastAngle [°]
 */
export function faultOf(corners, leastSide, leastAngle) {
  const lengths = sides(corners);
  if (Math.min(...lengths) < leastSide) {
    const least = Math.round(Math.min(...lengths));
    return `The corners are too near one another: ${least} pixels, where ${leastSide} are needed. Take a closer photograph.`;
  }
  const sines = corners.map((a, i) => {
    const [b, c] = [corners[(i + 1) % 4], corners[(i + 2) % 4]];
    return ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) / (lengths[i] * lengths[(i + 1) % 4]);
  });
  const inLine = Math.sin((leastAngle * Math.PI) / 180);
  if (Math.min(...sines) < -inLine) return "The corners are crossed: mark them clockwise, from the piece’s top left corner.";
  if (Math.min(...sines) < inLine) {
    return "Three corners lie almost in a line: take the photograph from more directly in front of the piece.";
  }
  return "";
}

/**
 * What the corners enclose, square on, `width` × `height`, each pixel from the four around it.
 * @param {ImageData} source
 * @param {Point[]} corners [px of `source`]
 * @param {number} width
 * @param {number} height
 */
export function straightened(source, corners, width, height) {
  const [a, b, c, d, e, f, g, h] = fromUnitSquare(corners);
  const out = new ImageData(width, height);
  const from = source.data;
  const [right, bottom] = [source.width - 1, source.height - 1];
  let to = 0;
  for (let row = 0; row < height; row += 1) {
    const v = (row + 0.5) / height;
    for (let column = 0; column < width; column += 1, to += 4) {
      const u = (column + 0.5) / width;
      const depth = g * u + h * v + 1;
      const x = Math.min(Math.max((a * u + b * v + c) / depth - 0.5, 0), right);
      const y = Math.min(Math.max((d * u + e * v + f) / depth - 0.5, 0), bottom);
      const [x0, y0] = [Math.floor(x), Math.floor(y)];
      const [fx, fy] = [x - x0, y - y0];
      const here = (y0 * source.width + x0) * 4;
      const across = x0 < right ? 4 : 0;
      const below = y0 < bottom ? source.width * 4 : 0;
      for (let band = 0; band < 3; band += 1) {
        const at = here + band;
        const above = from[at] + (from[at + across] - from[at]) * fx;
        const under = from[at + below] + (from[at + below + across] - from[at + below]) * fx;
        out.data[to + band] = above + (under - above) * fy;
      }
      out.data[to + 3] = 255;
    }
  }
  return out;
}
