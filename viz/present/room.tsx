import "../style/sheet.css";
import { shortName } from "../../engine/wording.ts";
import "./present.css";
import { computed, type Signal, signal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { lineAtVolume, steppedVolumeMl } from "../../engine/amounts/line.ts";
import { toVec } from "../../engine/axes.ts";
import { arriving } from "../../engine/bench/along.ts";
import { pantryWithFigures } from "../../engine/mix/own-figures.ts";
import { place } from "../../engine/place/place.ts";
import type { Vec3 } from "../../engine/types.ts";
import { readFile } from "../bench/bench-files.ts";
import { startBlank, startFrom } from "../bench/benches-edit.ts";
import { BenchHead } from "../bench/head.tsx";
import { measuresOf } from "../bench/measures.ts";
import { Notice } from "../bench/notice.tsx";
import { AddLine } from "../bench/spec.tsx";
import { useHouse, useStore } from "../house.ts";
import { BalanceMap } from "../map/balance-map.tsx";
import { mapModel, mapRounds } from "../map/map-model.ts";
import { ALL_LAYERS, mapHandlers } from "../map/map-panel.tsx";
import type { LayerName, MapModel, MapTrail } from "../map/model.ts";
import { Icon } from "../parts/icon.tsx";
import { useMedia } from "../parts/use-media.ts";
import { attempt } from "../preps/figures.tsx";
import type { BenchFile } from "../state/bench-file.ts";
import { benchAs } from "../state/settling.ts";
import type { Store } from "../state/store.ts";
import { lineWords } from "../words/amounts.ts";
import { AXES3, AXIS_NAME, withUnit } from "../words/axis.ts";
import { verdictOf } from "../words/verdict.ts";

const LAYERS: readonly { layer: LayerName; name: string }[] = [
  { layer: "range", name: "Range" },
  { layer: "classics", name: "Classics" },
  { layer: "names", name: "Names" },
  { layer: "doubt", name: "Doubt" },
  { layer: "trail", name: "Trail" },
];

/** Where the show is: a round of the trail, or null for the drink as it stands on the bench. */
interface Show {
  step: Signal<number | null>;
  guessing: Signal<boolean>;
  revealed: Signal<boolean>;
  layers: Signal<ReadonlySet<LayerName>>;
  others: Signal<readonly MapTrail[]>;
}

/** The trail of a bench's file, placed with what came along in it. */
function trailOf({ pantry, placing }: Store, { bench, along }: BenchFile, from: string): MapTrail {
  const came = arriving(along, pantry.value);
  const poured = pantryWithFigures([...pantry.value.values(), ...came.ingredients], {});
  const options = { ...placing.value, ...(along.unitSettings && { unitSettings: along.unitSettings }) };
  const placed = benchAs(bench, came).rounds.map((round) => ({
    round,
    placement: attempt(() => place(round.spec, poured, options)).value,
    drift: null,
  }));
  return { id: `${bench.id} ${from}`, name: bench.name, rounds: mapRounds(placed, null) };
}

/** The model with the trail only as far as the show has come, and the drink where its last round stands. */
function shownModel(model: MapModel, show: Show): MapModel {
  const step = show.step.value;
  const rounds = [...model.rounds].sort((a, b) => a.number - b.number);
  const at = step === null ? null : rounds[step];
  if (!at) return model;
  const hidden = show.guessing.value && !show.revealed.value;
  const until = rounds.slice(0, (step ?? 0) + (hidden ? 0 : 1));
  const stand = hidden ? (until.at(-1) ?? null) : at;
  return {
    ...model,
    rounds: until.map((round) => ({ ...round, current: round.id === stand?.id })),
    live: stand && { point: stand.point, covariance: stand.covariance, edited: false },
    ghosts: [],
    shownGhost: null,
  };
}

/** The bench for the back of a room: one large map, large words, layers on and off, the trail step by step. */
export function PresentRoom() {
  const house = useHouse();
  const { store } = house;
  const stage = useRef<HTMLDivElement>(null);
  const big = useMedia("(min-width: 1000px)");
  const show = useMemo(
    (): Show => ({
      step: signal(null),
      guessing: signal(false),
      revealed: signal(false),
      layers: signal(ALL_LAYERS),
      others: signal([]),
    }),
    [],
  );
  const model = useMemo(() => {
    const whole = mapModel(house, show.others);
    return computed(() => shownModel(whole.value, show));
  }, [house, show]);
  const options = useMemo(
    () => computed(() => ({ typePx: big ? 24 : 13, layers: show.layers.value })),
    [show, big],
  );
  const handlers = useMemo(() => mapHandlers(house, () => {}), [house]);
  const bench = store.parts.bench.value;
  // Another bench is shown from its end: the place in the trail was the last one's.
  useEffect(() => {
    show.step.value = null;
    show.revealed.value = false;
  }, [bench, show]);
  return (
    <>
      <BenchHead room="present" />
      <Notice />
      <div class="present" ref={stage}>
        <Caption show={show} />
        <BalanceMap model={model} options={options} handlers={handlers} />
        <div class="present-bar">
          <Steps show={show} />
          <Layers show={show} />
          <button type="button" onClick={() => stage.current?.requestFullscreen?.()}>
            Full screen
          </button>
        </div>
        <Pours show={show} />
      </div>
      <Start show={show} store={store} />
    </>
  );
}

const figures = (point: Vec3) =>
  AXES3.map((axis) => `${AXIS_NAME[axis]} ${withUnit(axis, point[axis])}`).join(" · ");

/** The second drink's figures under those of the first. */
function Beside() {
  const store = useStore();
  const second = store.references.value.find(({ drink }) => drink.id === store.reference.value);
  if (!second) return null;
  return (
    <p class="present-beside">
      {second.drink.name}: {figures(second.point)}
    </p>
  );
}

/** The words over the map: the verdict of the drink on the bench, or the caption of a round. */
function Caption({ show }: { show: Show }) {
  const store = useStore();
  const step = show.step.value;
  const entry = step === null ? null : inOrder(store)[step];
  if (!entry) {
    const verdict = store.verdict.value;
    const placement = store.placement.value;
    return (
      <div class="present-words" data-state={verdict ? (verdict.inside ? "in" : "out") : "none"}>
        <h2>{store.spec.value.name}</h2>
        <p class="headline">
          {verdict?.headline ?? (placement ? "No range chosen." : "Nothing to place yet.")}
        </p>
        {placement && <p class="present-figures">{figures(toVec(placement.point))}</p>}
        <Beside />
      </div>
    );
  }
  const { round, placement } = entry;
  const hidden = show.guessing.value && !show.revealed.value;
  const target = store.target.value?.compiled;
  const point = placement && toVec(placement.point);
  const verdict = point && target ? verdictOf(target, point, "") : null;
  return (
    <div class="present-words" data-state={hidden || !verdict ? "none" : verdict.inside ? "in" : "out"}>
      <h2>
        Round {round.number}: {round.label}
      </h2>
      <p class="headline">{hidden ? "Where will it go?" : (verdict?.headline ?? "")}</p>
      <p class="present-figures">
        {!hidden && point && figures(point)}
        {!hidden && round.faults?.length ? ` · found ${round.faults.join(", ")}` : ""}
      </p>
      <Beside />
    </div>
  );
}

/** Through the rounds one by one; with guessing on, each is first asked for and then shown. */
function Steps({ show }: { show: Show }) {
  const store = useStore();
  const count = store.rounds.value.length;
  const at = show.step.value;
  const goTo = (step: number | null) => {
    show.revealed.value = false;
    show.step.value = step;
  };
  const hidden = at !== null && show.guessing.value && !show.revealed.value;
  return (
    <div class="buttons">
      <button type="button" disabled={at === null} onClick={() => goTo(at === 0 ? null : (at ?? 1) - 1)}>
        Back
      </button>
      {hidden ? (
        <button type="button" class="primary" onClick={() => (show.revealed.value = true)}>
          Show
        </button>
      ) : (
        <button
          type="button"
          class="primary"
          disabled={count === 0 || at === count - 1}
          onClick={() => goTo(at === null ? 0 : at + 1)}
        >
          {at === null ? "Step through the rounds" : "Next round"}
        </button>
      )}
      <button
        type="button"
        aria-pressed={show.guessing.value}
        onClick={() => (show.guessing.value = !show.guessing.value)}
      >
        Guess first
      </button>
      {at !== null && (
        <button type="button" class="quiet" onClick={() => goTo(null)}>
          All of it
        </button>
      )}
    </div>
  );
}

function Layers({ show }: { show: Show }) {
  const toggle = (layer: LayerName) => {
    const next = new Set(show.layers.value);
    if (!next.delete(layer)) next.add(layer);
    show.layers.value = next;
  };
  return (
    <fieldset class="buttons layers">
      <legend class="visually-hidden">Layers of the map</legend>
      {LAYERS.map(({ layer, name }) => (
        <button
          key={layer}
          type="button"
          aria-pressed={show.layers.value.has(layer)}
          onClick={() => toggle(layer)}
        >
          {name}
        </button>
      ))}
    </fieldset>
  );
}

/** The rounds in the order they were made. */
const inOrder = (store: Store) => [...store.rounds.value].sort((a, b) => a.round.number - b.round.number);

/**
 * The spec in large letters: of the round that is shown, or of the drink on the bench, each line with less and more,
 * so that a room can see a pour move the mark.
 */
function Pours({ show }: { show: Show }) {
  const store = useStore();
  const measures = measuresOf(store);
  const round = show.step.value === null ? undefined : inOrder(store)[show.step.value]?.round;
  const spec = round?.spec ?? store.work.value.spec;
  const pantry = store.pantry.value;
  const step = (index: number, by: number) => {
    const line = spec.lines[index];
    const ingredient = line && pantry.get(line.ingredient);
    if (!line || !ingredient) return;
    const ml = steppedVolumeMl(line, by, measures.ladder, ingredient, measures.settings);
    const next = lineAtVolume(line, ml, measures.ladder, ingredient, measures.settings);
    store.edit(
      { spec: { ...spec, lines: spec.lines.map((old, i) => (i === index ? next : old)) } },
      `step-${line.ingredient}`,
    );
  };
  return (
    <div class="present-pours">
      <ul class="pours" aria-label="Pours">
        {spec.lines.map((line, index) => {
          const ingredient = pantry.get(line.ingredient);
          const name = ingredient?.name ?? line.ingredient;
          return (
            <li key={line.ingredient} data-shown={round !== undefined}>
              {!round && (
                <>
                  <button
                    type="button"
                    class="square"
                    aria-label={`Less ${name}`}
                    onClick={() => step(index, -1)}
                  >
                    <Icon name="minus" />
                  </button>
                  <button
                    type="button"
                    class="square"
                    aria-label={`More ${name}`}
                    onClick={() => step(index, 1)}
                  >
                    <Icon name="plus" />
                  </button>
                </>
              )}
              <b>{lineWords(line, ingredient, measures)}</b> <span>{shortName(name)}</span>
            </li>
          );
        })}
      </ul>
      {store.rounds.value.length === 0 && <AddLine onAdded={() => {}} />}
    </div>
  );
}

/** What to show: a blank bench, a classic as a start or beside the drink, the trails a class has handed in. */
function Start({ show, store }: { show: Show; store: Store }) {
  const { drinks } = store.data;
  const lay = async (files: FileList | null) => {
    const trails: MapTrail[] = [];
    for (const file of files ?? []) {
      const read = await readFile(file);
      if (typeof read === "string") store.tell(`${file.name} was not opened. ${read}`, { tone: "problem" });
      else trails.push(trailOf(store, read, file.name));
    }
    show.others.value = [...show.others.value, ...trails];
  };
  const options = drinks.map((drink) => (
    <option key={drink.id} value={drink.id}>
      {drink.name}
    </option>
  ));
  return (
    <div class="present-start">
      <button type="button" onClick={() => startBlank(store)}>
        Start blank
      </button>
      <label class="field">
        <span>Start from a classic</span>
        <select
          value=""
          onChange={(event) => {
            const drink = drinks.find(({ id }) => id === event.currentTarget.value);
            if (drink) startFrom(store, { ...drink.spec, name: drink.name });
          }}
        >
          <option value="">choose one</option>
          {options}
        </select>
      </label>
      <label class="field">
        <span>A second drink on the map</span>
        <select
          value={store.reference.value ?? ""}
          onChange={(event) => {
            store.reference.value = event.currentTarget.value || null;
          }}
        >
          <option value="">none</option>
          {options}
        </select>
      </label>
      <label class="field">
        <span>Lay a class's trails over it (bench files)</span>
        <input
          type="file"
          id="class-files"
          multiple
          accept="application/json,.json"
          onChange={(event) => {
            lay(event.currentTarget.files);
          }}
        />
      </label>
      {show.others.value.length > 0 && (
        <button type="button" onClick={() => (show.others.value = [])}>
          Take the trails off
        </button>
      )}
    </div>
  );
}
