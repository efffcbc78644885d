import { computed } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { chordThrough } from "../../engine/targets/chord.ts";
import type { Vec3 } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import type { Store } from "../state/store.ts";
import { volumeWords } from "../words/amounts.ts";
import { AXES3, AXIS_ID, AXIS_TITLE, AXIS_UNIT, type Axis, axisNumber } from "../words/axis.ts";
import { doubtWords, glassesInHundred } from "../words/facts.ts";
import { bandsOf, edgeWords } from "../words/verdict.ts";
import { Gauge, type GaugeModel } from "./gauge.tsx";
import { overflows } from "./request.ts";

/** What each axis alone would have to change by; null where it cannot. */
function aloneOf(store: Store): [number | null, number | null, number | null] {
  const target = store.target.value;
  const placement = store.placement.value;
  if (!target || !placement) return [null, null, null];
  const point = toVec(placement.point);
  const alone = (axis: Axis) => {
    const chord = chordThrough(target.compiled, point, axis);
    if (!chord) return null;
    return point[axis] < chord[0] ? chord[0] - point[axis] : Math.min(0, chord[1] - point[axis]);
  };
  return [alone(0), alone(1), alone(2)];
}

function Gauges() {
  const { store, asking } = useHouse();
  const { references } = store;
  const bands = useMemo(
    () =>
      computed(() => {
        const { target, placement, verdict } = store;
        if (!target.value || !placement.value || !verdict.value) return null;
        return bandsOf(target.value.compiled, toVec(placement.value.point), verdict.value);
      }),
    [store],
  );
  const family = useMemo(
    () =>
      computed(() => {
        const families = store.target.value?.families ?? [];
        const kin = references.value.filter(({ drink }) =>
          drink.families.some((id) => families.includes(id)),
        );
        return AXES3.map((axis) => kin.map(({ point }) => point[axis]));
      }),
    [store, references],
  );
  const placement = store.placement.value;
  const verdict = store.verdict.value;
  const point: Vec3 | null = placement && toVec(placement.point);
  const sd: Vec3 = placement ? toVec(placement.sd) : [0, 0, 0];
  const ghost = asking.shown.value && toVec(asking.shown.value.after);
  return (
    <dl class="gauges">
      {AXES3.map((axis) => {
        const judged = verdict?.axes[axis];
        const model: GaugeModel = {
          value: point?.[axis] ?? null,
          sd: sd[axis],
          band: bands.value?.[axis] ?? null,
          state: judged?.state ?? "none",
          ghost: ghost?.[axis] ?? null,
          references: family.value[axis] ?? [],
        };
        return (
          <div class="gauge" key={axis} data-state={model.state}>
            <dt>{AXIS_TITLE[axis]}</dt>
            <dd class="gauge-value">
              <b id={`value-${AXIS_ID[axis]}`}>{point ? axisNumber(axis, point[axis]) : "–"}</b>
              <span class="sd">
                {point && `± ${axisNumber(axis, sd[axis])}`} <span class="unit">{AXIS_UNIT[axis]}</span>
              </span>
            </dd>
            <dd class="gauge-arm">
              <Gauge axis={axis} model={model} />
            </dd>
            <dd class="gauge-note">{judged?.note ?? ""}</dd>
          </div>
        );
      })}
    </dl>
  );
}

function headlineOf(store: Store): { headline: string; detail: string } {
  const { placement, verdict, placed, chosen, shown } = store;
  if (!placement.value) {
    const poured = shown.value.lines.some((line) => line.amount > 0);
    return {
      headline: "Nothing to place yet.",
      detail: poured
        ? `This cannot be placed: ${placed.value.problem ?? "no reason given"}.`
        : shown.value.lines.length > 0
          ? "Every amount is at none: pour something to see where it stands."
          : "Paste a spec, or add an ingredient.",
    };
  }
  if (!verdict.value) {
    return {
      headline: "No range chosen.",
      detail: chosen.value.problem ?? "Choose what in range means to see how far off the drink is.",
    };
  }
  return verdict.value;
}

/** Where the drink stands: a sentence, three arms, and how sure it is. */
export function VerdictPanel() {
  const { store } = useHouse();
  const { headline, detail } = headlineOf(store);
  const verdict = store.verdict.value;
  const placement = store.placement.value;
  const chance = store.chance.value;
  const state = !placement ? "empty" : verdict ? (verdict.inside ? "in" : "out") : "none";
  return (
    <section class="verdict" id="verdict" data-state={state} aria-labelledby="headline" tabIndex={-1}>
      <div class="judged">
        <h2 class="headline" id="headline">
          {headline}
        </h2>
        <p class="detail">{detail}</p>
      </div>
      <Gauges />
      <FitLine />
      {placement && (
        // One line whether the chance is known yet or not: nothing below may move under a finger.
        <Fold
          summary={
            <>
              How sure
              <span class="chance">
                {verdict && chance !== null && `: ${glassesInHundred(chance)} would be in range`}
              </span>
            </>
          }
          class="quiet-fold"
        >
          {() => <HowSure />}
        </Fold>
      )}
    </section>
  );
}

/** Whether it fits its glass, where that is worth a line beside the verdict. */
function FitLine() {
  const { store } = useHouse();
  const placement = store.placement.value;
  if (!placement?.washLine) return null;
  const { name, verdict } = placement.washLine;
  return (
    <p class="fit" data-spills={overflows(store, placement)}>
      {name}, {volumeWords(placement.finishedVolumeMl, store.parts.units.value)}: {verdict}.
    </p>
  );
}

function HowSure() {
  const { store } = useHouse();
  const placement = store.placement.value;
  const verdict = store.verdict.value;
  if (!placement) return null;
  const edge = verdict && edgeWords(verdict, aloneOf(store));
  return (
    <div class="how-sure">
      {edge && <p>{edge}</p>}
      <p>Fruit, hands and ice vary. Where each ± comes from:</p>
      <dl class="doubts">
        {AXES3.map((axis) => (
          <div key={axis}>
            <dt>{AXIS_TITLE[axis]}</dt>
            <dd>{doubtWords(placement, axis)}</dd>
          </div>
        ))}
      </dl>
      <p class="hint">
        About two glasses in three fall within one ±. Measured one yourself? Open that ingredient, put the
        figure in, and the ± shrinks.
      </p>
    </div>
  );
}
