import { type Along, type Arrived, arriving, pouredAs } from "../../engine/bench/along.ts";
import { pantryWithFigures } from "../../engine/mix/own-figures.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";
import type { DecodedView } from "./link-reader.ts";
import type { Settings } from "./storage.ts";
import type { View } from "./view.ts";

/** A bench whose rounds pour what came by the ids it has here. */
export const benchAs = (bench: Bench, came: Arrived): Bench => ({
  ...bench,
  rounds: bench.rounds.map((round) => ({ ...round, spec: pouredAs(round.spec, came) })),
});

function viewAs(view: Partial<View>, came: Arrived): Partial<View> {
  const { idOf } = came;
  const { spec, rules, ask } = view;
  return {
    ...view,
    ...(spec && { spec: pouredAs(spec, came) }),
    ...(rules && { rules: Object.fromEntries(Object.entries(rules).map(([id, rule]) => [idOf(id), rule])) }),
    ...(ask && {
      ask: {
        ...ask,
        additions: ask.additions.map(idOf),
        character: ask.character.map(({ ingredient, atLeastAsMuchAs, ...rule }) => ({
          ...rule,
          ingredient: idOf(ingredient),
          ...(atLeastAsMuchAs !== undefined && { atLeastAsMuchAs: idOf(atLeastAsMuchAs) }),
        })),
      },
    }),
  };
}

/** What a link brought, in the ids of the house it came to; and that house's settings with what came along. */
export interface Settled {
  decoded: DecodedView;
  settings: Settings;
}

/** Settle what came along with a link in a house. Its own figures count as they are kept, not as the link shows them. */
export function settled({
  decoded,
  along,
  pantry,
  settings,
}: {
  decoded: DecodedView;
  along: Along;
  pantry: readonly Ingredient[];
  settings: Settings;
}): Settled {
  const { own = [], preps = [], measured = {} } = settings;
  const came = arriving(along, pantryWithFigures([...pantry, ...own], measured));
  return {
    decoded: {
      ...decoded,
      view: viewAs(decoded.view, came),
      bench: decoded.bench && benchAs(decoded.bench, came),
    },
    settings: { ...settings, own: [...own, ...came.ingredients], preps: [...preps, ...came.preps] },
  };
}
