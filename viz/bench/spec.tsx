import type { RefObject } from "preact";
import { useMemo, useRef, useState } from "preact/hooks";
import { lineAtVolume, linesOnLadder, lineVolumeMl } from "../../engine/amounts/line.ts";
import { ML_PER_UNIT } from "../../engine/amounts/units.ts";
import type { Ingredient, SpecLine } from "../../engine/types.ts";
import { loadNotes } from "../data/client.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { CommitInput } from "../parts/field.tsx";
import { later } from "../parts/later.tsx";
import type { Store } from "../state/store.ts";
import { lineWords, pourWords } from "../words/amounts.ts";
import { MisfitNote } from "./kin-line.tsx";
import { Line } from "./line.tsx";
import { Making } from "./making.tsx";
import { measuresOf } from "./measures.ts";
import { PasteBox } from "./paste.tsx";

/** Tops of the arms in mL; the smallest that leaves room above every pour is used, so poises can be compared. */
const SCALES_ML = [15, 60, 90, 120, 180, 240, 360, 500, 1000, 2000, 5000];

const scaleFor = (ml: number) => SCALES_ML.find((top) => top >= ml * 1.2) ?? ml * 1.5;

/** What an ingredient comes in with: half an ounce, a dash of bitters, half a gram of acid, one egg. */
function firstLine(ingredient: Ingredient, store: Store): SpecLine {
  const { ladder, settings, units } = measuresOf(store);
  if (ingredient.role === "acid") return { ingredient: ingredient.id, amount: 0.5, unit: "g" };
  if (ingredient.pieceMl && ingredient.role === "egg") {
    return { ingredient: ingredient.id, amount: 1, unit: "piece" };
  }
  const ml = ingredient.role === "bitters" ? settings.dashMl : units === "oz" ? ML_PER_UNIT.oz / 2 : 15;
  const line: SpecLine = { ingredient: ingredient.id, amount: 0, unit: ladder.displayUnit };
  return lineAtVolume(line, ml, ladder, ingredient, settings);
}

/** Pour an ingredient into the drink, unless it is in. Gives its place among the lines. */
export function pourIn(store: Store, ingredient: Ingredient): number {
  const { spec } = store.work.value;
  const at = spec.lines.findIndex((line) => line.ingredient === ingredient.id);
  if (at >= 0) return at;
  store.edit({ spec: { ...spec, lines: [...spec.lines, firstLine(ingredient, store)] } });
  return spec.lines.length;
}

const OwnDialog = later(async () => (await import("../pantry/own-dialog.tsx")).OwnDialog);

function MetricOffer() {
  const store = useStore();
  const measures = measuresOf(store);
  const { spec } = store.work.value;
  const pantry = store.pantry.value;
  const lines = linesOnLadder(spec.lines, pantry, measures.ladder, measures.settings);
  if (!lines) return null;
  const moved = lines.flatMap((line, i) => {
    const old = spec.lines[i];
    const ingredient = pantry.get(line.ingredient);
    if (!old || line === old) return [];
    const to = pourWords(lineVolumeMl(line, ingredient, measures.settings) ?? 0, ingredient, measures);
    return [`${ingredient?.name ?? line.ingredient} ${lineWords(old, ingredient, measures)} → ${to}`];
  });
  return (
    <div class="offer-steps">
      <p>
        Off your tools' marks ({measures.ladder.name}): {moved.join("; ")}.
      </p>
      <button type="button" onClick={() => store.edit({ spec: { ...spec, lines } })}>
        Round to whole steps
      </button>
    </div>
  );
}

/** What is done to the lines of the drink in work; the same functions all along. */
function lineActs(store: Store, list: RefObject<HTMLUListElement | null>) {
  const put = (change: (lines: SpecLine[]) => SpecLine[], mergeKey?: string) => {
    const spec = store.spec.peek();
    store.edit({ spec: { ...spec, lines: change(spec.lines) } }, mergeKey);
  };
  const focus = (index: number) =>
    requestAnimationFrame(() => {
      const line = list.current?.children[index];
      (line?.querySelector<HTMLElement>("input.amount") ?? document.getElementById("add-line"))?.focus();
    });
  return {
    focus,
    change: (index: number, next: SpecLine, mergeKey?: string) =>
      put((lines) => lines.map((old, i) => (i === index ? next : old)), mergeKey),
    remove(index: number) {
      put((lines) => lines.filter((_, i) => i !== index));
      focus(Math.max(0, index - 1));
    },
  };
}

/** Brings an ingredient in: one of the pantry, or one's own whose figures are asked for. */
export function AddLine({ onAdded }: { onAdded: (index: number) => void }) {
  const store = useStore();
  const [naming, setNaming] = useState<string | null>(null);
  const addOwn = (made: Ingredient) => {
    const { own, spec } = store.work.peek();
    store.edit({ own: [...own, made], spec: { ...spec, lines: [...spec.lines, firstLine(made, store)] } });
    store.said.value = `${made.name} is in your pantry and in the drink.`;
    onAdded(spec.lines.length);
  };
  return (
    <>
      <Combobox
        id="add-line"
        label="Add an ingredient"
        placeholder="Search the pantry, or name your own"
        ingredients={[...store.pantry.value.values()]}
        onChoose={(ingredient) => onAdded(pourIn(store, ingredient))}
        onOpen={() => loadNotes(store.data)}
        onNew={setNaming}
      />
      {naming !== null && (
        <OwnDialog
          name={naming}
          action="Keep it and pour it"
          onMade={addOwn}
          onClose={() => setNaming(null)}
        />
      )}
    </>
  );
}

/** The lines of the drink, how it is made, and ways to bring one in. */
export function SpecPanel() {
  const store = useStore();
  const list = useRef<HTMLUListElement>(null);
  /** Arms only grow while one round is worked on, so a poise never jumps under the finger. */
  const top = useRef({ round: "", ml: 60 });
  const spec = store.spec.value;
  const { unitSettings } = store.placing.value;
  const pantry = store.pantry.value;
  const volumes = spec.lines.map(
    (line) => lineVolumeMl(line, pantry.get(line.ingredient), unitSettings) ?? 0,
  );
  const key = `${store.parts.bench.value} ${store.parts.round.value}`;
  if (top.current.round !== key) top.current = { round: key, ml: 60 };
  top.current.ml = Math.max(top.current.ml, scaleFor(Math.max(0, ...volumes)));
  const commonTop = top.current.ml;

  const acts = useMemo(() => lineActs(store, list), [store]);
  const seen = new Map<string, number>();
  return (
    <section class="spec" id="spec" aria-labelledby="spec-title" tabIndex={-1}>
      <div class="section-head">
        <h2 id="spec-title">Spec</h2>
        <CommitInput
          id="drink-name"
          class="drink-name"
          maxLength={120}
          aria-label="Name of the drink"
          value={spec.name}
          onCommit={(text) => store.edit({ spec: { ...spec, name: text.trim() || "Untitled" } })}
        />
        <Standing />
      </div>
      <ul class="lines" aria-label="Ingredients" ref={list}>
        {spec.lines.map((line, index) => {
          const nth = seen.get(line.ingredient) ?? 0;
          seen.set(line.ingredient, nth + 1);
          const ownTop = scaleFor(volumes[index] ?? 0);
          const bitters = pantry.get(line.ingredient)?.role === "bitters";
          return (
            <Line
              key={`${line.ingredient}#${nth}`}
              line={line}
              index={index}
              // Dashes and spoons would vanish on the common arm; they get a short one of their own.
              scaleMl={bitters && ownTop <= 15 ? 15 : commonTop}
              onChange={acts.change}
              onRemove={acts.remove}
            />
          );
        })}
      </ul>
      {/* Below the lines, as it comes while they are worked on: above, it would move them from under the finger. */}
      <MisfitNote />
      <MetricOffer />
      <AddLine onAdded={acts.focus} />
      <Making />
      <PasteBox />
    </section>
  );
}

/** Whether the spec on the bench is a round as it was kept, or edited since. */
function Standing() {
  const store = useStore();
  const round = store.round.value;
  const edited = store.edited.value;
  const goesBack = round && edited;
  return (
    <>
      <p class={goesBack ? "edited visually-hidden" : "edited"} role="status">
        {round
          ? edited
            ? `edited since round ${round.number}`
            : `round ${round.number}, as kept`
          : "not kept as a round yet"}
      </p>
      {goesBack && (
        <button type="button" class="quiet" onClick={() => store.edit({ spec: round.spec })}>
          Edited: back to round {round.number}
        </button>
      )}
    </>
  );
}
