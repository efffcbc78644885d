import { USUAL_COVERAGE } from "../../../engine/catalogue.ts";
import { targetPartShape } from "../../../engine/shapes/view.ts";
import type { TargetPart } from "../view.ts";
import { finite, fits, readRange } from "./reader.ts";

/** The inverse of `encodePart`; null when it cannot be read. */
export function readPart(value: string): TargetPart | null {
  const colon = value.indexOf(":");
  const kind = value.slice(0, colon);
  const rest = value.slice(colon + 1);
  return fits(targetPartShape, { kind, ...fieldsOf(kind, rest) });
}

function fieldsOf(kind: string, rest: string): object {
  switch (kind) {
    case "family": {
      const [family, coverage, era] = rest.split(":");
      return {
        family,
        coverage: coverage === undefined ? USUAL_COVERAGE : finite(coverage),
        ...(era !== undefined && { era }),
      };
    }
    case "near":
      return { drink: rest };
    case "band":
      return { band: rest };
    case "box": {
      const [sugar, acid, abv, ...more] = rest.split(",").map(readRange);
      return { sugar, acid, abv, ...(more.length > 0 && { more }) };
    }
    case "ratio": {
      const [min, max] = readRange(rest) ?? [];
      return { min, max };
    }
    case "plane": {
      const numbers = rest.split(",").map(finite);
      return { normal: numbers.slice(0, -1), offset: numbers.at(-1) };
    }
    case "table": {
      const [list = "", family = null] = rest.split(":");
      const numbers = list.split(",").map(finite);
      if (numbers.length !== 10) return {};
      return { mean: numbers.slice(0, 3), covariance: numbers.slice(3, 9), radius: numbers[9], family };
    }
    default:
      return {};
  }
}
