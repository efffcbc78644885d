import { computed, signal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { TableAnswer } from "../../engine/taste/answer.ts";
import { joinWords } from "../../engine/wording.ts";
import { useHouse } from "../house.ts";
import { BalanceMap } from "../map/balance-map.tsx";
import { ghostOf, mapModel } from "../map/map-model.ts";
import { ALL_LAYERS, mapHandlers } from "../map/map-panel.tsx";
import type { MapHandle, MapModel, MapTrail } from "../map/model.ts";

/** Where each camp's ideal lies, as a trail of one mark under the camp's name. */
function campTrails({ camps }: TableAnswer): MapTrail[] {
  return (camps?.sides ?? []).map(({ tasters, range }, i) => ({
    id: `camp-${i}`,
    name: `${joinWords(tasters)} would like`,
    rounds: [
      {
        id: `camp-${i}`,
        number: i + 1,
        label: joinWords(tasters),
        point: toVec(range.ideal),
        covariance: range.covariance,
        parent: null,
        abandoned: false,
        current: false,
      },
    ],
  }));
}

/** The balance map with the table's range drawn as the target, and what may be poured next. */
export function TableMap({ answer }: { answer: TableAnswer }) {
  const house = useHouse();
  const handle = useRef<MapHandle | null>(null);
  const shown = useMemo(() => signal(answer), []);
  shown.value = answer;
  const model = useMemo(() => {
    const base = mapModel(house, signal<readonly MapTrail[]>([]));
    const target = computed(() => compileTarget(shown.value.range.target));
    const others = computed(() => campTrails(shown.value));
    const ghosts = computed(() =>
      (shown.value.next?.proposals ?? []).map(({ proposal }) =>
        ghostOf(proposal, house.store.spec.value, house.store),
      ),
    );
    return computed(
      (): MapModel => ({
        ...base.value,
        target: target.value,
        targetName: "the table's range",
        others: others.value,
        ghosts: ghosts.value,
        shownGhost: ghosts.value[0]?.id ?? null,
        pull: null,
        wish: null,
      }),
    );
  }, [house, shown]);
  const options = useMemo(() => computed(() => ({ typePx: 12, layers: ALL_LAYERS })), []);
  const handlers = useMemo(() => ({ ...mapHandlers(house, () => {}), onWish: () => {} }), [house]);
  useEffect(() => {
    handle.current?.fit("all");
  }, [answer]);
  return (
    <div class="table-map">
      <BalanceMap
        model={model}
        options={options}
        handlers={handlers}
        onReady={(made) => {
          handle.current = made;
        }}
      />
    </div>
  );
}
