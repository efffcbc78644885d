import "./taste.css";
import { useEffect, useMemo } from "preact/hooks";
import { BenchHead } from "../bench/head.tsx";
import { Notice } from "../bench/notice.tsx";
import { useHouse } from "../house.ts";
import { HandsOff } from "../parts/hands-off.tsx";
import { isOnlySeen } from "../state/keys.ts";
import { createDesk } from "./desk.ts";
import { Flights } from "./flights.tsx";
import { createLearning } from "./learning.ts";
import { PassedRound, passing } from "./passing.tsx";
import { Tasters } from "./tasters.tsx";
import { Told } from "./told.tsx";

/** Marks come in while the room is open. */
const BRING_EVERY_MS = 4000;

/** The tasting room of a bench: pour rounds blind, let tasters mark them, read what the table likes. */
export function TasteRoom() {
  const house = useHouse();
  const desk = useMemo(() => createDesk(house), [house]);
  const learning = useMemo(() => createLearning(house, desk), [house, desk]);
  useEffect(() => learning.stop, [learning]);
  useEffect(() => {
    desk.bring();
    const timer = setInterval(() => {
      if (document.visibilityState === "visible") desk.bring();
    }, BRING_EVERY_MS);
    return () => clearInterval(timer);
  }, [desk]);
  useEffect(
    () => () => {
      passing.value = null;
    },
    [],
  );
  if (passing.value) return <PassedRound desk={desk} />;
  return (
    <>
      <BenchHead room="taste" />
      <Notice />
      <div class="taste">
        <div class="taste-serve">
          <HandsOff>
            <Flights desk={desk} />
          </HandsOff>
          {!isOnlySeen(house.store.work.value.bench) && <Tasters desk={desk} />}
        </div>
        <Told desk={desk} learning={learning} />
      </div>
    </>
  );
}
