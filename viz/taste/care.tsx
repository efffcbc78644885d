import type { Care as Facts } from "../../engine/thrift/care.ts";
import { careWords } from "../../engine/thrift/words.ts";
import { BEFORE_TASTING } from "./words.ts";

/** What whoever tastes is told before the first sip: allergens, raw egg, medicines, and how to go about it. */
export function Care({ care }: { care: Facts }) {
  const [first, ...more] = careWords(care);
  return (
    <div class="care" role="note">
      <p>
        <b>{first}</b> {more.join(" ")}
      </p>
      <p class="hint">{BEFORE_TASTING}</p>
    </div>
  );
}
