import type { TargetPart } from "../view.ts";
import { finite, num, probability, range, readId, readRange } from "./reader.ts";

/** One requirement of the target as text. */
export function encodePart(part: TargetPart): string {
  switch (part.kind) {
    case "family":
      return `family:${part.family}:${num(part.coverage)}`;
    case "band":
      return `band:${part.band}`;
    case "box":
      return `box:${range(part.sugar)},${range(part.acid)},${range(part.abv)}`;
    case "ratio":
      return `ratio:${range([part.min, part.max])}`;
    case "plane":
      return `plane:${[...part.normal, part.offset].map(num).join(",")}`;
  }
}

/** The inverse of `encodePart`; null when it cannot be read. */
export function readPart(value: string): TargetPart | null {
  const colon = value.indexOf(":");
  const kind = value.slice(0, colon);
  const rest = value.slice(colon + 1);
  if (kind === "family") {
    const [family, coverageText] = rest.split(":");
    const coverage = coverageText === undefined ? 0.9 : probability(coverageText);
    return family && readId(family) && coverage !== null ? { kind, family, coverage } : null;
  }
  if (kind === "band") return readId(rest) ? { kind, band: rest } : null;
  if (kind === "box") {
    const sides = rest.split(",").map(readRange);
    if (sides.length !== 3 || sides.some((side) => side === null)) return null;
    return { kind, sugar: sides[0]!, acid: sides[1]!, abv: sides[2]! };
  }
  if (kind === "ratio") {
    const sides = readRange(rest);
    return sides && (sides[0] !== null || sides[1] !== null) ? { kind, min: sides[0], max: sides[1] } : null;
  }
  if (kind === "plane") {
    const numbers = rest.split(",").map(finite);
    if (numbers.length !== 4 || numbers.some((x) => x === null)) return null;
    const [a, b, c, offset] = numbers as number[];
    return a === 0 && b === 0 && c === 0 ? null : { kind, normal: [a!, b!, c!], offset: offset! };
  }
  return null;
}
