import { RowSet } from "../../../engine/solve/rows.ts";
import type { SearchProblem } from "../../../engine/solve/search.ts";

/** A small seeded generator (mulberry32), so that every run sees the same instances. */
export function seeded(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (s + 0x6d2b79f5) >>> 0;
    let t = s;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A drink whose dilution is fixed and whose volumes add up, so that a box target is linear in the pours. */
export interface LinearInstance {
  /** Per mL of each ingredient: sugar g, acid g, ethanol mL. */
  content: [number, number, number][];
  fromMl: number[];
  stepMl: number;
  maxSteps: number[];
  /** Finished mL per mL poured. */
  swell: number;
  /** Per axis, per 100 mL finished: floor and ceiling. */
  box: [number, number][];
  maxTouched: number;
}

/** Invented but plausible compositions: spirits, liqueurs, syrups, sour and sweet juices, water. */
const KINDS: ((r: () => number) => [number, number, number])[] = [
  (r) => [0, 0, 0.38 + 0.15 * r()],
  (r) => [0.15 + 0.2 * r(), 0, 0.15 + 0.25 * r()],
  (r) => [0.5 + 0.5 * r(), 0, 0],
  (r) => [0.01 + 0.02 * r(), 0.045 + 0.02 * r(), 0],
  (r) => [0.08 + 0.06 * r(), 0.005 + 0.01 * r(), 0],
  () => [0, 0, 0],
];

/** A random instance with `n` ingredients, the last third of them additions (0 mL now). */
export function linearInstance(n: number, random: () => number, stepMl = 2.5): LinearInstance {
  const content: LinearInstance["content"] = [];
  const fromMl: number[] = [];
  const maxSteps: number[] = [];
  for (let i = 0; i < n; i += 1) {
    const kind = i === 0 ? 0 : i === 1 ? 3 : i === 2 ? 2 : Math.floor(random() * KINDS.length);
    content.push(KINDS[kind]!(random));
    const base =
      i >= Math.ceil((2 * n) / 3)
        ? 0
        : stepMl * Math.round(((kind === 0 ? 45 : 20) * (0.5 + random())) / stepMl);
    fromMl.push(base);
    maxSteps.push(Math.floor((2 * base + 60) / stepMl));
  }
  const swell = 1.3 + 0.3 * random();
  const width = 0.3 + 1.2 * random();
  const centre = [5 + 6 * random(), 0.5 + 0.6 * random(), 12 + 12 * random()] as const;
  const half = [1 * width, 0.1 * width, 1.5 * width] as const;
  const box = centre.map((c, k) => [c - half[k]!, c + half[k]!] as [number, number]);
  return { content, fromMl, stepMl, maxSteps, swell, box, maxTouched: n };
}

/** The instance's rows: coefficient · x ≤ 0 for each side of the box, by plain arithmetic. */
export function rowsOf(instance: LinearInstance): number[][] {
  const rows: number[][] = [];
  instance.box.forEach(([floor, ceiling], axis) => {
    rows.push(instance.content.map((c) => floor * instance.swell - 100 * c[axis]!));
    rows.push(instance.content.map((c) => 100 * c[axis]! - ceiling * instance.swell));
  });
  return rows;
}

/** True when the pours x satisfy every row and something is poured. */
export function inside(rows: readonly number[][], x: ArrayLike<number>): boolean {
  let poured = 0;
  for (let i = 0; i < x.length; i += 1) poured += x[i]!;
  if (!(poured > 0)) return false;
  return rows.every((row) => {
    let value = 0;
    for (let i = 0; i < row.length; i += 1) value += row[i]! * x[i]!;
    return value <= 1e-9 * poured;
  });
}

/** The instance as the search sees it. */
export function toSearchProblem(instance: LinearInstance): SearchProblem {
  const n = instance.fromMl.length;
  const rows = rowsOf(instance);
  const set = new RowSet(n);
  rows.forEach((row, r) => {
    let b = 1e-9;
    for (let i = 0; i < n; i += 1) b -= row[i]! * instance.fromMl[i]!;
    set.add(`row ${r}`, Float64Array.from(row), b);
  });
  const choices = instance.fromMl.map((from, i) =>
    Float64Array.from({ length: instance.maxSteps[i]! + 1 }, (_, k) => k * instance.stepMl - from),
  );
  const x = new Float64Array(n);
  return {
    size: n,
    choices,
    weight: new Float64Array(n).fill(1),
    maxTouched: instance.maxTouched,
    cells: [{ rows: set }],
    accept(delta) {
      for (let i = 0; i < n; i += 1) x[i] = instance.fromMl[i]! + delta[i]!;
      return inside(rows, x);
    },
  };
}
