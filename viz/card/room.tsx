import "../style/sheet.css";
import "./card.css";
import { useState } from "preact/hooks";
import { makeCard } from "../../engine/card/make.ts";
import type { Card } from "../../engine/card/types.ts";
import { reasonOf } from "../../engine/errors.ts";
import type { Round } from "../../engine/types.ts";
import { BenchHead } from "../bench/head.tsx";
import { Notice } from "../bench/notice.tsx";
import { useHouse } from "../house.ts";
import { ChoiceField, CommitInput, Field, NumberField } from "../parts/field.tsx";
import type { Store } from "../state/store.ts";
import { BatchPanel } from "./batch.tsx";
import { HandOver } from "./hand-over.tsx";
import { type CardNotes, keepNotes, loadNotes } from "./notes.ts";
import { CardSheet } from "./sheet.tsx";

/** Stands for what is on the bench now, which may be no round yet. */
const AS_IT_STANDS = "";

function cardOf(store: Store, round: Round | undefined, notes: CardNotes): Card | string {
  const { pourCostPercent: share } = notes;
  try {
    return makeCard(round?.spec ?? store.spec.value, store.pantry.value, {
      ...store.placing.value,
      garnish: notes.garnish.trim(),
      notes: (notes.notes ?? round?.notes ?? "").trim(),
      ...(share !== null && { pourCost: share / 100 }),
    });
  } catch (error) {
    return reasonOf(error);
  }
}

/** The card of a bench: the spec handed over, on paper, in files, and as a batch. */
export function CardRoom() {
  const { store, keeping } = useHouse();
  const bench = store.bench.value;
  if (!bench) return null;
  return <CardOfBench key={bench.id} store={store} shelf={keeping.shelf} bench={bench.id} />;
}

function CardOfBench({
  store,
  shelf,
  bench,
}: {
  store: Store;
  shelf: Parameters<typeof loadNotes>[0];
  bench: string;
}) {
  const rounds = store.bench.value?.rounds ?? [];
  const final = rounds.find(({ state }) => state === "final");
  const [chosen, setChosen] = useState(final?.id ?? AS_IT_STANDS);
  const [notes, setNotes] = useState(() => loadNotes(shelf, bench));
  const write = (patch: Partial<CardNotes>) => {
    const next = { ...notes, ...patch };
    setNotes(next);
    keepNotes(shelf, bench, next);
  };
  const round =
    chosen === AS_IT_STANDS && !store.edited.value
      ? (store.round.value ?? undefined)
      : rounds.find(({ id }) => id === chosen);
  const card = cardOf(store, round, notes);
  const from = round
    ? `Round ${round.number}: ${round.label}.`
    : "As it stands on the bench, not yet a round.";
  return (
    <>
      <BenchHead room="card" />
      <Notice />
      <div class="sheet card-room">
        <h1 class="visually-hidden">The card</h1>
        <div class="card-asks">
          <ChoiceField
            label="Which round"
            value={chosen}
            options={[
              { value: AS_IT_STANDS, label: "As it stands on the bench" },
              ...rounds.map(({ id, number, label, state }) => ({
                value: id,
                label: `${number} ${label}${state === "final" ? " (final)" : ""}`,
              })),
            ]}
            onChoose={setChosen}
          />
          <Field label="Garnish">
            {(ids) => (
              <CommitInput
                {...ids}
                maxLength={80}
                value={notes.garnish}
                onCommit={(garnish) => write({ garnish })}
              />
            )}
          </Field>
          <NumberField
            label="Pours cost this part of the price, %"
            least={1}
            placeholder="20"
            value={notes.pourCostPercent}
            onCommit={(x) => write({ pourCostPercent: x === null ? null : Math.min(x, 100) })}
          />
          <Field label="Notes" wide>
            {(ids) => (
              <textarea
                {...ids}
                rows={2}
                value={notes.notes ?? round?.notes ?? ""}
                onChange={(event) => write({ notes: event.currentTarget.value })}
              />
            )}
          </Field>
        </div>
        {typeof card === "string" ? (
          <p class="problem">There is no card yet. {card}.</p>
        ) : (
          <>
            <CardSheet card={card} from={from} />
            <HandOver card={card} />
            <BatchPanel card={card} />
          </>
        )}
      </div>
    </>
  );
}
