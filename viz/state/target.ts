import { type CatalogueView, intersectionOf, USUAL_COVERAGE } from "../../engine/catalogue.ts";
import { type CompiledTarget, compileTarget } from "../../engine/targets/compile-target.ts";
import { familyName } from "../../engine/targets/words.ts";
import type { Mat3, TargetSpec } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { familyRegionId } from "./catalogue.ts";
import type { TargetPart } from "./view.ts";

/** The target as the page needs it: compiled, and in words. */
export interface ChosenTarget {
  compiled: CompiledTarget;
  spec: TargetSpec;
  /** "the Sour range". */
  label: string;
  /** "Sour range": as it stands on the map's edge. */
  name: string;
  /** How it was made: n, method, whose band it is. */
  notes: string[];
  /** Families whose classics it is made from. */
  families: readonly string[];
}

interface DescribedPart {
  spec: TargetSpec;
  label: string;
  name: string;
  note: string | null;
}

function describeFamily(
  part: Extract<TargetPart, { kind: "family" }>,
  data: PageData,
  view: CatalogueView,
): DescribedPart {
  const region = view.region(familyRegionId(part.family, part.era), part.coverage);
  const percent = part.coverage === USUAL_COVERAGE ? "" : ` (${Math.round(part.coverage * 100)} %)`;
  const family = data.families.find(({ id }) => id === part.family)?.name ?? region.name;
  const name = familyName(`${family} range${percent}`, part.era ?? null);
  return {
    spec: region.target,
    label: `the ${name}`,
    name,
    note: `${region.name}: made from the ${region.n} classics of this family. ${region.note}`,
  };
}

function describeNear(part: Extract<TargetPart, { kind: "near" }>, view: CatalogueView): DescribedPart {
  const { name, target, meaning } = view.region(`near:${part.drink}`);
  return { spec: target, label: name, name, note: meaning };
}

function describeBand(
  part: Extract<TargetPart, { kind: "band" }>,
  data: PageData,
  view: CatalogueView,
): DescribedPart {
  const region = view.region(part.band);
  const source = data.sources.value.find((candidate) => candidate.id === region.source);
  return {
    spec: region.target,
    label: region.name,
    name: region.name,
    note: `${region.name}: one author's figures, not a law (${source?.citation ?? region.source})${
      region.memory ? "; given from memory" : ""
    }.${region.note ? ` Note: ${region.note}.` : ""}`,
  };
}

function describePart(part: TargetPart, data: PageData, view: CatalogueView): DescribedPart {
  const own = (name: string, spec: TargetSpec): DescribedPart => ({ spec, label: name, name, note: null });
  switch (part.kind) {
    case "family":
      return describeFamily(part, data, view);
    case "near":
      return describeNear(part, view);
    case "band":
      return describeBand(part, data, view);
    case "box":
      return own("my box", {
        kind: "box",
        name: "my box",
        sugarGPer100Ml: part.sugar,
        acidGPer100Ml: part.acid,
        abvPercent: part.abv,
      });
    case "ratio": {
      const name = `sugar : acid ${part.min ?? "…"}–${part.max ?? "…"}`;
      return own(name, { kind: "ratio", name, min: part.min, max: part.max });
    }
    case "table": {
      const [a, b, c, d, e, f] = part.covariance;
      const covariance: Mat3 = [
        [a, b, c],
        [b, d, e],
        [c, e, f],
      ];
      return {
        ...own("the table's range", { kind: "ellipsoid", mean: part.mean, covariance, radius: part.radius }),
        note: "The table's range: learned from what the tasters said, in the tasting room.",
      };
    }
    case "plane":
      return own("my limit", {
        kind: "half-space",
        name: "my limit",
        normal: part.normal,
        offset: part.offset,
      });
  }
}

/** The parts of a target as one region; null when there are none. Throws for a part that cannot be made. */
export function chooseTarget(
  parts: readonly TargetPart[],
  data: PageData,
  view: CatalogueView,
): ChosenTarget | null {
  if (parts.length === 0) return null;
  const described = parts.map((part) => describePart(part, data, view));
  const spec = intersectionOf(described.map((entry) => entry.spec));
  return {
    compiled: compileTarget(spec),
    spec,
    label: described.map((entry) => entry.label).join(" and "),
    name: described.map((entry) => entry.name).join(" and "),
    notes: described.flatMap((entry) => entry.note ?? []),
    families: parts.flatMap((part) => ("family" in part && part.family !== null ? [part.family] : [])),
  };
}
