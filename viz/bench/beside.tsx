import "./beside.css";
import { useState } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import { analyseTrail } from "../../engine/trail/analyse-trail.ts";
import type { SpecLine, TrailStep } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { ChoiceField } from "../parts/field.tsx";
import type { PlacedRound } from "../state/derived.ts";
import type { Store } from "../state/store.ts";
import { changeWords, lineWords } from "../words/amounts.ts";
import { AXES3, AXIS_NAME, axisChange, withUnit } from "../words/axis.ts";
import { measuresOf } from "./measures.ts";
import { ShareTable } from "./round-more.tsx";
import { foundWords, movedWords } from "./words.ts";

/** The step from one round to the other, as if the one had grown from the other; null where either has no place. */
function stepBetween(
  store: Store,
  { round: from }: PlacedRound,
  { round: to }: PlacedRound,
): TrailStep | null {
  const pair = [
    { ...from, parent: null },
    { ...to, parent: from.id },
  ];
  try {
    return analyseTrail(pair, store.pantry.value, store.placing.value).steps[0] ?? null;
  } catch {
    return null;
  }
}

/** Any two rounds of the bench beside each other, however far apart they grew. */
export function Pair() {
  const store = useStore();
  const [chosen, setChosen] = useState<{ from?: string; to?: string }>({});
  const all = [...store.rounds.value].sort((a, b) => a.round.number - b.round.number);
  const find = (id: string | null | undefined) => all.find(({ round }) => round.id === id);
  const to = find(chosen.to) ?? find(store.work.value.round) ?? all.at(-1)!;
  const from = find(chosen.from) ?? find(to.round.parent) ?? all.find((entry) => entry !== to) ?? to;
  const options = all.map(({ round }) => ({ value: round.id, label: `${round.number} ${round.label}` }));
  const step = from === to ? null : stepBetween(store, from, to);
  const measures = measuresOf(store);
  return (
    <div class="beside">
      <div class="beside-asks">
        <ChoiceField
          label="From round"
          value={from.round.id}
          options={options}
          onChoose={(id) => setChosen({ ...chosen, from: id })}
        />
        <ChoiceField
          label="To round"
          value={to.round.id}
          options={options}
          onChoose={(id) => setChosen({ ...chosen, to: id })}
        />
      </div>
      {step && (
        <p class="beside-line">
          {step.changes.length === 0
            ? "The same drink."
            : `Changed: ${step.changes.map((change) => changeWords(change, store.pantry.value, measures)).join("; ")}.`}
        </p>
      )}
      {step && step.changes.length > 1 && (
        <p class="beside-warning" role="note">
          {movedWords(step.changes.length)}
        </p>
      )}
      <PairTable from={from} to={to} />
      {step && step.changes.length > 0 && (
        <ShareTable
          step={step}
          label={`From round ${from.round.number} to ${to.round.number}: share of each move`}
        />
      )}
    </div>
  );
}

const keyOf = ({ ingredient, stage }: SpecLine) => `${ingredient} ${stage ?? ""}`;

/** One row: its name, what it is in each round, and how far apart they are where that is a number. */
interface Row {
  name: string;
  from: string;
  to: string;
  change?: string;
}

function rowsOf(store: Store, from: PlacedRound, to: PlacedRound): Row[] {
  const measures = measuresOf(store);
  const pantry = store.pantry.value;
  const glassName = (id: string | undefined) =>
    store.data.glasses.find((glass) => glass.id === id)?.name ?? "–";
  const lines = new Map(
    [...from.round.spec.lines, ...to.round.spec.lines].map((line) => [keyOf(line), line]),
  );
  const pour = ({ round }: PlacedRound, key: string) => {
    const line = round.spec.lines.find((candidate) => keyOf(candidate) === key);
    return line ? lineWords(line, pantry.get(line.ingredient), measures) : "–";
  };
  const both = (name: string, of: (entry: PlacedRound) => string): Row => ({
    name,
    from: of(from),
    to: of(to),
  });
  const axes = AXES3.map((axis): Row => {
    const [a, b] = [from, to].map(({ placement }) => placement && toVec(placement.point)[axis]);
    return {
      ...both(AXIS_NAME[axis], ({ placement }) =>
        placement ? withUnit(axis, toVec(placement.point)[axis]) : "–",
      ),
      ...(typeof a === "number" && typeof b === "number" && { change: axisChange(axis, b - a) }),
    };
  });
  return [
    ...[...lines].map(([key, { ingredient }]) =>
      both(pantry.get(ingredient)?.name ?? ingredient, (entry) => pour(entry, key)),
    ),
    both("Method", ({ round }) => METHODS[round.spec.method].name),
    both("Glass", ({ round }) => glassName(round.spec.glass)),
    ...axes,
    both("Found", ({ round }) => foundWords(round) || "–"),
  ];
}

function PairTable({ from, to }: { from: PlacedRound; to: PlacedRound }) {
  const store = useStore();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label="The two rounds">
      <table class="beside-table">
        <caption class="visually-hidden">
          Round {from.round.number} beside round {to.round.number}; what differs is marked
        </caption>
        <thead>
          <tr>
            <td />
            <th scope="col">Round {from.round.number}</th>
            <th scope="col">Round {to.round.number}</th>
            <th scope="col">Change</th>
          </tr>
        </thead>
        <tbody>
          {rowsOf(store, from, to).map(({ name, from: before, to: after, change }) => (
            <tr key={name} data-differs={before !== after}>
              <th scope="row">{name}</th>
              <td>{before}</td>
              <td>{after}</td>
              <td>{change ?? (before === after ? "" : "changed")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
