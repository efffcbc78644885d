import { computed, type ReadonlySignal, signal, useComputed } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useMemo, useRef } from "preact/hooks";
import { scaledDistance, toVec } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { openRound } from "../bench/bench-edit.ts";
import { keepRound, takeSpec } from "../bench/take.ts";
import { SaveMenu } from "../hang/save-menu.tsx";
import { type House, useHouse } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import { Icon } from "../parts/icon.tsx";
import { later } from "../parts/later.tsx";
import { Toolbar } from "../parts/toolbar.tsx";
import { AXES3, AXIS_NAME, axisNumber, withUnit } from "../words/axis.ts";
import { verdictOf } from "../words/verdict.ts";
import { BalanceMap } from "./balance-map.tsx";
import { type Item, itemsOf, sdOf, titleOf } from "./items.ts";
import { mapModel } from "./map-model.ts";
import type { LayerName, MapHandle, MapHandlers, MapModel, MapTrail } from "./model.ts";

const MapTable = later(async () => (await import("./map-table.tsx")).MapTable);

export const ALL_LAYERS: ReadonlySet<LayerName> = new Set(["classics", "names", "doubt", "trail", "range"]);
const NO_TRAILS = signal<readonly MapTrail[]>([]);

/** What the map tells the bench. Nothing is opened or taken by pointing. */
export function mapHandlers({ store, wishing }: House, onCursor: (key: string | null) => void): MapHandlers {
  return {
    onPeek: (id) => {
      store.peeked.value = id;
    },
    onShowGhost: (id) => {
      store.focused.value = id;
    },
    onBeside: (id) => {
      store.reference.value = id;
    },
    onWish: (at, done) => wishing.wishFor(at, done),
    wishAt: () => wishing.wish.peek()?.at ?? null,
    onCursor,
  };
}

/** The balance map of the bench, with `children` and what the cursor is on in words below it. */
export function MapPanel({ children }: { children?: ComponentChildren }) {
  const house = useHouse();
  const { store } = house;
  const map = useRef<MapHandle | null>(null);
  const cursor = useMemo(() => signal<string | null>(null), []);
  const model = useMemo(() => mapModel(house, NO_TRAILS), [house]);
  const options = useMemo(() => computed(() => ({ typePx: 12, layers: ALL_LAYERS })), []);
  const isPlaced = useComputed(() => store.placement.value !== null).value;
  const handlers = useMemo(() => mapHandlers(house, (key) => (cursor.value = key)), [house, cursor]);
  return (
    <section class="map-panel" id="map" aria-labelledby="map-title" tabIndex={-1}>
      <h2 id="map-title" class="visually-hidden">
        Balance map
      </h2>
      <Toolbar class="map-bar" label="What the map shows, and saving it">
        <div class="map-views">
          <button type="button" onClick={() => map.current?.fit("all")}>
            All
          </button>
          <button type="button" disabled={!isPlaced} onClick={() => map.current?.fit("drink")}>
            The drink
          </button>
          <button type="button" disabled={!store.target.value} onClick={() => map.current?.fit("range")}>
            The range
          </button>
          <button type="button" aria-label="Zoom out" onClick={() => map.current?.zoom(1 / 1.6)}>
            <Icon name="minus" />
          </button>
          <button type="button" aria-label="Zoom in" onClick={() => map.current?.zoom(1.6)}>
            <Icon name="plus" />
          </button>
        </div>
        <SaveMenu model={model} />
      </Toolbar>
      <BalanceMap
        model={model}
        options={options}
        handlers={handlers}
        onReady={(handle) => {
          map.current = handle;
        }}
      />
      {children}
      <MapWords map={model} cursor={cursor} />
      <Beside />
      <Fold summary="The map as a table" class="quiet-fold">
        {() => <MapTable model={model.value} />}
      </Fold>
    </section>
  );
}

/** Everything the map knows of an item, in the order it is read out. */
export function wordsOf(item: Item, model: MapModel): string {
  const numbers = AXES3.map(
    (axis) => `${AXIS_NAME[axis]} ${withUnit(axis, item.point[axis], sdOf(item, axis))}`,
  );
  const standing = model.target && verdictOf(model.target, item.point, "").standing;
  const path = item.kind === "ghost" ? model.ghosts.find((g) => g.id === item.id)?.path : undefined;
  return [
    numbers.join(", "),
    ...(standing ? [standing] : []),
    ...(path ? [path.map((move) => move.label).join("; ")] : []),
  ].join(" · ");
}

/** What the cursor is on, and the second act: opening a round, taking a proposal. */
function MapWords({
  map,
  cursor: on,
}: {
  map: ReadonlySignal<MapModel>;
  cursor: ReadonlySignal<string | null>;
}) {
  const { store, asking } = useHouse();
  const cursor = on.value;
  const { peeked } = store;
  const key = cursor ?? (peeked.value ? `round:${peeked.value}` : null);
  // Of a map on which nothing is pointed at there is nothing to say, and no reason to look at it at every step.
  const model = key === null ? null : map.value;
  const item = (model && itemsOf(model).find((candidate) => candidate.key === key)) ?? null;
  const round = item?.kind === "round" ? item : null;
  const proposal = item?.kind === "ghost" ? asking.offers.value.find(({ id }) => id === item.id) : undefined;
  const unsaved = store.edited.value && store.shown.value.lines.length > 0;
  return (
    <div class="map-words">
      <p class="map-detail" aria-live={cursor ? "polite" : "off"}>
        {item && model ? (
          <>
            <strong>{titleOf(item)}</strong>: {wordsOf(item, model)}.
          </>
        ) : (
          "Point at a mark to read it. Drag the red mark, or a red weight on an arm, to where you want the drink."
        )}
      </p>
      {round && round.id === peeked.value && !round.current && (
        <>
          <button type="button" onClick={() => openRound(store, round.id)}>
            Open round {round.tag}
            {unsaved && " (undo brings your edits back)"}
          </button>
          {unsaved && (
            <button
              type="button"
              onClick={() => {
                keepRound(store);
                openRound(store, round.id);
              }}
            >
              Keep mine first
            </button>
          )}
        </>
      )}
      {proposal && (
        <button type="button" onClick={() => takeSpec(store, proposal.spec, proposal.name)}>
          Take proposal {item?.tag}
        </button>
      )}
    </div>
  );
}

/** "Beside Daiquiri, this has 1.2 g more sugar, 2.0 % vol weaker." */
function besideWords(point: Vec3, other: Vec3, name: string): string {
  if (scaledDistance(point, other) < 0.1) {
    return `This sits on top of ${name}: you could not tell them apart by these three.`;
  }
  const words = [
    ["g more sugar", "g less sugar"],
    ["g more acid", "g less acid"],
    ["% vol stronger", "% vol weaker"],
  ] as const;
  const said = AXES3.flatMap((axis) => {
    const gap = point[axis] - other[axis];
    const size = axisNumber(axis, Math.abs(gap));
    return Number(size) === 0 ? [] : [`${size} ${words[axis][gap > 0 ? 0 : 1]}`];
  });
  return `Beside ${name}, this has ${said.join(", ")} (sugar and acid per 100 mL).`;
}

/** Set a classic beside the drink: on the map by name, and in words. */
function Beside() {
  const { store } = useHouse();
  return (
    <div class="beside">
      <label for="beside">Set beside</label>
      <select
        id="beside"
        value={store.reference.value ?? ""}
        onChange={(event) => {
          store.reference.value = event.currentTarget.value || null;
        }}
      >
        <option value="">no classic in particular</option>
        {store.references.value.map(({ drink }) => (
          <option key={drink.id} value={drink.id}>
            {drink.name}
          </option>
        ))}
      </select>
      <BesideWords />
    </div>
  );
}

/** Apart from the list it is chosen from, which stays as it is while the drink moves. */
function BesideWords() {
  const { store } = useHouse();
  const other = store.references.value.find(({ drink }) => drink.id === store.reference.value);
  const placement = other && store.placement.value;
  return (
    <p class="hint">{placement ? besideWords(toVec(placement.point), other.point, other.drink.name) : ""}</p>
  );
}
