import { keepsOf } from "../../engine/explore/keeps.ts";
import type { KeepId } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { Switch } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { requestOf } from "./request.ts";

/** What the trade keeps to, for the drink as it is: each can be let go of; what the answer let go of says so. */
export function Habits() {
  const { store, asking } = useHouse();
  const request = requestOf(store, store.shown.value);
  if (!request || request.spec.lines.length === 0) return null;
  const answer = asking.stale.value ? null : asking.answer.value;
  const isLoosened = (id: KeepId) =>
    answer?.found.keeps.some((keep) => keep.id === id && keep.state === "loosened") ?? false;
  const turn = (id: KeepId, on: boolean) => {
    const { ask } = store.work.value;
    const others = (ask.release ?? []).filter((other) => other !== id);
    store.edit({ ask: { ...ask, release: on ? others : [...others, id] } });
  };
  const habits = keepsOf(request);
  const loosened = habits.filter(({ id }) => isLoosened(id)).length;
  const kept = habits.filter(({ state }) => state === "kept").length - loosened;
  return (
    <Fold
      summary={`Habits of the trade: ${kept} kept${loosened > 0 ? `, ${loosened} let go this time` : ""}`}
      class="quiet-fold habits"
    >
      {() => (
        <ul class="chips" aria-label="Habits of the trade that a change keeps to">
          {habits.map(({ id, text, state }) => (
            <li key={id}>
              <Switch on={state === "kept"} onTurn={(on) => turn(id, on)}>
                {text}
                {isLoosened(id) && " (not this time: nothing would do it otherwise)"}
              </Switch>
            </li>
          ))}
        </ul>
      )}
    </Fold>
  );
}
