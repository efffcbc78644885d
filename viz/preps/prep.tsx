import { useState } from "preact/hooks";
import { place } from "../../engine/place/place.ts";
import { affectedBy, compilePreps, labelOf } from "../../engine/prep/compile.ts";
import type { CompiledPrep, Prep, PrepPart } from "../../engine/prep/types.ts";
import { crystalWords, keepingWords, replacedWords } from "../../engine/prep/words.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import {
  ChoiceField,
  CommitInput,
  Field,
  NumberField,
  NumberInput,
  Segments,
  Switch,
} from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { addressOf, go } from "../state/route.ts";
import { Cautions, compositionRows, Figures, Problem, Said, useAttempt } from "./figures.tsx";
import { benchesWith, changePrep, compiledOf, dropPrep, pantryWith, pouredWith, putPreps } from "./keep.ts";
import { Label } from "./label.tsx";
import { Readings } from "./readings.tsx";
import { Shift } from "./shift.tsx";
import { ROLES, STEEPED, STORAGE } from "./words.ts";

/** One prep: its parts, its readings, its label, and the drinks that pour it. */
export function PrepPage({ id }: { id: string }) {
  const store = useStore();
  const prep = store.work.value.preps.find((one) => one.id === id);
  if (!prep) {
    return (
      <p>
        This prep is not on the shelf of this browser. <a href={addressOf("preps")}>To the shelf</a>
      </p>
    );
  }
  const { compiled, failed } = compiledOf(store);
  const made = compiled.get(id);
  const wrong = failed.get(id);
  return (
    <article class="prep" key={id}>
      <h2>{prep.name}</h2>
      <div class="maker">
        <div class="maker-asks">
          <Making prep={prep} />
          <h3>Measured</h3>
          <Readings
            measured={prep.measured ?? []}
            onMeasure={(measured) => changePrep(store, id, { measured })}
          />
        </div>
        <div class="maker-tells">
          <Problem
            text={wrong ? wrong.map(({ detail, remedy }) => `${detail}: ${remedy}`).join(". ") : null}
          />
          {made && <Outcome made={made} />}
        </div>
      </div>
      <div class="buttons">
        <button type="button" onClick={() => dropPrep(store, prep)}>
          Take it off the shelf
        </button>
      </div>
    </article>
  );
}

/** What a record says, to be changed. */
function Making({ prep }: { prep: Prep }) {
  const store = useStore();
  const pantry = store.pantry.value;
  const change = (next: Partial<Prep>) => changePrep(store, prep.id, next);
  const part = (i: number, next: PrepPart | null) =>
    change({ parts: prep.parts.flatMap((old, k) => (k === i ? (next ?? []) : [old])) });
  const steeped = prep.steeped ?? [];
  return (
    <>
      <div class="fields">
        <Field label="Name" wide>
          {(ids) => (
            <CommitInput
              {...ids}
              maxLength={120}
              value={prep.name}
              onCommit={(name) => (name.trim() === "" ? false : change({ name: name.trim() }))}
            />
          )}
        </Field>
        <Field label="Made on">
          {(ids) => (
            <CommitInput
              {...ids}
              value={prep.madeOn}
              onCommit={(madeOn) => (/^\d{4}-\d\d-\d\d$/.test(madeOn) ? change({ madeOn }) : false)}
            />
          )}
        </Field>
        <Field label="Batch">
          {(ids) => (
            <CommitInput {...ids} maxLength={60} value={prep.batch} onCommit={(batch) => change({ batch })} />
          )}
        </Field>
        <ChoiceField label="Kind" value={prep.role} options={ROLES} onChoose={(role) => change({ role })} />
        <ChoiceField
          label="Stands in"
          value={prep.storage}
          options={STORAGE}
          onChoose={(storage) => change({ storage })}
        />
      </div>
      <h3>What goes in</h3>
      <ul class="parts">
        {prep.parts.map((one, i) => {
          const name = pantry.get(one.ingredient)?.name ?? one.ingredient;
          return (
            <li key={one.ingredient}>
              <span>{name}</span>
              <NumberInput
                aria-label={`${name}: amount`}
                least={0}
                value={one.amount}
                onCommit={(amount) => amount !== null && amount > 0 && part(i, { ...one, amount })}
              />
              <Segments
                label={`${name}: unit`}
                value={one.unit}
                options={[
                  { value: "g", label: "g" },
                  { value: "ml", label: "mL" },
                ]}
                onChoose={(unit) => part(i, { ...one, unit })}
              />
              <button
                type="button"
                class="square"
                aria-label={`Leave out ${name}`}
                onClick={() => part(i, null)}
              >
                <Icon name="cross" />
              </button>
            </li>
          );
        })}
      </ul>
      <Combobox
        label="Another part"
        placeholder="an ingredient, or another prep"
        ingredients={[...pantry.values()].filter(
          (i) => i.id !== prep.id && prep.parts.every(({ ingredient }) => ingredient !== i.id),
        )}
        onChoose={(i) => change({ parts: [...prep.parts, { ingredient: i.id, amount: 100, unit: "g" }] })}
      />
      <div class="fields">
        <Weights prep={prep} />
      </div>
      <fieldset class="acids">
        <legend class="hint">Steeped in it and strained out</legend>
        {STEEPED.map(({ value, label }) => (
          <Switch
            key={value}
            on={steeped.includes(value)}
            onTurn={(on) =>
              change({ steeped: on ? [...steeped, value] : steeped.filter((s) => s !== value) })
            }
          >
            {label}
          </Switch>
        ))}
      </fieldset>
    </>
  );
}

/** Weights before and after simmering: both, or neither. */
function Weights({ prep }: { prep: Prep }) {
  const store = useStore();
  const [typed, setTyped] = useState<{ beforeG: number | null; afterG: number | null }>(
    prep.simmered ?? { beforeG: null, afterG: null },
  );
  const put = (next: typeof typed) => {
    setTyped(next);
    const { beforeG, afterG } = next;
    const { simmered: _, ...rest } = prep;
    const whole = beforeG !== null && afterG !== null ? { ...rest, simmered: { beforeG, afterG } } : rest;
    putPreps(
      store,
      store.work.value.preps.map((p) => (p.id === prep.id ? whole : p)),
    );
  };
  return (
    <>
      <NumberField
        label="Before simmering, g"
        least={0}
        value={typed.beforeG}
        onCommit={(beforeG) => put({ ...typed, beforeG })}
      />
      <NumberField
        label="After, g"
        least={0}
        value={typed.afterG}
        onCommit={(afterG) => put({ ...typed, afterG })}
      />
    </>
  );
}

/** What became of it. */
function Outcome({ made }: { made: CompiledPrep }) {
  return (
    <>
      <Figures
        caption={`${made.composition.volumeMl.value.toFixed(0)} mL (${made.composition.massG.value.toFixed(0)} g). What 100 mL holds`}
        rows={compositionRows(made.composition, made.ph)}
      />
      <div class="replaced" aria-live="polite">
        <Said words={made.replaced.map(replacedWords)} />
      </div>
      <Said words={[crystalWords(made.crystals), keepingWords(made.keeping)]} />
      <InTheDrink made={made} />
      <Uses made={made} />
      <Label label={labelOf(made)} />
      <Cautions ids={made.cautions} />
    </>
  );
}

/** The drink on the bench with it: pour it there, or see what its readings did. */
function InTheDrink({ made }: { made: CompiledPrep }) {
  const store = useStore();
  const { preps } = store.work.value;
  const placing = store.placing.value;
  const spec = store.spec.value;
  const pantry = store.pantry.value;
  const { id } = made.prep;
  const pours = spec.lines.some(({ ingredient }) => ingredient === id);
  const isMeasured = (made.prep.measured ?? []).length > 0;
  const stands = useAttempt(() => {
    if (!pours) return null;
    const at = (records: readonly Prep[]) => {
      const made = [...compilePreps(records, pantry).compiled.values()].map((c) => c.ingredient);
      return place(spec, pantryWith(pantry, ...made), placing);
    };
    const plain = preps.map((p) => (p.id === id ? { ...p, measured: [] } : p));
    return [
      ...(isMeasured ? [{ label: "Unmeasured", placement: at(plain), look: "before" as const }] : []),
      { label: isMeasured ? "As measured" : "With it", placement: at(preps), look: "after" as const },
    ];
  }, [pours, isMeasured, spec, pantry, preps, placing]).value;
  if (pours) {
    return stands && <Shift caption={`${spec.name} on the bench.`} stands={stands} measured={isMeasured} />;
  }
  const pour = (line: number | null) => {
    store.edit({ spec: pouredWith(spec, id, line) });
    go(addressOf("bench", store.work.value.bench));
  };
  return (
    <section class="pour-it">
      <h3>Pour it in {spec.name}</h3>
      <div class="buttons">
        {spec.lines.map(({ ingredient }, i) => (
          <button type="button" key={ingredient} onClick={() => pour(i)}>
            in place of {pantry.get(ingredient)?.name ?? ingredient}
          </button>
        ))}
        <button type="button" onClick={() => pour(null)}>
          besides, 20 mL
        </button>
      </div>
    </section>
  );
}

/** What a change of it touches. */
function Uses({ made }: { made: CompiledPrep }) {
  const store = useStore();
  const { preps } = store.work.value;
  const { id } = made.prep;
  const touched = affectedBy(id, preps, []).preps;
  const benches = benchesWith(store, new Set([id, ...touched.map((p) => p.id)]));
  if (touched.length + benches.length === 0) return null;
  return (
    <section class="uses">
      <h3>A change of it reaches</h3>
      <ul>
        {touched.map((p) => (
          <li key={p.id}>
            <a href={addressOf("preps", p.id)}>{p.name}</a>, which holds it
          </li>
        ))}
        {benches.map((b) => (
          <li key={b.id}>
            <a href={addressOf("bench", b.id)}>{b.name}</a>
            {b.rounds > 0 && `, ${b.rounds === 1 ? "1 round" : `${b.rounds} rounds`}`}
          </li>
        ))}
      </ul>
    </section>
  );
}
