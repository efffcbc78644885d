import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type { Bench, Ingredient, Spec } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { familyPart, likeliestTarget } from "./catalogue.ts";
import { pantryFor } from "./derived.ts";
import { newId } from "./ids.ts";
import { lentTo } from "./keys.ts";
import type { DecodedView } from "./link-reader.ts";
import type { Settings } from "./storage.ts";
import { DEFAULT_ASK, type TargetPart, type Work } from "./view.ts";

/** The target a bench names; else the family its drink is likeliest of; else the plainest. */
export function targetFor(
  name: string | undefined,
  data: PageData,
  spec: Spec | undefined,
  own: readonly Ingredient[] = [],
): TargetPart[] {
  const id = (name ?? "").replace(/^(family|band):/, "");
  const band = data.bands.find((candidate) => candidate.id === id);
  if (band) return [{ kind: "band", band: band.id }];
  const family = data.families.find((candidate) => candidate.id === id);
  if (family) return [familyPart(family.id)];
  const likeliest =
    spec && likeliestTarget(data, spec, new Map([...data.pantry, ...own].map((i) => [i.id, i])));
  return likeliest ?? data.families.slice(0, 1).map((plainest) => familyPart(plainest.id));
}

/** A spec with nothing in it. */
export const blankSpec = (name = "New drink"): Spec => ({ name, method: "shaken", lines: [] });

/** A new bench; with a spec it has a first round, without one it is blank. */
export function benchAround(spec: Spec | null, name: string): Bench {
  const rounds = spec ? [{ id: newId(), number: 1, parent: null, label: "First pour", spec }] : [];
  return { id: newId(), name, rounds, current: rounds[0]?.id ?? "", target: "" };
}

/** What a visit starts from. */
export interface Opening {
  /** The view of the address, or the draft kept of the bench. */
  decoded: DecodedView;
  /** The fragment came with the address: the sender's figures count, and the spec may need a bench. */
  linked: boolean;
  /** The bench the address names, or the last one in work. */
  bench: string | null;
  benches: Bench[];
  settings: Settings;
}

/** The work a visit starts with: the link's view over what this browser keeps, over the demo; and what was wrong. */
export function openingWork(data: PageData, opening: Opening): { work: Work; problems: string[] } {
  const { linked } = opening;
  const { decoded, settings } = opening.decoded.settle?.(data.pantry, opening.settings) ?? opening;
  let benches = opening.benches.length > 0 ? opening.benches : [data.demo];
  const { view, bench: carried } = decoded;
  const problems = [...decoded.problems];
  const named = opening.bench ?? view.bench;
  const own = benches.find((bench) => bench.id === named);
  if (opening.bench && !own && !view.spec && !carried) {
    problems.push("The bench of this address is not in this browser; here is another one of yours.");
  }
  // A bench that came with the link opens beside ours, unless it is the one we already have.
  const brought =
    carried && own?.rounds.length !== carried.rounds.length ? { ...carried, id: newId() } : null;
  if (brought) benches = [...benches, brought];
  const wanted = brought ?? own;
  let bench = wanted ?? benches[0]!;
  let spec = view.spec;
  if (spec) {
    const known = pantryFor(data, { own: settings.own ?? [], measured: {} }, lentTo(bench.id));
    const unknown = spec.lines.filter((line) => !known.has(line.ingredient));
    if (unknown.length > 0) {
      problems.push(
        `The link names ${unknown.map((line) => `“${line.ingredient}”`).join(", ")}, not in this pantry; left out. “Copy a link to all of it” makes one that brings them.`,
      );
      spec = { ...spec, lines: spec.lines.filter((line) => known.has(line.ingredient)) };
    }
    if (!wanted && spec.lines.length > 0) {
      // A link from another browser: its spec gets a bench of its own, and ours stay as they were.
      bench = benchAround(spec, spec.name);
      benches = [...benches, bench];
    }
  }
  const round =
    (bench === brought ? undefined : bench.rounds.find((candidate) => candidate.id === view.round)) ??
    bench.rounds.find((candidate) => candidate.id === bench.current) ??
    bench.rounds.at(-1);
  const sendersOwn = linked && view.spec !== undefined;
  const units = view.units ?? settings.units ?? "oz";
  return {
    work: {
      spec: spec ?? round?.spec ?? blankSpec(),
      rules: view.rules ?? {},
      target: view.target ?? targetFor(bench.target, data, spec ?? round?.spec, settings.own),
      units,
      ladder: view.ladder ??
        (view.units ? undefined : settings.ladder) ?? { id: units === "ml" ? "metric-jigger" : "us-jigger" },
      bench: bench.id,
      round: round?.id ?? null,
      ask: view.ask ?? DEFAULT_ASK,
      benches,
      prices: settings.prices ?? {},
      own: settings.own ?? [],
      preps: settings.preps ?? [],
      // A link that carries a spec carries its sender's figures and measures too, the usual ones included.
      measured: view.measured ?? (sendersOwn ? {} : (settings.measured ?? {})),
      unitSettings: view.unitSettings ?? ((!sendersOwn && settings.unitSettings) || DEFAULT_UNIT_SETTINGS),
    },
    problems,
  };
}
