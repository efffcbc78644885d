import { useRef, useState } from "preact/hooks";
import { nearestRung } from "../../engine/amounts/ladder.ts";
import { lineAtVolume, lineVolumeMl, measuredLine, steppedVolumeMl } from "../../engine/amounts/line.ts";
import { parseQuantity } from "../../engine/amounts/parse-quantity.ts";
import { ML_PER_UNIT, toVolumeMl } from "../../engine/amounts/units.ts";
import { reasonOf } from "../../engine/errors.ts";
import { SAME_POUR_ML } from "../../engine/tolerances.ts";
import type { Ingredient, SpecLine, UnitId } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { CommitInput } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { later } from "../parts/later.tsx";
import { lineWords, type Measures } from "../words/amounts.ts";
import { measuresOf } from "./measures.ts";

const LineMore = later(async () => (await import("./line-more.tsx")).LineMore);

const STEP_KEYS: Record<string, number> = {
  ArrowRight: 1,
  ArrowUp: 1,
  ArrowLeft: -1,
  ArrowDown: -1,
  PageUp: 4,
  PageDown: -4,
};

const LESS_AND_MORE = [
  { word: "Less", icon: "minus", steps: -1 },
  { word: "More", icon: "plus", steps: 1 },
] as const;

interface LineProps {
  line: SpecLine;
  index: number;
  /** Top of the arm in mL. */
  scaleMl: number;
  /** The same function at every step of a drag, so that the other lines are let alone. */
  onChange: (index: number, line: SpecLine, mergeKey?: string) => void;
  onRemove: (index: number) => void;
}

/** The amount typed, or what is wrong with it. */
function amountIn(
  text: string,
  ingredient: Ingredient | undefined,
  { ladder, settings }: Measures,
): { amount: number; unit: UnitId } | string {
  const read = parseQuantity(text.trim());
  if (read?.rest.trim() !== "") return `“${text}” is not an amount. Try 3/4 oz, 22.5 ml, 2 dashes or 10 g.`;
  if (read.high !== undefined) return `“${text}” is a range. Give the one amount you pour.`;
  const unit = read.unit ?? ladder.displayUnit;
  try {
    toVolumeMl(read.amount, unit, { settings, ...(ingredient && { ingredient }) });
  } catch (problem) {
    return reasonOf(problem);
  }
  return { amount: read.amount, unit };
}

/** A line's amount, and the ways to change it. */
function useAmount(line: SpecLine, onChange: (line: SpecLine, mergeKey?: string) => void) {
  const store = useStore();
  const [error, setError] = useState<string | null>(null);
  const ingredient = store.pantry.value.get(line.ingredient);
  const measures = measuresOf(store);
  const { ladder, settings } = measures;
  const ml = lineVolumeMl(line, ingredient, settings) ?? 0;
  const pour = (to: number, mergeKey?: string) => {
    if (!ingredient) return;
    setError(null);
    onChange(lineAtVolume(line, Math.max(0, to), ladder, ingredient, settings), mergeKey);
  };
  return {
    ingredient,
    name: ingredient?.name ?? line.ingredient,
    ladder,
    error,
    ml,
    said: lineWords(line, ingredient, measures),
    pour,
    /** To the rung nearest to where the slider is; false where that is the one it is on, and nothing changes. */
    slide(to: number, drag: number): boolean {
      const rung = ingredient ? nearestRung(to, ladder, ingredient, settings) : ml;
      if (Math.abs(rung - ml) < SAME_POUR_ML) return false;
      pour(rung, `drag-${line.ingredient}-${drag}`);
      return true;
    },
    step(steps: number) {
      if (ingredient) {
        pour(steppedVolumeMl(line, steps, ladder, ingredient, settings), `step-${line.ingredient}`);
      }
    },
    /** Take what was typed; false refuses it. */
    type(text: string): boolean {
      const read = amountIn(text, ingredient, measures);
      const refused = typeof read === "string";
      setError(refused ? read : null);
      if (!refused) onChange(measuredLine(line, read));
      return !refused;
    },
  };
}

type Amount = ReturnType<typeof useAmount>;

function AmountBox({ amount, errorId }: { amount: Amount; errorId: string }) {
  return (
    <CommitInput
      class="amount"
      role="spinbutton"
      spellcheck={false}
      value={amount.said}
      aria-label={`Amount of ${amount.name}`}
      aria-valuetext={amount.said}
      aria-valuenow={Number(amount.ml.toFixed(3))}
      aria-describedby={errorId}
      aria-invalid={amount.error !== null}
      onCommit={amount.type}
      onFocus={(event) => event.currentTarget.select()}
      onKeyDown={(event) => {
        const steps = STEP_KEYS[event.key];
        // Left and right move in the text that is being typed.
        if (steps === undefined || event.key === "ArrowLeft" || event.key === "ArrowRight") return;
        event.preventDefault();
        amount.step(steps);
      }}
    />
  );
}

/** The arm to slide the amount on. */
function Poise({ amount, scaleMl }: { amount: Amount; scaleMl: number }) {
  const drags = useRef(0);
  const { ml, ladder } = amount;
  const tickMl = ladder.displayUnit === "oz" ? ML_PER_UNIT.oz / 4 : scaleMl > 30 ? 10 : 1;
  return (
    <input
      type="range"
      class="poise"
      tabIndex={-1}
      min="0"
      step="any"
      max={scaleMl}
      value={ml}
      aria-label={`${amount.name}, slide to change`}
      aria-valuetext={amount.said}
      style={{
        "--fill": `${Math.min(100, (100 * ml) / scaleMl)}%`,
        "--tick": `${(100 * tickMl) / scaleMl}%`,
      }}
      onPointerDown={() => {
        drags.current += 1;
      }}
      onInput={({ currentTarget: slider }) => {
        if (!amount.slide(slider.valueAsNumber, drags.current)) slider.value = String(ml);
      }}
      onKeyDown={(event) => {
        const steps = STEP_KEYS[event.key];
        if (steps !== undefined) amount.step(steps);
        else if (event.key === "Home") amount.pour(0);
        else return;
        event.preventDefault();
      }}
    />
  );
}

/** One ingredient in one row: name, amount, less and more, an arm to slide on; the rest opens below. */
export function Line({ line, index, scaleMl, onChange, onRemove }: LineProps) {
  const store = useStore();
  const [open, setOpen] = useState(false);
  const change = (next: SpecLine, mergeKey?: string) => onChange(index, next, mergeKey);
  const amount = useAmount(line, change);
  const { name, ingredient, error } = amount;
  const locked = store.parts.rules.value[line.ingredient]?.locked === true;
  const errorId = `line-error-${index}`;
  const pull = (isThere: boolean) => store.pull(line.ingredient, isThere);
  return (
    <li
      class="line"
      data-ingredient={line.ingredient}
      data-locked={locked}
      data-open={open}
      onPointerEnter={() => pull(true)}
      onPointerLeave={() => pull(false)}
      onFocusIn={() => pull(true)}
      onFocusOut={() => pull(false)}
    >
      <div class="line-row">
        <button
          type="button"
          class="line-name"
          aria-expanded={open}
          aria-controls={`line-more-${index}`}
          onClick={() => setOpen(!open)}
        >
          <span class="line-title">{name}</span>
          {locked && <Icon name="lock" />}
          {!ingredient && <span class="line-flag">not in the pantry: choose another</span>}
          <Icon name="down" />
        </button>
        <AmountBox amount={amount} errorId={errorId} />
        {LESS_AND_MORE.map(({ word, icon, steps }) => (
          <button
            key={icon}
            type="button"
            class="square"
            tabIndex={-1}
            aria-label={`${word} ${name}`}
            onClick={() => amount.step(steps)}
          >
            <Icon name={icon} />
          </button>
        ))}
      </div>
      <Poise amount={amount} scaleMl={scaleMl} />
      <p class="line-error" role="alert" id={errorId} hidden={error === null}>
        {error}
      </p>
      <div id={`line-more-${index}`} hidden={!open}>
        {open && <LineMore line={line} onChange={change} onRemove={() => onRemove(index)} />}
      </div>
    </li>
  );
}
