/**
 * Vectors and tables of doubles where they stand, for inner loops. Typed arrays only: a loop that sees plain arrays
 * as well is compiled for both and runs slower for each, which is why these are not the ones of `linalg.ts`.
 */

/** a·b of two vectors of one length. */
export function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i]! * b[i]!;
  return sum;
}

/** Add s·v to a vector. */
export function addTimes(sum: Float64Array, s: number, v: Float64Array): void {
  for (let i = 0; i < sum.length; i += 1) sum[i]! += s * v[i]!;
}

/** Make a vector s·v. */
export function setTimes(into: Float64Array, s: number, v: Float64Array): void {
  for (let i = 0; i < into.length; i += 1) into[i] = s * v[i]!;
}

/** Make a vector a + s·v. */
export function setSum(into: Float64Array, a: Float64Array, s: number, v: Float64Array): void {
  for (let i = 0; i < into.length; i += 1) into[i] = a[i]! + s * v[i]!;
}

/** The largest absolute value. */
export function largestOf(v: Float64Array): number {
  let largest = 0;
  for (let i = 0; i < v.length; i += 1) {
    const size = Math.abs(v[i]!);
    if (size > largest) largest = size;
  }
  return largest;
}

/** A table of numbers, row after row, with what an elimination does to its rows. */
export class Table {
  private readonly cells: Float64Array;
  private width = 0;

  constructor(size: number) {
    this.cells = new Float64Array(size);
  }

  /** Use rows of this width from now on; what they hold is left from before. */
  reshape(width: number): this {
    this.width = width;
    return this;
  }

  get(row: number, column: number): number {
    return this.cells[row * this.width + column]!;
  }

  set(row: number, column: number, value: number): void {
    this.cells[row * this.width + column] = value;
  }

  /** Multiply a row by s. */
  scaleRow(row: number, s: number): void {
    const { cells, width } = this;
    const end = (row + 1) * width;
    for (let at = row * width; at < end; at += 1) cells[at]! *= s;
  }

  /** Add s times another row to a row. */
  addRow(row: number, s: number, other: number): void {
    const { cells, width } = this;
    const at = row * width;
    const from = other * width;
    for (let j = 0; j < width; j += 1) cells[at + j]! += s * cells[from + j]!;
  }
}
