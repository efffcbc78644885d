import { useRef, useState } from "preact/hooks";
import { nearestRung } from "../../engine/amounts/ladder.ts";
import { lineAtVolume, lineVolumeMl, measuredLine, steppedVolumeMl } from "../../engine/amounts/line.ts";
import { parseQuantity } from "../../engine/amounts/parse-quantity.ts";
import { ML_PER_UNIT, toVolumeMl } from "../../engine/amounts/units.ts";
import { reasonOf } from "../../engine/errors.ts";
import type { SpecLine } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { CommitInput } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { later } from "../parts/later.tsx";
import { lineWords } from "../words/amounts.ts";
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

/** One ingredient in one row: name, amount, less and more, an arm to slide on; the rest opens below. */
export function Line({
  line,
  index,
  scaleMl,
  onChange,
  onRemove,
}: {
  line: SpecLine;
  index: number;
  /** Top of the arm in mL. */
  scaleMl: number;
  onChange: (line: SpecLine, mergeKey?: string) => void;
  onRemove: () => void;
}) {
  const store = useStore();
  const [open, setOpen] = useState(false);
  const [error, setError] = useState<string | null>(null);
  const dragging = useRef(0);
  const ingredient = store.pantry.value.get(line.ingredient);
  const measures = measuresOf(store);
  const { ladder, settings } = measures;
  const locked = store.work.value.rules[line.ingredient]?.locked === true;
  const ml = lineVolumeMl(line, ingredient, settings) ?? 0;
  const said = lineWords(line, ingredient, measures);
  const name = ingredient?.name ?? line.ingredient;
  const errorId = `line-error-${index}`;

  const pull = (on: boolean) => {
    if (on) store.pulling.value = line.ingredient;
    else if (store.pulling.value === line.ingredient) store.pulling.value = null;
  };
  const pour = (to: number, mergeKey?: string) => {
    if (!ingredient) return;
    setError(null);
    onChange(lineAtVolume(line, Math.max(0, to), ladder, ingredient, settings), mergeKey);
  };
  const step = (steps: number) => {
    if (ingredient) {
      pour(steppedVolumeMl(line, steps, ladder, ingredient, settings), `step-${line.ingredient}`);
    }
  };
  const refuse = (text: string) => {
    setError(text);
    return false;
  };
  const readAmount = (text: string) => {
    const read = parseQuantity(text.trim());
    if (read?.rest.trim() !== "") {
      return refuse(`“${text}” is not an amount. Try 3/4 oz, 22.5 ml, 2 dashes or 10 g.`);
    }
    if (read.high !== undefined) return refuse(`“${text}” is a range. Give the one amount you pour.`);
    const unit = read.unit ?? ladder.displayUnit;
    try {
      toVolumeMl(read.amount, unit, { settings, ...(ingredient && { ingredient }) });
    } catch (problem) {
      return refuse(reasonOf(problem));
    }
    setError(null);
    onChange(measuredLine(line, { amount: read.amount, unit }));
    return true;
  };
  const tickMl = ladder.displayUnit === "oz" ? ML_PER_UNIT.oz / 4 : scaleMl > 30 ? 10 : 1;
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
        <CommitInput
          class="amount"
          role="spinbutton"
          spellcheck={false}
          value={said}
          aria-label={`Amount of ${name}`}
          aria-valuetext={said}
          aria-valuenow={Number(ml.toFixed(3))}
          aria-describedby={errorId}
          aria-invalid={error !== null}
          onCommit={readAmount}
          onFocus={(event) => event.currentTarget.select()}
          onKeyDown={(event) => {
            const steps =
              event.key.startsWith("Arrow") || event.key.startsWith("Page")
                ? STEP_KEYS[event.key]
                : undefined;
            if (steps === undefined || event.key === "ArrowLeft" || event.key === "ArrowRight") return;
            event.preventDefault();
            step(steps);
          }}
        />
        <button
          type="button"
          class="square"
          tabIndex={-1}
          aria-label={`Less ${name}`}
          onClick={() => step(-1)}
        >
          <Icon name="minus" />
        </button>
        <button
          type="button"
          class="square"
          tabIndex={-1}
          aria-label={`More ${name}`}
          onClick={() => step(1)}
        >
          <Icon name="plus" />
        </button>
      </div>
      <input
        type="range"
        class="poise"
        tabIndex={-1}
        min="0"
        step="any"
        max={scaleMl}
        value={ml}
        aria-label={`${name}, slide to change`}
        aria-valuetext={said}
        style={{
          "--fill": `${Math.min(100, (100 * ml) / scaleMl)}%`,
          "--tick": `${(100 * tickMl) / scaleMl}%`,
        }}
        onPointerDown={() => {
          dragging.current += 1;
        }}
        onInput={(event) => {
          if (!ingredient) return;
          const to = nearestRung(event.currentTarget.valueAsNumber, ladder, ingredient, settings);
          pour(to, `drag-${line.ingredient}-${dragging.current}`);
        }}
        onKeyDown={(event) => {
          const steps = STEP_KEYS[event.key];
          if (steps !== undefined) step(steps);
          else if (event.key === "Home") pour(0);
          else return;
          event.preventDefault();
        }}
      />
      <p class="line-error" role="alert" id={errorId} hidden={error === null}>
        {error}
      </p>
      <div id={`line-more-${index}`} hidden={!open}>
        {open && <LineMore line={line} onChange={onChange} onRemove={onRemove} />}
      </div>
    </li>
  );
}
