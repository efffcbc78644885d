import "./thrift.css";
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { reasonOf } from "../../engine/errors.ts";
import { costOf } from "../../engine/thrift/cost.ts";
import { needsOf } from "../../engine/thrift/needs.ts";
import { smallPour } from "../../engine/thrift/small-pour.ts";
import { type SplitBuild as Split, splitBuild } from "../../engine/thrift/split-build.ts";
import { costWords, needWords, smallPourWords, splitWords } from "../../engine/thrift/words.ts";
import type { SpecLine } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { NumberField, Segments } from "../parts/field.tsx";
import type { Store } from "../state/store.ts";
import { lineWords, pourWords } from "../words/amounts.ts";
import { measuresOf } from "./measures.ts";

/** What rounds cost, what the next ones need, and how to pour less: smaller glasses, one base for several. */
export function Thrift() {
  return (
    <div class="thrift">
      <Cost />
      <Needs />
      <SmallPour />
      <SplitBuild />
    </div>
  );
}

function Cost() {
  const store = useStore();
  const now = store.placement.value;
  const mixed = store.rounds.value.flatMap(({ placement }) => placement ?? []);
  if (!now) return <p>What cannot be placed cannot be costed.</p>;
  const cost = costOf([now]);
  return (
    <section aria-labelledby="thrift-cost">
      <h3 id="thrift-cost">Cost</h3>
      <p>
        This glass: {costWords(cost)}
        {cost.known > 0 &&
          mixed.length > 0 &&
          ` The ${mixed.length} kept so far, one glass each: ${costWords(costOf(mixed))}`}
      </p>
      <p class="hint">From your prices per litre, which are under “Limits, price” of each line.</p>
    </section>
  );
}

function Needs() {
  const store = useStore();
  const [rounds, setRounds] = useState(3);
  const now = store.placement.value;
  if (!now) return null;
  return (
    <section aria-labelledby="thrift-needs">
      <h3 id="thrift-needs">To have at hand</h3>
      <NumberField
        label="Rounds to come, like this one"
        least={1}
        value={rounds}
        onCommit={(x) => setRounds(Math.round(x ?? 3))}
      />
      <Tried
        make={() => needsOf(now, rounds, store.pantry.value)}
        show={(needs) => (
          <ul class="plain">
            {needs.map((need) => (
              <li key={need.ingredient}>{needWords(need)}</li>
            ))}
          </ul>
        )}
      />
    </section>
  );
}

const SHARES = [
  { value: "half", label: "Half", share: 1 / 2 },
  { value: "third", label: "A third", share: 1 / 3 },
  { value: "quarter", label: "A quarter", share: 1 / 4 },
] as const;

function SmallPour() {
  const store = useStore();
  const [size, setSize] = useState<(typeof SHARES)[number]["value"]>("half");
  const { share, label } = SHARES.find(({ value }) => value === size)!;
  return (
    <section aria-labelledby="thrift-small">
      <h3 id="thrift-small">A smaller glass</h3>
      <Segments label="How much of it" value={size} options={SHARES} onChoose={setSize} />
      <Tried
        make={() =>
          smallPour(store.spec.value, share, store.ladder.value, store.pantry.value, store.placing.value)
        }
        show={(small) => (
          <>
            <ul class="plain">
              {small.spec.lines.map((line, i) => (
                <li key={i}>{lineText(store, line)}</li>
              ))}
            </ul>
            {smallPourWords(small).map((sentence) => (
              <p key={sentence}>{sentence}</p>
            ))}
            <button
              type="button"
              onClick={() => {
                store.edit({ spec: small.spec });
                store.tell(`On the bench: ${label.toLowerCase()} of it. Undo brings the full glass back.`);
              }}
            >
              Put it on the bench
            </button>
          </>
        )}
      />
    </section>
  );
}

/** More variants than this no palate keeps apart, and no bar top either. */
const MOST_VARIANTS = 3;

function SplitBuild() {
  const store = useStore();
  const all = store.newestFirst.value;
  const [chosen, setChosen] = useState<readonly string[]>(() => all.slice(0, 2).map(({ round }) => round.id));
  if (all.length < 2) return null;
  const rounds = all.filter(({ round }) => chosen.includes(round.id)).map(({ round }) => round);
  const pourText = ({ ingredient, ml, name }: Split["base"][number]) =>
    `${pourWords(ml, store.pantry.value.get(ingredient), measuresOf(store))} ${name}`;
  return (
    <section aria-labelledby="thrift-split">
      <h3 id="thrift-split">One base, several glasses</h3>
      <fieldset class="variants">
        <legend>Rounds to mix side by side, two or three</legend>
        <div class="buttons">
          {all.map(({ round }) => {
            const on = chosen.includes(round.id);
            return (
              <button
                key={round.id}
                type="button"
                aria-pressed={on}
                aria-label={`Round ${round.number}: ${round.label}`}
                title={round.label}
                disabled={!on && chosen.length >= MOST_VARIANTS}
                onClick={() => setChosen(on ? chosen.filter((id) => id !== round.id) : [...chosen, round.id])}
              >
                {round.number}
              </button>
            );
          })}
        </div>
      </fieldset>
      {rounds.length >= 2 && (
        <Tried
          make={() =>
            splitBuild(
              rounds.map(({ spec }) => spec),
              store.ladder.value,
              store.pantry.value,
              store.placing.value,
            )
          }
          show={(build) => (
            <>
              <p>{splitWords(build)}</p>
              {build.base.length > 0 && <p>Base: {build.base.map(pourText).join(", ")}.</p>}
              <ul class="plain">
                {build.variants.map(({ rest }, n) => (
                  <li key={rounds[n]!.id}>
                    Round {rounds[n]!.number}:{" "}
                    {rest.length === 0 ? "the base alone" : `and ${rest.map(pourText).join(", ")}`}.
                  </li>
                ))}
              </ul>
            </>
          )}
        />
      )}
    </section>
  );
}

function lineText(store: Store, line: SpecLine): string {
  const ingredient = store.pantry.value.get(line.ingredient);
  return `${lineWords(line, ingredient, measuresOf(store))} ${ingredient?.name ?? line.ingredient}`;
}

/** What the engine makes, or its reason why it cannot. */
function Tried<T>({ make, show }: { make: () => T; show: (made: T) => ComponentChildren }) {
  try {
    return <>{show(make())}</>;
  } catch (error) {
    return <p class="problem">{reasonOf(error)}</p>;
  }
}
