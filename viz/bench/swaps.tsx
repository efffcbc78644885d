import { useEffect, useState } from "preact/hooks";
import { swapIngredient } from "../../engine/explore/changed-spec.ts";
import type { SwapEffect } from "../../engine/explore/routes.ts";
import type { Ingredient } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { AxisHead } from "../parts/axis-head.tsx";
import { AXES3, AXIS_TITLE, axisChange } from "../words/axis.ts";
import { requestOf } from "./request.ts";
import { ASKING } from "./words.ts";

/** An open list is worked out again once the hand has rested this long. */
const REST_MS = 250;
const BLIND =
  "The same amount, another bottle. A swap of equal strength and sweetness moves nothing here; aroma, bitterness and texture are not seen, and may change everything in the mouth.";

/** What every swap of one line within its role would move: its own kind first, each with a button that tries it. */
export function Swaps({ ingredient }: { ingredient: Ingredient }) {
  const { store, lookup } = useHouse();
  const [effects, setEffects] = useState<SwapEffect[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [query, setQuery] = useState("");
  const work = store.work.value;
  const { spec, target } = work;
  const { unitSettings } = store.placing.value;

  useEffect(() => {
    let gone = false;
    const timer = setTimeout(
      async () => {
        const request = requestOf(store);
        if (!request) return setProblem(ASKING.noTarget);
        const reply = await lookup.ask("swaps", { ingredient: ingredient.id, request });
        if (gone || reply === null) return;
        if ("problem" in reply) return setProblem(reply.problem);
        setProblem(null);
        setEffects(reply.result);
      },
      effects === null ? 0 : REST_MS,
    );
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [ingredient.id, spec, unitSettings, target]);

  const tryIt = (effect: SwapEffect) => {
    const swapped = swapIngredient(
      { spec, pantry: store.pantry.value, ladder: store.ladder.value, unitSettings },
      ingredient.id,
      effect.ingredient,
    );
    store.edit({ spec: swapped });
    store.said.value = `${effect.name} in place of ${ingredient.name}, the same amount. Undo brings it back.`;
  };
  if (problem) return <p class="line-error">{problem}</p>;
  if (!effects) return <p class="hint">{ASKING.working}</p>;
  const wanted = query.trim().toLowerCase();
  const fits = effects.filter((effect) => effect.name.toLowerCase().includes(wanted));
  const kindOf = (id: string) => store.pantry.value.get(id)?.kind;
  const kin = fits.filter(({ ingredient: id }) => ingredient.kind && kindOf(id) === ingredient.kind);
  const others = fits.filter((effect) => !kin.includes(effect));
  const rows = (list: readonly SwapEffect[]) =>
    list.map((effect) => {
      const moves = AXES3.map((axis) => axisChange(axis, effect.delta[axis]));
      const still = moves.every((move) => move === "0");
      return (
        <tr key={effect.ingredient}>
          <th scope="row">
            {effect.name}
            {effect.signedDistance <= 0 && <span class="in-range">in range</span>}
          </th>
          {still ? (
            <td colSpan={3} class="still">
              moves nothing here
            </td>
          ) : (
            moves.map((move, axis) => <td key={AXIS_TITLE[axis]}>{move}</td>)
          )}
          <td>
            <button
              type="button"
              class="quiet"
              aria-label={`Try it: ${effect.name}`}
              onClick={() => tryIt(effect)}
            >
              Try it
            </button>
          </td>
        </tr>
      );
    });
  return (
    <div class="swaps">
      <p class="hint">{BLIND}</p>
      <input
        type="search"
        aria-label={`Find a swap for ${ingredient.name}`}
        placeholder="Find one"
        value={query}
        onInput={(event) => setQuery(event.currentTarget.value)}
      />
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard. */}
      <section class="scroll" tabIndex={0} aria-label={`What each swap for ${ingredient.name} moves`}>
        <table>
          <AxisHead what="In its place" act="Try it" />
          {kin.length > 0 && <tbody class="kin">{rows(kin)}</tbody>}
          <tbody>{rows(others)}</tbody>
        </table>
        {fits.length === 0 && <p class="hint">The pantry holds nothing else of its kind by that name.</p>}
      </section>
    </div>
  );
}
