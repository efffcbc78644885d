/** A point of the table with the function's slope there. */
interface Knot {
  x: number;
  y: number;
  slope: number;
}

/** Between two neighbouring knots. */
interface Piece {
  from: Knot;
  to: Knot;
  width: number;
  chord: number;
}

function pieceBetween(from: Knot, to: Knot): Piece {
  const width = to.x - from.x;
  if (!(width > 0)) throw new RangeError("tabulated needs strictly increasing x");
  return { from, to, width, chord: (to.y - from.y) / width };
}

/** Cubic Hermite interpolation. */
function within({ from, to, width }: Piece, x: number): number {
  const u = (x - from.x) / width;
  const v = 1 - u;
  return (
    v * v * ((1 + 2 * u) * from.y + u * width * from.slope) +
    u * u * ((1 + 2 * v) * to.y - v * width * to.slope)
  );
}

const beyond = ({ x, y, slope }: Knot, at: number) => y + slope * (at - x);

/**
 * A smooth function through a table: cubic Hermite pieces whose slope at each knot is that
 * of the parabola through it and its neighbours. Reproduces the table exactly, is C¹ (so that
 * finite differences and root finders behave), and continues in a straight line beyond the ends.
 *
 * @param xs strictly increasing, at least three
 */
export function tabulated(xs: readonly number[], ys: readonly number[]): (x: number) => number {
  const pieces: Piece[] = [];
  let before: Knot | null = null;
  for (const [i, x] of xs.entries()) {
    const y = ys[i];
    if (y === undefined) throw new RangeError("tabulated needs as many y as x");
    const knot: Knot = { x, y, slope: 0 };
    if (before) pieces.push(pieceBetween(before, knot));
    before = knot;
  }
  const [first, last] = [pieces[0], pieces.at(-1)];
  if (!first || !last || first === last) throw new RangeError("tabulated needs three or more (x, y) pairs");
  let left = first;
  for (const right of pieces.slice(1)) {
    left.to.slope = (left.chord * right.width + right.chord * left.width) / (left.width + right.width);
    left = right;
  }
  first.from.slope = 2 * first.chord - first.to.slope;
  last.to.slope = 2 * last.chord - last.from.slope;

  return (x) => {
    if (x <= first.from.x) return beyond(first.from, x);
    for (const piece of pieces) if (x < piece.to.x) return within(piece, x);
    return beyond(last.to, x);
  };
}
