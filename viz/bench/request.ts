import { roomInGlassMl } from "../../engine/place/wash-line.ts";
import type { Glass, Placement, Spec } from "../../engine/types.ts";
import type { Request } from "../solver/client.ts";
import type { Store } from "../state/store.ts";
import type { Work } from "../state/view.ts";

const TIME_BUDGET_MS = 8000;
const PROPOSALS_WANTED = 4;

/**
 * The most a proposal may fill the chosen glass, mL: its wash line, or what is in it already where that is
 * more, but never past the brim. Null without a glass, or when the user lets it be overfilled.
 */
export function glassLimitMl(
  glasses: readonly Glass[],
  { spec, ask }: Pick<Work, "spec" | "ask">,
  finishedMl: number | null,
): number | null {
  const glass = glasses.find((candidate) => candidate.id === spec.glass);
  if (!glass || ask.anyGlass) return null;
  // The ice it is served on takes room too.
  const room = roomInGlassMl(spec, glass);
  return Math.min(room + glass.brimMl - glass.washLineMl, Math.max(room, finishedMl ?? 0));
}

/** The request the bench's settings describe, for its spec or one shown of it; null while there is no target. */
export function requestOf(store: Store, spec: Spec = store.spec.value): Request | null {
  const target = store.target.value;
  if (!target) return null;
  const pantry = store.pantry.value;
  const ask = store.parts.ask.value;
  const lineIds = new Set(spec.lines.map((line) => line.ingredient));
  const rules = Object.entries(store.parts.rules.value).filter(
    ([id]) => lineIds.has(id) || ask.additions.includes(id),
  );
  const first = store.bench.value?.rounds.find((round) => round.parent === null)?.spec;
  const glassMl = glassLimitMl(
    store.data.glasses,
    { spec, ask },
    store.placement.value?.finishedVolumeMl ?? null,
  );
  const limits = [ask.maxFinishedMl, glassMl].filter((ml) => ml !== null);
  return {
    spec,
    pantry,
    target: target.spec,
    ladder: store.ladder.value,
    additions: ask.additions.filter((id) => !lineIds.has(id) && pantry.has(id)),
    locks: rules.filter(([, rule]) => rule.locked).map(([id]) => id),
    bounds: rules.flatMap(([ingredient, { minMl, maxMl }]) =>
      minMl === undefined && maxMl === undefined
        ? []
        : [{ ingredient, ...(minMl !== undefined && { minMl }), ...(maxMl !== undefined && { maxMl }) }],
    ),
    character: ask.character.filter((rule) => lineIds.has(rule.ingredient)),
    measure: ask.measure,
    unitSettings: store.placing.value.unitSettings,
    prices: store.placing.value.prices,
    timeBudgetMs: TIME_BUDGET_MS,
    count: PROPOSALS_WANTED,
    ...(ask.maxTouched !== null && { maxTouched: ask.maxTouched }),
    ...(limits.length > 0 && { maxFinishedMl: Math.min(...limits) }),
    ...(ask.minProbability !== null && { minProbability: ask.minProbability }),
    ...(ask.release && { release: ask.release }),
    ...(ask.driftBudget !== null && { driftBudget: ask.driftBudget }),
    ...(first && first.lines.length > 0 && { firstRound: first }),
  };
}

/** Whether the drink, with the ice it is served on, runs over the brim of its glass. */
export function overflows({ data, spec }: Store, placement: Placement): boolean {
  const glass = data.glasses.find((candidate) => candidate.id === spec.value.glass);
  if (!glass) return false;
  return placement.finishedVolumeMl > roomInGlassMl(spec.value, glass) + glass.brimMl - glass.washLineMl;
}
