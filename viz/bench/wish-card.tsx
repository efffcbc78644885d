import { toVec } from "../../engine/axes.ts";
import { WISH_RADIUS } from "../../engine/explore/wish.ts";
import { useHouse } from "../house.ts";
import { NumberField } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import {
  AXES3,
  AXIS_NAME,
  AXIS_TITLE,
  AXIS_UNIT,
  axisNumber,
  pointWords,
  shownChange,
} from "../words/axis.ts";
import { takeSpec } from "./take.ts";
import { wishChanges } from "./wishing.ts";

/** Where the drink is wanted and what to pour for it; also the wish by numbers, for those who do not drag. */
export function WishCard() {
  const { store, wishing } = useHouse();
  const wish = wishing.wish.value;
  const placement = store.placement.value;
  if (!placement) return null;
  if (!wish) {
    return (
      <Fold summary="Say where you want it, in numbers" class="quiet-fold">
        {() => <WishNumbers />}
      </Fold>
    );
  }
  const { found, settled } = wish;
  const changes = found ? wishChanges(store, found.spec) : [];
  const reached = found !== null && found.far <= WISH_RADIUS;
  return (
    <div class="wish-card" id="wish">
      <h3>Where you want it: {pointWords(wish.at)}</h3>
      <p role="status">
        {!found
          ? "Looking for the pours…"
          : found.isOutOfTime
            ? "No pour found in the time there was: wish again, or lock a line to narrow the search."
            : changes.length === 0
              ? "No pour your rules allow comes nearer than the drink as it is."
              : changes.join("; ")}
      </p>
      {found && !found.isOutOfTime && (
        <p class="hint">
          {reached
            ? `Lands at ${pointWords(found.point)}.`
            : `The nearest these pours can come is ${pointWords(found.point)}: ${AXES3.map(
                (axis) => [AXIS_NAME[axis], shownChange(axis, wish.at[axis], found.point[axis])] as const,
              )
                .filter(([, change]) => change !== "0")
                .map((missed) => missed.join(" "))
                .join(", ")} from your mark.`}
        </p>
      )}
      {settled && (
        <div class="buttons">
          <button
            type="button"
            disabled={!found || changes.length === 0}
            onClick={() => found && store.edit({ spec: found.spec })}
          >
            Put it on the bench
          </button>
          <button
            type="button"
            disabled={!found || changes.length === 0}
            onClick={() => found && takeSpec(store, found.spec, `Toward ${pointWords(found.point)}`)}
          >
            Take it as a new round
          </button>
          <button type="button" class="quiet" onClick={wishing.drop}>
            Forget it
          </button>
        </div>
      )}
      {settled && <WishNumbers />}
    </div>
  );
}

function WishNumbers() {
  const { store, wishing } = useHouse();
  const placement = store.placement.value;
  if (!placement) return null;
  const at = wishing.wish.value?.at ?? toVec(placement.point);
  return (
    <div class="fields wish-numbers">
      {AXES3.map((axis) => (
        <NumberField
          label={`${AXIS_TITLE[axis]}, ${AXIS_UNIT[axis]}`}
          key={axis}
          least={0}
          value={Number(axisNumber(axis, at[axis]))}
          onCommit={(x) => {
            if (x === null) return;
            const next = AXES3.map((a) => (a === axis ? x : at[a])) as [number, number, number];
            wishing.wishFor(next, true);
          }}
        />
      ))}
      <p class="hint">
        On the map: drag the red mark, or a red weight on an arm. By keyboard: on the drink's mark, Shift with
        the arrows, and Shift with Page Up and Page Down for alcohol.
      </p>
    </div>
  );
}
