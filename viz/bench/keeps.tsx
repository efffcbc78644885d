import { useStore } from "../house.ts";
import { Switch } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { Icon } from "../parts/icon.tsx";
import { later } from "../parts/later.tsx";
import type { AskOptions } from "../state/view.ts";
import { volumeWords } from "../words/amounts.ts";
import { glassLimitMl } from "./request.ts";

const Rules = later(async () => (await import("./keeps-rules.tsx")).Rules);

const Habits = later(async () => (await import("./habits.tsx")).Habits);

/** What a proposal keeps to: each rule in sight as a switch or a chip, so that it can be let go. */
export function Keeps() {
  const store = useStore();
  const { parts } = store;
  const [ask, rules, units] = [parts.ask.value, parts.rules.value, parts.units.value];
  const spec = store.shown.value;
  const pantry = store.pantry.value;
  const set = (patch: Partial<AskOptions>) => store.edit({ ask: { ...store.work.value.ask, ...patch } });
  const nameOf = (id: string) => pantry.get(id)?.name ?? id;
  const locked = spec.lines.filter((line) => rules[line.ingredient]?.locked);
  const glass = store.data.glasses.find((candidate) => candidate.id === spec.glass);
  const limit = glassLimitMl(
    store.data.glasses,
    { spec, ask: { ...ask, anyGlass: false } },
    store.placement.value?.finishedVolumeMl ?? null,
  );
  return (
    <div class="keeps">
      <p class="hint" id="ask-summary">
        Into {store.target.value?.label ?? "no range"}, with pours of {store.ladder.value.name}.
      </p>
      <ul class="chips" aria-label="What a change keeps to">
        {glass && limit !== null && (
          <li>
            <Switch on={!ask.anyGlass} onTurn={(on) => set({ anyGlass: !on })}>
              Stays within the {glass.name.toLowerCase()} ({volumeWords(limit, units)})
            </Switch>
          </li>
        )}
        {locked.map((line) => (
          <li key={line.ingredient}>
            <Switch
              on
              onTurn={() =>
                store.edit({
                  rules: { ...rules, [line.ingredient]: { ...rules[line.ingredient], locked: false } },
                })
              }
            >
              {nameOf(line.ingredient)} is locked
            </Switch>
          </li>
        ))}
        {ask.additions.map((id) => (
          <li key={id}>
            <button
              type="button"
              class="chip"
              aria-label={`${nameOf(id)}: do not let it in`}
              onClick={() => set({ additions: ask.additions.filter((other) => other !== id) })}
            >
              May let in {nameOf(id)} <Icon name="cross" />
            </button>
          </li>
        ))}
      </ul>
      <Habits />
      <Fold summary="What may change, and what must stay" class="quiet-fold ask-more">
        {() => <Rules />}
      </Fold>
    </div>
  );
}
