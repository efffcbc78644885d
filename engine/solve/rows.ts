/**
 * A growing set of linear rows a·Δ ≤ b over the changes Δ (mL) of `width` ingredients, stored flat.
 * Each row is scaled so that its largest coefficient is 1: left sides and `b` are then in "mL of the
 * ingredient that matters most", of order one for the simplex.
 */
export class RowSet {
  readonly width: number;
  count = 0;
  a: Float64Array;
  b: Float64Array;
  ids: string[] = [];

  constructor(width: number, capacity = 32) {
    this.width = width;
    this.a = new Float64Array(width * capacity);
    this.b = new Float64Array(capacity);
  }

  /** Forget every row; the memory stays. */
  clear(): void {
    this.count = 0;
    this.ids.length = 0;
  }

  /**
   * Append the row coefficient·Δ ≤ b. A row without coefficients becomes 0·Δ ≤ ±1: it holds always, or
   * refutes everything by itself.
   */
  add(id: string, coefficient: ArrayLike<number>, b: number): void {
    let largest = 0;
    for (let i = 0; i < this.width; i += 1) largest = Math.max(largest, Math.abs(coefficient[i]!));
    if (largest < 1e-12) {
      this.put(id, coefficient, 0, b >= 0 ? 1 : -1);
      return;
    }
    this.put(id, coefficient, 1 / largest, b / largest);
  }

  private put(id: string, coefficient: ArrayLike<number>, scale: number, b: number): void {
    if (this.count === this.b.length) this.grow();
    const at = this.count * this.width;
    for (let i = 0; i < this.width; i += 1) this.a[at + i] = coefficient[i]! * scale;
    this.b[this.count] = b;
    this.ids.push(id);
    this.count += 1;
  }

  private grow(): void {
    const a = new Float64Array(this.a.length * 2);
    a.set(this.a);
    const b = new Float64Array(this.b.length * 2);
    b.set(this.b);
    this.a = a;
    this.b = b;
  }
}
