import { shortName } from "../../engine/wording.ts";
import "./dose-strip.css";
import { useId, useState } from "preact/hooks";
import { withAmountOf } from "../../engine/ask/changed.ts";
import type { DoseRung, DoseSpan, DoseStrip } from "../../engine/ask/dose-strip.ts";
import { glassesText, missText } from "../../engine/ask/words.ts";
import { toVec } from "../../engine/axes.ts";
import { keepMeasuredRatio } from "../../engine/explore/changed-spec.ts";
import type { Spec } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { Icon } from "../parts/icon.tsx";
import { pourWords } from "../words/amounts.ts";
import { pointWords } from "../words/axis.ts";
import { measuresOf } from "./measures.ts";
import { takeSpec } from "./take.ts";

const ROW_NAMES: Record<DoseSpan["measure"], string> = {
  sugar: "Sugar",
  acid: "Acid",
  abv: "Alcohol",
  ratio: "Sugar to acid",
  face: "The rest",
};

/** Where a rung's column begins and how wide columns are, percent of the track. */
const columns = (rungs: readonly DoseRung[]) => {
  const wide = 100 / rungs.length;
  return {
    wide,
    at: (i: number) => `${(i * wide).toFixed(3)}%`,
    middle: (i: number) => `${((i + 0.5) * wide).toFixed(3)}%`,
  };
};

/** One measure's row: a bar over the doses at which it is in range. */
function SpanRow({
  measure,
  spans,
  rungs,
}: {
  measure: DoseSpan["measure"];
  spans: readonly DoseSpan[];
  rungs: readonly DoseRung[];
}) {
  const { wide, at } = columns(rungs);
  const index = (ml: number) => rungs.findIndex((rung) => rung.ml === ml);
  return (
    <div class="dose-row">
      <span class="dose-name">{ROW_NAMES[measure]}</span>
      <span class="dose-track">
        {spans
          .filter((span) => span.measure === measure)
          .map(({ fromMl, toMl }) => (
            <i
              key={fromMl}
              class="dose-span"
              style={{
                left: at(index(fromMl)),
                width: `${((index(toMl) - index(fromMl) + 1) * wide).toFixed(3)}%`,
              }}
            />
          ))}
      </span>
    </div>
  );
}

/** How sure each dose is: a column a rung, as high as its chance, and the chance asked for as a line. */
function SureRow({ strip, shown }: { strip: DoseStrip; shown: number }) {
  const { rungs, sure, presentMl } = strip;
  const { wide, at, middle } = columns(rungs);
  const present = rungs.findIndex((rung) => rung.ml === presentMl);
  return (
    <div class="dose-row is-sure">
      <span class="dose-name">All at once</span>
      <span class="dose-track">
        <i class="dose-asked" style={{ bottom: `${100 * sure}%` }} />
        {rungs.map((rung, i) => (
          <i
            key={rung.ml}
            class="dose-chance"
            data-inside={rung.inside}
            data-shown={i === shown}
            style={{
              left: at(i),
              width: `${wide.toFixed(3)}%`,
              height: `${(100 * rung.chance).toFixed(1)}%`,
            }}
          />
        ))}
        {present >= 0 && <i class="dose-present" style={{ left: middle(present) }} />}
      </span>
    </div>
  );
}

/**
 * Every dose of one ingredient: where sugar, acid and alcohol are in range, and in how many real glasses all of
 * them are. One rung is read out, moved with the slider, and can be poured.
 */
export function DoseStripView({ strip, echo }: { strip: DoseStrip; echo: string }) {
  const { store } = useHouse();
  const id = useId();
  const { rungs, spans, companion } = strip;
  const best = rungs.findIndex((rung) => rung.ml === strip.bestMl);
  const [shown, setShown] = useState(best);
  const measures = measuresOf(store);
  const pantry = store.pantry.value;
  const pour = (ml: number, of = strip.ingredient) => pourWords(ml, pantry.get(of), measures);
  const rung = rungs[shown] ?? rungs[best]!;
  const { middle } = columns(rungs);
  const rows = [...new Set(["sugar", "acid", "abv", ...spans.map((span) => span.measure)] as const)];
  const saidOf = (r: DoseRung) =>
    `${pour(r.ml)}: ${r.inside ? `in range in ${glassesText(r.chance)}` : missText(r)}`;
  const specAt = (ml: number): Spec => {
    const request = {
      spec: store.spec.value,
      pantry,
      ladder: measures.ladder,
      unitSettings: measures.settings,
    };
    return keepMeasuredRatio(request, withAmountOf(request, strip.ingredient, ml));
  };
  const name = pantry.get(strip.ingredient)?.name ?? strip.ingredient;
  return (
    <figure class="dose" aria-labelledby={`${id}-title`}>
      <figcaption class="hint" id={`${id}-title`}>
        {name}, dose by dose: where each is in range, and in how many real glasses of ten all are
      </figcaption>
      <div class="dose-rows" style={{ "--at": middle(shown) }}>
        {rows.map((measure) => (
          <SpanRow key={measure} measure={measure} spans={spans} rungs={rungs} />
        ))}
        <SureRow strip={strip} shown={shown} />
        <label class="visually-hidden" for={id}>
          Dose of {name}
        </label>
        <input
          id={id}
          class="dose-slider"
          type="range"
          min={0}
          max={rungs.length - 1}
          step={1}
          value={shown}
          aria-valuetext={saidOf(rung)}
          onInput={(event) => setShown(Number(event.currentTarget.value))}
        />
        <p class="dose-ends hint" aria-hidden="true">
          <span>{pour(rungs[0]!.ml)}</span>
          <span>{pour(rungs.at(-1)!.ml)}</span>
        </p>
      </div>
      <p class="dose-said" aria-hidden="true">
        <b>{saidOf(rung)}</b>
        <span class="hint">
          {pointWords(toVec(rung.point))}
          {rung.ml === strip.presentMl && " · as it is"}
          {rung.ml === strip.bestMl &&
            (strip.holds ? " · the least change that holds" : " · the best dose alone")}
        </span>
      </p>
      <div class="buttons">
        <button
          type="button"
          disabled={rung.ml === strip.presentMl}
          onClick={() => store.edit({ spec: specAt(rung.ml) })}
        >
          Put it on the bench
        </button>
        <button
          type="button"
          disabled={rung.ml === strip.presentMl}
          onClick={() => takeSpec(store, specAt(rung.ml), `${name} ${pour(rung.ml)}`)}
        >
          <Icon name="plus" /> Take it as a new round
        </button>
        {companion && (
          <button type="button" class="with" onClick={() => takeSpec(store, companion.spec, echo)}>
            <Icon name="plus" /> With {shortName(pantry.get(companion.ingredient)?.name ?? "").toLowerCase()}{" "}
            {pour(companion.toMl, companion.ingredient)}
          </button>
        )}
      </div>
    </figure>
  );
}
