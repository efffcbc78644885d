import { useState } from "preact/hooks";
import { type Serving, servedOf } from "../../engine/thrift/served.ts";
import { SERVED_CAUTION, servedWords } from "../../engine/thrift/words.ts";
import { useStore } from "../house.ts";
import { ChoiceField } from "../parts/field.tsx";
import type { Desk } from "./desk.ts";

/** How much of a drink stands in one tasting glass. */
const SHARES = [
  { value: "1", label: "a whole drink" },
  { value: "0.5", label: "half a drink" },
  { value: "0.25", label: "a quarter" },
  { value: "0.125", label: "an eighth: a sip or two" },
] as const;

/** Standard drinks set before each taster so far, from the forms that came in. */
export function Served({ desk }: { desk: Desk }) {
  const store = useStore();
  const [share, setShare] = useState<(typeof SHARES)[number]["value"]>("1");
  const glasses = new Map(store.rounds.value.map(({ round, placement }) => [round.id, placement]));
  const servings = desk.tastings.value.flatMap(({ taster, round }): Serving[] => {
    const glass = glasses.get(round);
    return glass ? [{ taster, glass, share: Number(share) }] : [];
  });
  if (servings.length === 0) return <p>No forms are in, so nothing is counted yet.</p>;
  return (
    <>
      <ChoiceField label="In each tasting glass" value={share} options={SHARES} onChoose={setShare} />
      <ul class="plain">
        {servedOf(servings).map((served) => (
          <li key={served.taster}>{servedWords(served)}</li>
        ))}
      </ul>
      <p class="hint">{SERVED_CAUTION}</p>
    </>
  );
}
