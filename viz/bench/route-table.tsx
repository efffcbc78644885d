import { toVec } from "../../engine/axes.ts";
import type { Route } from "../../engine/explore/routes.ts";
import type { Proposal } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { AxisHead } from "../parts/axis-head.tsx";
import { changeWords } from "../words/amounts.ts";
import { AXES3, axisNumber } from "../words/axis.ts";
import { measuresOf } from "./measures.ts";
import { takeSpec } from "./take.ts";

/** Ways by different kinds of change, a row each, so that they can be compared; shown on the map when pointed at. */
export function RouteTable({ routes }: { routes: readonly (Route & { proposal: Proposal })[] }) {
  const { store, asking } = useHouse();
  const measures = measuresOf(store);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label="By another kind of change">
      <table class="route-table">
        <AxisHead what="What you do" act="Take it" />
        <tbody>
          {routes.map(({ name, proposal }) => {
            const after = toVec(proposal.after);
            const show = () => {
              store.focused.value = proposal.id;
            };
            return (
              <tr
                key={proposal.id}
                data-shown={store.focused.value === proposal.id}
                onPointerEnter={show}
                onFocusIn={show}
              >
                <th scope="row">
                  {name}
                  <span class="what">
                    {proposal.moves.map((move) => changeWords(move, store.pantry.value, measures)).join("; ")}
                  </span>
                </th>
                {AXES3.map((axis) => (
                  <td key={axis}>{axisNumber(axis, after[axis])}</td>
                ))}
                <td>
                  <button
                    type="button"
                    class="take"
                    disabled={asking.stale.value}
                    aria-label={`Take it: “${name}” as a new round`}
                    onClick={() => takeSpec(store, proposal.spec, proposal.name)}
                  >
                    Take it
                  </button>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
