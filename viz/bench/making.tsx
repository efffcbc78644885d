import { useComputed } from "@preact/signals";
import { METHODS } from "../../engine/dilution/methods.ts";
import type { Method, ServingIce, Spec } from "../../engine/types.ts";
import { upperFirst } from "../../engine/wording.ts";
import { useStore } from "../house.ts";
import { ChoiceField } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { later } from "../parts/later.tsx";

const IceWater = later(async () => (await import("./ice-water.tsx")).IceWater);

const METHOD_CHOICES = (Object.keys(METHODS) as Method[]).map((value) => ({
  value,
  label: METHODS[value].name,
}));

const SERVED: { value: ServingIce | ""; label: string }[] = [
  { value: "", label: "As usual for this glass" },
  { value: "none", label: "No ice" },
  { value: "cubes", label: "Cubes" },
  { value: "rock", label: "One large rock" },
  { value: "crushed", label: "Crushed ice" },
];

/** "Shaken hard with ice for 12–15 s and strained." */
function methodHint(method: Method): string {
  const { meaning, kind } = METHODS[method];
  return `${upperFirst(meaning)}.${
    kind === "estimate"
      ? " How much water it takes is our estimate, and wide: measuring the glass tells more."
      : ""
  }`;
}

/** How the drink is made and what it goes into. */
export function Making() {
  const store = useStore();
  // Not the spec itself: a drag of an amount changes it at every step, and none of these.
  const method = useComputed(() => store.spec.value.method).value;
  const glassId = useComputed(() => store.spec.value.glass).value;
  const servedOn = useComputed(() => store.spec.value.servedOn).value;
  const put = (change: (spec: Spec) => Spec) => store.edit({ spec: change(store.spec.peek()) });
  return (
    <div class="making">
      <ChoiceField
        label="Method"
        value={method}
        options={METHOD_CHOICES}
        onChoose={(chosen) => put((spec) => ({ ...spec, method: chosen }))}
      />
      <ChoiceField
        label="Glass"
        value={glassId ?? ""}
        options={[
          { value: "", label: "Not chosen" },
          ...store.data.glasses.map((glass) => ({ value: glass.id, label: glass.name })),
        ]}
        onChoose={(glass) => put(({ glass: _, ...rest }) => (glass === "" ? rest : { ...rest, glass }))}
      />
      {glassId && (
        <ChoiceField
          label="Ice in the glass"
          value={servedOn ?? ""}
          options={SERVED}
          onChoose={(ice) =>
            put(({ servedOn: _, ...rest }) => (ice === "" ? rest : { ...rest, servedOn: ice }))
          }
        />
      )}
      <Fold summary="Water from ice" class="quiet-fold ice">
        {() => (
          <>
            <p class="hint">{methodHint(method)}</p>
            <IceWater />
          </>
        )}
      </Fold>
    </div>
  );
}
