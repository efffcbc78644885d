import { computed, type ReadonlySignal } from "@preact/signals";
import { rungsBetween } from "../../engine/amounts/ladder.ts";
import { lineVolumeMl } from "../../engine/amounts/line.ts";
import { toVec } from "../../engine/axes.ts";
import { pourCurve } from "../../engine/explore/pour-curve.ts";
import type { Pantry, PourLadder, Proposal, Spec, UnitSettings, Vec3 } from "../../engine/types.ts";
import { shortName } from "../../engine/wording.ts";
import { measuresOf } from "../bench/measures.ts";
import type { House } from "../house.ts";
import type { PlacedRound } from "../state/derived.ts";
import type { Store } from "../state/store.ts";
import { changeWords } from "../words/amounts.ts";
import type { MapGhost, MapModel, MapPull, MapReference, MapRound, MapTrail } from "./model.ts";

/** Most rungs a pull is drawn for, each way. */
const PULL_RUNGS = 8;

/** The rounds as the map draws them. */
export function mapRounds(rounds: readonly PlacedRound[], current: string | null): MapRound[] {
  return rounds.flatMap(({ round, placement }) =>
    placement
      ? [
          {
            id: round.id,
            number: round.number,
            label: round.label,
            point: toVec(placement.point),
            covariance: placement.covariance,
            parent: round.parent,
            abandoned: round.abandoned === true,
            current: round.id === current,
          },
        ]
      : [],
  );
}

interface Tools {
  pantry: Pantry;
  ladder: PourLadder;
  settings: UnitSettings;
}

const toolsOf = (store: Store): Tools => ({
  pantry: store.pantry.value,
  ladder: store.ladder.value,
  settings: store.parts.unitSettings.value,
});

/** The points at which a move passes a rung of the ladder, and the spec once it is made. */
function rungsOfMove(
  spec: Spec,
  { ingredient, fromMl, toMl }: { ingredient: string; fromMl: number; toMl: number },
  { pantry, ladder, settings }: Tools,
): { rungs: Vec3[]; after: Spec } {
  const item = pantry.get(ingredient);
  const volumes = item
    ? rungsBetween(Math.min(fromMl, toMl), Math.max(fromMl, toMl), ladder, item, settings)
    : [];
  const ordered = fromMl <= toMl ? volumes : volumes.reverse();
  const rest = spec.lines.filter((line) => line.ingredient !== ingredient);
  const line = spec.lines.find((candidate) => candidate.ingredient === ingredient);
  return {
    rungs: pourCurve(spec, pantry, ingredient, ordered, settings),
    after: { ...spec, lines: [...rest, { ...line, ingredient, amount: toMl, unit: "ml" }] },
  };
}

/** A proposal as the map draws it: each move as a curve with the rungs it passes. */
export function ghostOf(proposal: Proposal, spec: Spec, store: Store): MapGhost {
  const measures = measuresOf(store);
  const tools = toolsOf(store);
  let stage = spec;
  const path = proposal.path.map(({ ingredient, points }) => {
    const move = proposal.moves.find((candidate) => candidate.ingredient === ingredient);
    const pours = move && ["pour", "add", "drop"].includes(move.kind);
    let rungs: Vec3[] = [];
    if (pours) {
      try {
        const made = rungsOfMove(stage, move, tools);
        rungs = made.rungs;
        stage = made.after;
      } catch {
        // A curve without its ticks is still true.
      }
    }
    const label = move ? changeWords(move, tools.pantry, measures) : ingredient;
    return { ingredient, label, points, rungs };
  });
  return { id: proposal.id, name: proposal.name, point: toVec(proposal.after), path };
}

/**
 * Where pouring more and less of one ingredient would carry the drink; null for one that cannot be varied, and while
 * a hand is changing the drink.
 */
function pullOf(store: Store, id: string | null): MapPull | null {
  const spec = store.spec.value;
  if (id === null || store.rested.value !== spec) return null;
  const tools = toolsOf(store);
  const ingredient = tools.pantry.get(id);
  const line = spec.lines.find((candidate) => candidate.ingredient === id);
  if (!ingredient || !line) return null;
  const now = lineVolumeMl(line, ingredient, tools.settings) ?? 0;
  try {
    const rungs = rungsBetween(0, 2 * now + 30, tools.ladder, ingredient, tools.settings);
    const below = rungs
      .filter((ml) => ml < now - 1e-6)
      .reverse()
      .slice(0, PULL_RUNGS);
    const above = rungs.filter((ml) => ml > now + 1e-6).slice(0, PULL_RUNGS);
    const curve = (volumes: number[]) =>
      pourCurve(spec, tools.pantry, ingredient.id, volumes, tools.settings);
    const name = shortName(ingredient.name).toLowerCase();
    return { name, less: curve(below), more: curve(above) };
  } catch {
    return null;
  }
}

/** The classics as the map draws them; the same list while they stay where they are. */
function referencesOf(store: Store): ReadonlySignal<MapReference[]> {
  return computed(() =>
    store.references.value.map(({ drink, point }) => ({
      id: drink.id,
      name: drink.name,
      families: drink.families,
      point,
    })),
  );
}

/** The map's model, part by part, so that a part keeps its identity until it changes. */
export function mapModel(
  { store, asking, wishing }: Pick<House, "store" | "asking" | "wishing">,
  others: ReadonlySignal<readonly MapTrail[]>,
): ReadonlySignal<MapModel> {
  const rounds = computed(() => mapRounds(store.rounds.value, store.parts.round.value));
  const references = referencesOf(store);
  const families = computed(() => store.target.value?.families ?? []);
  const ghosts = computed(() => {
    const spec = store.shown.value;
    return asking.drawn.value.map((proposal) => ghostOf(proposal, spec, store));
  });
  const noGhosts: MapGhost[] = [];
  const familyNames = store.data.families.map(({ id, name }) => ({ id, name }));
  const pull = computed(() => pullOf(store, store.pulling.value));
  const live = computed(() => {
    const placement = store.placement.value;
    return (
      placement && {
        point: toVec(placement.point),
        covariance: placement.covariance,
        edited: store.edited.value,
      }
    );
  });
  return computed(
    (): MapModel => ({
      rounds: rounds.value,
      others: others.value,
      references: references.value,
      families: families.value,
      familyNames,
      target: store.target.value?.compiled ?? null,
      targetName: store.target.value?.name ?? "",
      ghosts: ghosts.value.length > 0 ? ghosts.value : noGhosts,
      shownGhost: asking.shown.value?.id ?? null,
      live: live.value,
      beside: store.reference.value,
      peeked: store.peeked.value,
      pull: pull.value,
      wish: wishing.onMap.value,
    }),
  );
}
