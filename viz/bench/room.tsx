import { useStore } from "../house.ts";
import { MapPanel } from "../map/map-panel.tsx";
import { HandsOff } from "../parts/hands-off.tsx";
import { useMedia } from "../parts/use-media.ts";
import { AnswersPanel } from "./answers.tsx";
import { GlassPanel } from "./glass.tsx";
import { BenchHead } from "./head.tsx";
import { NextStep } from "./next-step.tsx";
import { Notice } from "./notice.tsx";
import { RoundsPanel } from "./rounds.tsx";
import { SpecPanel } from "./spec.tsx";
import { TargetChooser } from "./target-chooser.tsx";
import { VerdictPanel } from "./verdict.tsx";
import { WishCard } from "./wish-card.tsx";

/** One column below this, two up to the next, then three. */
const TWO = "(min-width: 1060px)";
const THREE = "(min-width: 1340px)";

/** What a thumb reaches on a phone: the verdict, and the next step. */
function Thumb() {
  const { verdict } = useStore();
  return (
    <div class="thumb" data-state={verdict.value?.inside ? "in" : "out"}>
      <p aria-hidden="true">{verdict.value?.headline ?? ""}</p>
      <NextStep />
    </div>
  );
}

/** The bench: the drink, the answers, the map, the rounds; in the order of work on a phone, side by side on a desk. */
export function BenchRoom() {
  const two = useMedia(TWO);
  const three = useMedia(THREE);
  const drink = (
    <>
      <VerdictPanel />
      {two && <NextStep takes={false} />}
      <HandsOff>
        <SpecPanel />
      </HandsOff>
    </>
  );
  return (
    <>
      <BenchHead room="bench" />
      <Notice />
      {two ? (
        <div class={three ? "bench three" : "bench two"}>
          <div class="column drink">
            {drink}
            <GlassPanel />
          </div>
          <div class="column map-column">
            <TargetChooser />
            <MapPanel />
          </div>
          <div class="column ways">
            <AnswersPanel>
              <WishCard />
            </AnswersPanel>
            <RoundsPanel />
          </div>
        </div>
      ) : (
        <div class="bench one">
          {drink}
          <AnswersPanel />
          <TargetChooser />
          <GlassPanel />
          {/* What to pour for a wish comes under the map: above it, it would push the map from under the finger. */}
          <MapPanel>
            <WishCard />
          </MapPanel>
          <RoundsPanel />
          <Thumb />
        </div>
      )}
    </>
  );
}
